"""Plan: which side is broken when, which way, into what, so that the week earns the most."""

from gambrel.plan.read_week import read_week
from gambrel.plan.week import Bill, Demand, Group, Hanging, Margin, Order, Pin, Shop, Step, Week

__all__ = [
    "Bill",
    "Demand",
    "Group",
    "Hanging",
    "Margin",
    "Order",
    "Pin",
    "Shop",
    "Step",
    "Week",
    "read_week",
]
