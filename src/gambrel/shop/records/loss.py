"""What hanging sides lose on the rail: the tables' belief, updated with the shop's own weighings of each side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from gambrel.hang.loss import LossModel
from gambrel.hang.weighings import Weighing as Weighed
from gambrel.hang.weighings import learn, weighing_slips
from gambrel.plan.week import Hanging
from gambrel.shop.records.models import Side, Weighing

DAY_SECONDS = 86_400.0


def weighings_of(sides: Iterable[Side]) -> dict[int, list[Weighing]]:
    """Side to its weighings that stand: not put right by a later line, not taken out. One query."""
    lines = Weighing.objects.standing().filter(side__in=[side.pk for side in sides])
    found: dict[int, list[Weighing]] = {}
    for line in lines.order_by("at", "pk"):
        found.setdefault(line.side_id, []).append(line)
    return found


def with_weighings(
    hanging: Hanging, sides: Iterable[Side], weighings: Mapping[int, Sequence[Weighing]]
) -> Hanging:
    """The animal after what was weighed of its sides: they are of one carcass and lose alike."""
    for side in sides:
        if seen := weighings.get(side.pk):
            hanging = replace(hanging, learned=learned_loss(side, hanging, seen))
    return hanging


def learned_loss(side: Side, hanging: Hanging, weighings: Sequence[Weighing]) -> LossModel:
    """The loss of one side after its weighings; one that cannot be true of it teaches nothing."""
    hot_kg = float(side.hot_kg)
    model = hanging.loss(hot_kg)
    seen = [Weighed(days_hung(side, line.at), float(line.weight_kg), line.typed) for line in weighings]
    true = [one for one in seen if not weighing_slips([one], side_hot_kg=hot_kg, model=model)]
    return learn(model, true, side_hot_kg=hot_kg)


def days_hung(side: Side, at: datetime) -> float:
    """Days from the hot scale to `at`, with their fraction; never below 0."""
    return max(0.0, (at - side.hung_at).total_seconds() / DAY_SECONDS)


def whole_days(hanging: Hanging, on: date) -> int:
    """Whole days from the kill to `on`, never below 0."""
    return max(0, (on - hanging.killed).days)
