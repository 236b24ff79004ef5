"""Whether a weight at the block may be believed: what is asked before one is kept that is far from the forecast.

Nothing here refuses: a person who looked at the scale knows better. Pieces are weighed in one go or in several,
so too little is no reason to ask; too much is.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from gambrel.measures import Estimate
from gambrel.measures.units import KG_PER_LB

SAME_AGAIN_S = 20.0
"""The same piece with the same weight so soon after is more likely sent twice than weighed twice."""

_FAR_SHARE = 0.5
_NEAR_RATIO = 1.15


class Doubt(Enum):
    """What may be wrong with a weight."""

    AGAIN = "again"
    """The same as the line before."""
    POUNDS = "pounds"
    """About 2.2 times what was expected: pounds kept as kilograms."""
    TOO_MUCH = "too-much"
    """Far above the forecast of this piece, what was weighed of it before included."""
    OTHER_SIDE = "other-side"
    """This side has all of this piece already, and the animal's other side is on the block and lacks it."""
    NOT_HERE = "not-here"
    """The ways that were chosen do not give this piece."""
    MORE_THAN_LEFT = "more-than-left"
    """More than is left of the side."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a piece before its next weight; weights in kg. `expected` is None where no way gives it.

    `left_kg` is what is left of the side, the scale's tolerance added. `last_s` is how long ago `last_kg`, the
    newest weight of this piece, was kept.
    """

    expected: Estimate | None
    weighed_kg: float
    left_kg: float
    last_kg: float | None = None
    last_s: float | None = None
    other_side_lacks_it: bool = False


def doubts_of(weight_kg: float, known: Known) -> tuple[Doubt, ...]:
    """Every reason to look at the scale again before `weight_kg` is kept, the most telling first."""
    doubts = []
    if known.last_kg == weight_kg and known.last_s is not None and known.last_s <= SAME_AGAIN_S:
        doubts.append(Doubt.AGAIN)
    if weight_kg > known.left_kg:
        doubts.append(Doubt.MORE_THAN_LEFT)
    if known.expected is None:
        return (*doubts, Doubt.NOT_HERE)
    if _is_far(known.weighed_kg + weight_kg, known.expected):
        if known.weighed_kg == 0.0 and _near(weight_kg, known.expected.mean / KG_PER_LB):
            doubts.append(Doubt.POUNDS)
        elif known.other_side_lacks_it and known.weighed_kg >= known.expected.p05:
            doubts.append(Doubt.OTHER_SIDE)
        else:
            doubts.append(Doubt.TOO_MUCH)
    return tuple(doubts)


def _is_far(total_kg: float, expected: Estimate) -> bool:
    """Above the interval by half the mean or more: one in twenty is above it in any case."""
    return total_kg > expected.p95 + _FAR_SHARE * expected.mean


def _near(weight_kg: float, other_kg: float) -> bool:
    return other_kg / _NEAR_RATIO <= weight_kg <= other_kg * _NEAR_RATIO
