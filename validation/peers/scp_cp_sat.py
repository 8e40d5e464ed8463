"""CP-SAT on set cover: one 0/1 variable a column, one clause a row."""

from ortools.sat.python import cp_model

import scp_files
from common import Run, solve_cp_sat

run = Run()
costs, covers = scp_files.read(run.file)
run.begin()
model = cp_model.CpModel()
chosen = [model.new_bool_var(f"x{c}") for c in range(len(costs))]
for columns in covers:
    model.add_at_least_one(chosen[c] for c in columns)
model.minimize(sum(cost * x for cost, x in zip(costs, chosen)))
solve_cp_sat(run, model)
