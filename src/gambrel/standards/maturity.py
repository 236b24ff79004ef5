"""Maturity: groups A to E, their codes, months and teeth.

A code puts the group and its hundredths in one number: A00 is 100, B50 is 250. [skaa287 for A and B; C to E
by the same pattern, from memory]
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

GROUPS = ("A", "B", "C", "D", "E")

GROUP_MONTHS = {"A": (9, 30), "B": (30, 42), "C": (42, 72), "D": (72, 96), "E": (96, math.inf)}
"""Approximate age of each group [months]: from the first, short of the second.
[bif-guidelines; quality-grid]"""

YOUNG_MONTHS = 30
"""Below this documented age a carcass may class as A. [us-maturity-rule-2017]"""

YOUNG_INCISORS = 2
"""With this many permanent incisors or fewer an animal counts as under 30 months. [us-maturity-rule-2017]"""

_TYPED = re.compile(r"\s*([A-Ea-e])\s*(\d{1,2})?\s*")


@dataclass(frozen=True, slots=True)
class Maturity:
    """A maturity code, whether its hundredths were read (or only the group is known), and where it came
    from.
    """

    code: float
    exact: bool
    how: str

    @property
    def group(self) -> str:
        return GROUPS[int(self.code // 100) - 1]


def read_maturity(typed: object) -> Maturity | None:
    """A group ("A"), a group and hundredths ("B60") or a code (160); None for anything else.

    A bare group is taken at its middle.
    """
    text = str(typed)
    match = _TYPED.fullmatch(text)
    if match:
        group, hundredths = match.groups()
        code = 100.0 * (GROUPS.index(group.upper()) + 1) + (int(hundredths) if hundredths else 50)
        return Maturity(code, hundredths is not None, "read at the bones and lean")
    try:
        code = float(text)
    except ValueError:
        return None
    return Maturity(code, True, "read at the bones and lean") if 100 <= code < 600 else None


def maturity_of_months(age_months: float) -> Maturity | None:
    """The group this age usually falls in, straight-line within it; None under nine months (a calf).

    Age is only a guide to what the bones say. [bif-guidelines; quality-grid]
    """
    for number, (young, old) in enumerate(GROUP_MONTHS.values(), 1):
        if young <= age_months < old:
            inside = 0.5 if math.isinf(old) else (age_months - young) / (old - young)
            return Maturity(100.0 * number + 100 * inside, not math.isinf(old), "from the age in months")
    return None


def under_thirty_months(*, age_months: float | None, permanent_incisors: int | None) -> bool | None:
    """Whether the animal counts as under 30 months by documented age or by teeth; None when neither is known.

    Two permanent incisors or fewer, or a documented age: either is enough. [us-maturity-rule-2017]
    """
    young = [age_months < YOUNG_MONTHS] if age_months is not None else []
    if permanent_incisors is not None:
        young.append(permanent_incisors <= YOUNG_INCISORS)
    return any(young) if young else None


def classed_maturity(
    *, read: Maturity | None, age_months: float | None, permanent_incisors: int | None
) -> Maturity | None:
    """The maturity a carcass is classed by; None when nothing tells it.

    Under 30 months by age or teeth classes as A, unless the bones say D or E (that exception from memory);
    else what was read stands, else what the age usually gives. More than two permanent incisors alone say
    only "not under 30 months". [us-maturity-rule-2017; bif-guidelines]
    """
    young = under_thirty_months(age_months=age_months, permanent_incisors=permanent_incisors)
    if read is not None:
        if young and read.group in "BC":
            return Maturity(199.0, False, f"under 30 months, so classed as A though {read.group} was read")
        return read
    if age_months is not None and age_months < GROUP_MONTHS["A"][0]:
        return None
    if young:
        by_age = maturity_of_months(age_months) if age_months is not None else None
        if by_age is not None and by_age.group == "A":
            return by_age
        return Maturity(150.0, False, "two permanent incisors or fewer, so under 30 months")
    return maturity_of_months(age_months) if age_months is not None else None
