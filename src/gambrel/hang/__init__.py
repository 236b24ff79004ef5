"""What a side weighs on any day, when it is ready, whether the rail holds it, what the cooler did."""

from gambrel.hang.loss import LossModel

__all__ = ["LossModel"]
