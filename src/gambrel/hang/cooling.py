"""How much heat a side gives off in the chill and how long its deep leg takes, from published figures."""

from __future__ import annotations

from gambrel.measures import CannotDo, Finding

MJ_PER_BTU = 1.05505585262e-3
"""International table Btu [NIST Special Publication 811, appendix B.8, 2008]."""

BTU_PER_LB_F = 0.75
"""Specific heat of a beef side above freezing, from memory (about 3.1 kJ/kg K)."""

DEEP_LEG_HOURS = {100.0: (19.0, 24.5), 125.0: (22.0, 27.0)}
"""Side weight [kg] to hours to 7 C in the deep leg, (lean, fat), air 0 C at 0.75 m/s.

[James and James, Meat Refrigeration, chapter 5, Woodhead, 2002; a scan read "190" taken as 19.0]
"""


def heat_btu(*, side_lb: float, from_f: float, to_f: float) -> float:
    """Heat to be taken out of a side [Btu]: weight x specific heat x fall; no heat of rigor, no freezing."""
    return side_lb * BTU_PER_LB_F * (from_f - to_f)


def heat_mj(*, side_lb: float, from_f: float, to_f: float) -> float:
    """The same heat in megajoules."""
    return heat_btu(side_lb=side_lb, from_f=from_f, to_f=to_f) * MJ_PER_BTU


def hours_to_7c(*, side_kg: float) -> tuple[float, float]:
    """Hours until the deep leg is at 7 C, for a lean and for a fat side, air 0 C at 0.75 m/s.

    Straight lines between the published 100 and 125 kg; other weights are refused with `CannotDo`.
    """
    low_kg, high_kg = min(DEEP_LEG_HOURS), max(DEEP_LEG_HOURS)
    if not low_kg <= side_kg <= high_kg:
        raise CannotDo(
            [
                Finding(
                    "side weight",
                    f"{side_kg:.1f} kg",
                    f"{low_kg:g} to {high_kg:g} kg",
                    "The published chill times stop there; log the deep round.",
                )
            ]
        )
    into = (side_kg - low_kg) / (high_kg - low_kg)
    lean, fat = (
        small + into * (large - small)
        for small, large in zip(DEEP_LEG_HOURS[low_kg], DEEP_LEG_HOURS[high_kg], strict=True)
    )
    return lean, fat
