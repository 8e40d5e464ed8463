"""OR-Tools routing on sequential ordering: one vehicle, a counting dimension, guided local search from a greedy order."""

from ortools.constraint_solver import pywrapcp, routing_enums_pb2

import sop_files
from common import Run

run = Run()
costs, before = sop_files.read(run.file)
run.begin()
count = len(costs)
manager = pywrapcp.RoutingIndexManager(count, 1, [0], [count - 1])
routing = pywrapcp.RoutingModel(manager)
forbidden = 10_000_000
table = [[forbidden if i != j and j in before[i] else max(0, costs[i][j]) for j in range(count)] for i in range(count)]
routing.SetArcCostEvaluatorOfAllVehicles(routing.RegisterTransitMatrix(table))
routing.AddDimension(routing.RegisterTransitMatrix([[1] * count for _ in range(count)]), 0, count, True, "position")
position = routing.GetDimensionOrDie("position")
solver = routing.solver()


def index(node):
    return routing.End(0) if node == count - 1 else manager.NodeToIndex(node)


for j in range(count):
    for i in before[j]:
        # What follows from others is left out.
        if not any(i in before[k] for k in before[j]):
            solver.Add(position.CumulVar(index(i)) < position.CumulVar(index(j)))

routing.AddAtSolutionCallback(run.better)
parameters = pywrapcp.DefaultRoutingSearchParameters()
parameters.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
parameters.time_limit.FromMilliseconds(int(1000 * run.left_s()))
routing.CloseModelWithParameters(parameters)
start = routing.ReadAssignmentFromRoutes([sop_files.greedy(costs, before)[1:-1]], True)
answer = routing.SolveFromAssignmentWithParameters(start, parameters) if start else routing.SolveWithParameters(parameters)
value = answer.ObjectiveValue() if answer else None
run.tell(value if value is not None and value < forbidden else None, None, False)
