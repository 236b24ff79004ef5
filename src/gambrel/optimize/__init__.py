"""Linear and integer programs with rules that have a sentence for a name; HiGHS solves them."""

from gambrel.optimize.growing import Column, GrowingProgram
from gambrel.optimize.problem import Answer, Problem, Row
from gambrel.optimize.watch import Watch

__all__ = ["Answer", "Column", "GrowingProgram", "Problem", "Row", "Watch"]
