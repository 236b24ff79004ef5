"""Linear and integer programs with rules that have a sentence for a name; HiGHS solves them."""

from gambrel.optimize.problem import Answer, Problem, Row

__all__ = ["Answer", "Problem", "Row"]
