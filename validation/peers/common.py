"""What all peers share: arguments, clock, and the one line of JSON that they print."""

import argparse
import json
import resource
import time


class Run:
    """One run: its arguments, its clock, and the time of its best answer."""

    def __init__(self):
        parser = argparse.ArgumentParser()
        parser.add_argument("file")
        parser.add_argument("--seconds", type=float, default=10.0)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--workers", type=int, default=8)
        arguments = parser.parse_args()
        self.file = arguments.file
        self.limit_s = arguments.seconds
        self.seed = arguments.seed
        self.workers = arguments.workers
        self.begin()

    def begin(self):
        """Starts the clock: called once the file is read."""
        self.start = time.monotonic()
        self.start_cpu_s = cpu_s()
        self.best_at_s = None

    def left_s(self):
        return max(0.01, self.limit_s - (time.monotonic() - self.start))

    def better(self):
        """Notes that a better answer has just come."""
        self.best_at_s = time.monotonic() - self.start

    def tell(self, value, bound, proven):
        seconds = time.monotonic() - self.start
        best_at_s = seconds if self.best_at_s is None else self.best_at_s
        line = {"value": value, "bound": bound, "proven": proven, "best_at_s": best_at_s,
                "seconds": seconds, "cpu_s": cpu_s() - self.start_cpu_s}
        print(json.dumps(line))


def cpu_s():
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def words(path):
    with open(path, encoding="utf-8") as file:
        return file.read().split()


def solve_cp_sat(run, model):
    """Solves a CP-SAT model that minimises, and tells."""
    from ortools.sat.python import cp_model

    class Noting(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self):
            run.better()

    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = run.left_s()
    solver.parameters.num_workers = run.workers
    solver.parameters.random_seed = run.seed
    status = solver.solve(model, Noting())
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    value = solver.objective_value if found else None
    run.tell(value, solver.best_objective_bound, status == cp_model.OPTIMAL)
