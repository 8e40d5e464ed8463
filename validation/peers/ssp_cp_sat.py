"""CP-SAT on job sequencing and tool switching: jobs to places of the order, tools held at each place, switches counted."""

from ortools.sat.python import cp_model

from common import Run, solve_cp_sat, words

run = Run()
numbers = [int(word) for word in words(run.file)]
run.begin()
jobs, tools, places = numbers[:3]
needs = [numbers[3 + t * jobs:3 + (t + 1) * jobs] for t in range(tools)]
model = cp_model.CpModel()
at = [[model.new_bool_var(f"x{j}_{k}") for k in range(jobs)] for j in range(jobs)]
held = [[model.new_bool_var(f"y{t}_{k}") for k in range(jobs)] for t in range(tools)]
switched = [[model.new_bool_var(f"z{t}_{k}") for k in range(1, jobs)] for t in range(tools)]
for j in range(jobs):
    model.add_exactly_one(at[j])
for k in range(jobs):
    model.add_exactly_one(at[j][k] for j in range(jobs))
    model.add(sum(held[t][k] for t in range(tools)) <= places)
    for t in range(tools):
        model.add(held[t][k] >= sum(at[j][k] for j in range(jobs) if needs[t][j]))
        if k > 0:
            model.add(switched[t][k - 1] >= held[t][k] - held[t][k - 1])
model.minimize(sum(z for row in switched for z in row))
solve_cp_sat(run, model)
