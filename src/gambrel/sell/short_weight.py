"""Whether a lot of packs may go out by weight: the mean of a sample, and no pack short by more than it may be.

[NIST Handbook 133, Checking the Net Contents of Packaged Goods, 2019. Table 2-5 from memory but for the step at a
quarter of a pound, which was read; the number allowed of short packs from memory.] The labels here are cut off
downwards, so a failure is a scale or a tare that is wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from gambrel.measures.scale import KG_PER

_STEPS = (
    ("0.12", ".008"), ("0.18", ".012"), ("0.26", ".016"), ("0.34", ".020"), ("0.46", ".024"), ("0.58", ".028"),
    ("0.70", ".032"), ("0.84", ".036"), ("0.94", ".040"), ("1.08", ".044"), ("1.26", ".048"), ("1.40", ".052"),
    ("1.54", ".056"), ("1.70", ".060"), ("1.88", ".064"), ("2.14", ".070"), ("2.48", ".078"), ("2.76", ".086"),
    ("3.20", ".094"), ("3.90", ".11"), ("4.70", ".12"), ("5.80", ".14"), ("6.80", ".15"), ("7.90", ".17"),
    ("9.40", ".19"), ("11.70", ".22"), ("14.30", ".25"), ("17.70", ".28"), ("23.20", ".31"), ("31.60", ".37"),
    ("42.40", ".44"), ("54.40", ".50"),
)  # fmt: skip
"""Upper end of each step of the labelled weight [lb], and how much a pack of that step may be short [lb]."""

_SMALL_LB, _SMALL_SHARE, _LARGE_SHARE = Decimal("0.08"), Decimal("0.1"), Decimal("0.02")
DIVISION_SHARE = 6
"""The scale's division is no bigger than the allowed variation over this [Handbook 133, chapter 2, read]."""


def allowed_short_lb(labelled_lb: Decimal) -> Decimal:
    """How much one pack may be short of its label [lb]."""
    if labelled_lb < _SMALL_LB:
        return labelled_lb * _SMALL_SHARE
    for upper, allowed in _STEPS:
        if labelled_lb <= Decimal(upper):
            return Decimal(allowed)
    return labelled_lb * _LARGE_SHARE


def largest_division_lb(labelled_lb: Decimal) -> Decimal:
    """The coarsest step a scale may have to check packs of this label [lb], of 0.001, 0.002 and 0.005 and so on."""
    most = allowed_short_lb(labelled_lb) / DIVISION_SHARE
    decade = Decimal(1).scaleb(most.adjusted())
    return max(step * decade for step in (Decimal(1), Decimal(2), Decimal(5)) if step * decade <= most)


@dataclass(frozen=True, slots=True)
class Checked:
    """A pack of the sample: what its label says and what was in it, in kg."""

    labelled_kg: Decimal
    found_kg: Decimal

    @property
    def over_kg(self) -> Decimal:
        return self.found_kg - self.labelled_kg

    @property
    def is_too_short(self) -> bool:
        allowed = allowed_short_lb(self.labelled_kg / KG_PER["lb"]) * KG_PER["lb"]
        return -self.over_kg > allowed


@dataclass(frozen=True, slots=True)
class LotCheck:
    """What the sample says: mean over the label [kg], packs too short, and whether the lot may go out."""

    mean_over_kg: Decimal
    too_short: tuple[Checked, ...]

    @property
    def passes(self) -> bool:
        """The mean is not below the label and no pack is too short; small samples are allowed none."""
        return self.mean_over_kg >= 0 and not self.too_short


def check_lot(sample: Sequence[Checked]) -> LotCheck:
    """The two tests on a sample. Raises ValueError for an empty one."""
    if not sample:
        raise ValueError("a sample of at least one pack")
    mean = sum((pack.over_kg for pack in sample), Decimal(0)) / len(sample)
    return LotCheck(mean, tuple(pack for pack in sample if pack.is_too_short))
