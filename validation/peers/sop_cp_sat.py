"""CP-SAT on sequential ordering: a circuit over the allowed arcs, positions for the precedences, a greedy order as hint."""

from ortools.sat.python import cp_model

import sop_files
from common import Run, solve_cp_sat

run = Run()
costs, before = sop_files.read(run.file)
run.begin()
count = len(costs)
model = cp_model.CpModel()
position = [model.new_int_var(len(before[i]), count - 1, f"p{i}") for i in range(count)]
order = sop_files.greedy(costs, before)
follows = set(zip(order, order[1:]))
literals, terms = [], []
for i, j, cost in sop_files.arcs(costs, before):
    used = model.new_bool_var(f"a{i}_{j}")
    literals.append((i, j, used))
    terms.append(cost * used)
    model.add(position[j] == position[i] + 1).only_enforce_if(used)
    model.add_hint(used, (i, j) in follows)
back = model.new_constant(1)
literals.append((count - 1, 0, back))
model.add_circuit(literals)
for j in range(count):
    for i in before[j]:
        model.add(position[i] + 1 <= position[j])
model.minimize(sum(terms))
solve_cp_sat(run, model)
