"""The shop's weighings of a hanging side: slips that stop the work, and oddities that are only said.

A slip (weighed twice, pounds for kilograms, both sides for one, more than the hot weight) would teach the
loss model something false, so it has to be mended first. An oddity may be true; it is kept and named.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.hang.loss import LossModel
from gambrel.measures import Findings
from gambrel.measures.units import KG_PER_LB, lb_from_kg

FAULT_FIRST_DAY_SHARE = 0.05
"""A first-day loss of 5 % is more than any measured chill (1.1-2.0 %) and is taken for a fault."""

_RATIOS = (
    (1 / KG_PER_LB, "pounds typed as kilograms: write it with lb"),
    (KG_PER_LB, "kilograms typed as pounds: write it with kg"),
    (2.0, "both sides weighed: give one side, or the hot weight of the carcass as hot"),
    (0.5, "one quarter weighed, or the hot weight is that of the carcass: give it as hot, not side_hot"),
)


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weight of the side on one day; `day` counts from the hot scale, `where` names it in messages."""

    day: float
    weight_kg: float
    where: str


def weighing_slips(weighings: Sequence[Weighing], *, side_hot_kg: float, model: LossModel) -> Findings:
    """What cannot be true of one side, with the likely cause."""
    findings = Findings()
    tolerance_kg = 3 * model.noise_share * side_hot_kg
    seen: dict[float, Weighing] = {}
    for weighing in weighings:
        before = seen.setdefault(weighing.day, weighing)
        if before is not weighing:
            _twice(findings, before, weighing, tolerance_kg)
        if not 0.0 <= weighing.day <= model.last_day:
            findings.add(
                f"{weighing.where}, day",
                f"{weighing.day:g}",
                f"0 to {model.last_day:g} days from the kill",
                f"Check the date; the figures stop there ({model.days_source}).",
            )
            continue
        expected_kg = side_hot_kg * model.remaining_mean(weighing.day)
        cause = _likely_slip(weighing.weight_kg / expected_kg)
        if cause:
            findings.add(
                weighing.where,
                _show(weighing.weight_kg),
                f"about {_show(expected_kg)} on day {weighing.day:g}",
                f"It looks like {cause}.",
            )
        elif weighing.weight_kg > side_hot_kg + tolerance_kg:
            findings.add(
                weighing.where,
                _show(weighing.weight_kg),
                f"at most the hot weight {_show(side_hot_kg)} and the scale's {_show(tolerance_kg)}",
                "A side does not gain: check the tare of hook and gambrel, and that it is the same side.",
            )
    return findings


def weighing_oddities(weighings: Sequence[Weighing], *, side_hot_kg: float, model: LossModel) -> Findings:
    """What is unlikely of one side under `model` (the belief before these weighings), but may be so."""
    findings = Findings()
    in_order = sorted(weighings, key=lambda weighing: weighing.day)
    step_kg = 3 * math.sqrt(2) * model.noise_share * side_hot_kg
    for number, weighing in enumerate(in_order):
        lost = 1 - weighing.weight_kg / side_hot_kg
        spread = math.hypot(model.remaining_sd(weighing.day), model.noise_share)
        usual = 1 - model.remaining_mean(weighing.day)
        if 0 < weighing.day <= 1.0 and lost >= FAULT_FIRST_DAY_SHARE:
            findings.add(
                weighing.where,
                f"{lost:.1%} lost on the first day",
                "1 to 3 %",
                "More than any measured chill loss: check the hot weight and the tare.",
            )
        elif abs(lost - usual) > 4 * spread:
            findings.add(
                weighing.where,
                f"{lost:.1%} of the hot weight lost by day {weighing.day:g}",
                f"{usual:.1%}, give or take {2 * spread:.1%}",
                "Weigh again; if it holds, look at the cooler's air and humidity.",
            )
        earlier = min((one.weight_kg for one in in_order[:number]), default=math.inf)
        if weighing.weight_kg > earlier + step_kg:
            findings.add(
                weighing.where,
                _show(weighing.weight_kg),
                f"no more than {_show(earlier)}, weighed before it",
                "A side does not gain: check the tare, and that it is the same side.",
            )
    return findings


def learn(model: LossModel, weighings: Sequence[Weighing], *, side_hot_kg: float) -> LossModel:
    """`model` updated with these weighings of one side."""
    return model.updated(
        [weighing.day for weighing in weighings],
        [1 - weighing.weight_kg / side_hot_kg for weighing in weighings],
    )


def _twice(findings: Findings, before: Weighing, again: Weighing, tolerance_kg: float) -> None:
    if abs(before.weight_kg - again.weight_kg) <= 1e-6:
        findings.add(
            again.where,
            f"{_show(again.weight_kg)} again on day {again.day:g}",
            "each weighing once",
            f"Take one out: it repeats {before.where}.",
        )
    elif abs(before.weight_kg - again.weight_kg) > tolerance_kg:
        findings.add(
            again.where,
            _show(again.weight_kg),
            f"about {_show(before.weight_kg)}, {before.where} of the same day",
            "Two weights of one day lie too far apart: take out the wrong one.",
        )


def _likely_slip(ratio: float) -> str | None:
    """The slip whose ratio is nearest, when the weight is within 4 % of it."""
    nearest = min(_RATIOS, key=lambda row: abs(math.log(ratio / row[0])))
    return nearest[1] if abs(ratio / nearest[0] - 1) < 0.04 else None


def _show(weight_kg: float) -> str:
    return f"{lb_from_kg(weight_kg):.1f} lb ({weight_kg:.1f} kg)"
