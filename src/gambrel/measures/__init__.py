"""Units, money, estimates and findings: what every step counts with and complains with."""

from gambrel.measures.entry import Entry
from gambrel.measures.errors import CannotDo, GambrelError
from gambrel.measures.estimate import Estimate
from gambrel.measures.findings import Finding, Findings

__all__ = ["CannotDo", "Entry", "Estimate", "Finding", "Findings", "GambrelError"]
