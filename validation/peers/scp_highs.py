"""HiGHS on set cover: one 0/1 variable a column, one row a row."""

import highspy
import numpy

import scp_files
from common import Run

run = Run()
costs, covers = scp_files.read(run.file)
run.begin()
columns = len(costs)
lp = highspy.HighsLp()
lp.num_col_, lp.num_row_ = columns, len(covers)
lp.col_cost_ = numpy.array(costs, dtype=float)
lp.col_lower_, lp.col_upper_ = numpy.zeros(columns), numpy.ones(columns)
lp.row_lower_ = numpy.ones(len(covers))
lp.row_upper_ = numpy.full(len(covers), highspy.kHighsInf)
lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
lp.a_matrix_.start_ = numpy.cumsum([0] + [len(row) for row in covers])
lp.a_matrix_.index_ = numpy.concatenate([numpy.array(row) for row in covers])
lp.a_matrix_.value_ = numpy.ones(sum(len(row) for row in covers))
lp.integrality_ = [highspy.HighsVarType.kInteger] * columns
highs = highspy.Highs()
highs.setOptionValue("output_flag", False)
highs.setOptionValue("random_seed", run.seed)
highs.setOptionValue("time_limit", run.left_s())
highs.passModel(lp)
highs.cbMipImprovingSolution += lambda _event: run.better()
highs.run()
info = highs.getInfo()
found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
proven = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
bound = info.mip_dual_bound
run.tell(round(info.objective_function_value) if found else None, bound if abs(bound) < 1e30 else None, proven)
