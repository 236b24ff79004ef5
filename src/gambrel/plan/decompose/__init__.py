"""A large week taken apart: what all sides share is priced, and each side is then planned by itself at those prices.

[Dantzig and Wolfe, Decomposition principle for linear programs, Operations Research 8, 1960; cited from memory.]
"""

from gambrel.plan.decompose.engine import first_plan, is_large, plan_apart
from gambrel.plan.decompose.kinds import KindsApart, Part, kinds_apart, within
from gambrel.plan.decompose.sides import only_days, only_ways

__all__ = [
    "KindsApart",
    "Part",
    "first_plan",
    "is_large",
    "kinds_apart",
    "only_days",
    "only_ways",
    "plan_apart",
    "within",
]
