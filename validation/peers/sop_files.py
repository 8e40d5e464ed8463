"""Reads sequential ordering files: TSPLIB with its heading, SOPLIB without."""


def read(path):
    """The costs, and for each node the set of nodes that come before it, closed."""
    with open(path, encoding="utf-8") as file:
        text = file.read()
    if "EDGE_WEIGHT_SECTION" in text:
        text = text.split("EDGE_WEIGHT_SECTION")[1]
    numbers = [int(word) for word in text.replace("EOF", " ").split()]
    count, cells = numbers[0], numbers[1:]
    costs = [cells[row * count:(row + 1) * count] for row in range(count)]
    before = [{j for j in range(count) if j != i and costs[i][j] == -1} for i in range(count)]
    for i in range(1, count):
        before[i].add(0)
    before[count - 1] = set(range(count - 1))
    # Closed by passing on, node by node, what comes before what comes before.
    changed = True
    while changed:
        changed = False
        for i in range(count):
            more = set().union(*(before[j] for j in before[i])) if before[i] else set()
            if not more <= before[i]:
                before[i] |= more
                changed = True
    return costs, before


def arcs(costs, before):
    """The arcs that some order can use: not against a precedence, and with nothing forced in between."""
    count = len(costs)
    after = [{j for j in range(count) if i in before[j]} for i in range(count)]
    for i in range(count):
        for j in range(count):
            if i != j and j not in before[i] and not (after[i] & before[j]):
                yield i, j, costs[i][j]


def greedy(costs, before):
    """An order that always goes on to the cheapest node that is free."""
    count = len(costs)
    order, done = [0], {0}
    while len(order) < count:
        free = [j for j in range(count) if j not in done and before[j] <= done]
        order.append(min(free, key=lambda j: costs[order[-1]][j]))
        done.add(order[-1])
    return order
