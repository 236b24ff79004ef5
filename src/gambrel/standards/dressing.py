"""Dressing percentage: hot carcass as a share of live weight, and what is published as usual."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class UsualDressing:
    """Published span of dressing [% of live weight] for a class of animal, with its source key."""

    animal: str
    low_pct: float
    high_pct: float
    source: str


USUAL = (
    UsualDressing("fed beef cattle", 60.0, 64.0, "msu-p3489"),
    UsualDressing("all slaughter cattle", 55.0, 70.0, "bif-guidelines"),
    UsualDressing("grass-fed cattle", 55.0, 58.0, "uc-31-651"),
    UsualDressing("cull cow", 44.0, 55.0, "ontario-05-075"),
    UsualDressing("Wagyu-sired cattle", 64.1, 65.4, "jas-skac343"),
)
"""All read. None for bison: published figures disagree."""


def dressing_pct(*, live_lb: float, hot_lb: float) -> float:
    """Hot carcass as % of live weight, both in the same unit. [bif-guidelines]"""
    if live_lb <= 0:
        raise ValueError(f"a live weight is above 0, not {live_lb}")
    return 100 * hot_lb / live_lb


def hot_from_live_lb(*, live_lb: float, percent: float) -> float:
    """Hot carcass weight [lb] of an animal that dresses `percent`. [msu-p3489]"""
    return live_lb * percent / 100
