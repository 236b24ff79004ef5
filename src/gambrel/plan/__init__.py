"""Plan: which side is broken when, which way, into what, so that the week earns the most."""

from gambrel.plan.example import example_week
from gambrel.plan.read_week import read_week
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.search import Progress
from gambrel.plan.solve import solve_week
from gambrel.plan.week import Demand, Group, Hanging, Margin, Order, Pin, Share, Shop, Step, Week

__all__ = [
    "Demand",
    "Group",
    "Hanging",
    "Margin",
    "Order",
    "Pin",
    "PlanResult",
    "Progress",
    "Share",
    "Shop",
    "SidePlan",
    "Step",
    "Week",
    "example_week",
    "read_week",
    "solve_week",
]
