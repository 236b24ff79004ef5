"""What a master settled, said side by side, and a model of no other ways and days than those."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from gambrel.plan.decompose.master import Cutting
from gambrel.plan.model import PlanModel
from gambrel.plan.result import SidePlan
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Hanging


def sides_of_cuttings(model: PlanModel, cuttings: Iterable[tuple[Cutting, int]]) -> tuple[SidePlan, ...]:
    """Every side with its day and ways; alike sides are dealt out left first, earlier day first."""
    of_group: dict[int, list[Cutting]] = {}
    for cutting, much in cuttings:
        of_group.setdefault(cutting.group, []).extend([cutting] * much)
    found = []
    for group in model.groups:
        # Those that hang on come last.
        settled = sorted(of_group[group.number], key=lambda one: (one.day is None, one.day or group.latest))
        for half, cutting in zip(group.halves, settled, strict=True):
            found.append(_side(model, group, half, cutting))
    return tuple(found)


def _side(model: PlanModel, group: SideGroup, half: str, cutting: Cutting) -> SidePlan:
    ways: dict[str, str] = {}
    for choice in cutting.choices:
        ways.update(model.options[group.number].choices[choice].ways)
    weight_kg = group.end_kg if cutting.day is None else group.weight_kg[cutting.day]
    name = group.hanging.side_id(half)
    return SidePlan(name, group.hanging.id, half, group.hanging.kind.slug, cutting.day, weight_kg, ways)


def only_days(group: SideGroup, days: set[object]) -> SideGroup:
    """The group with no other cutting days than these."""
    return replace(group, weight_kg={day: kg for day, kg in group.weight_kg.items() if day in days})


def only_ways(hanging: Hanging, sides: Iterable[Mapping[str, str]]) -> Hanging:
    """The animal with no other ways than its sides take, at the pieces that they break."""
    taken: dict[str, tuple[str, ...]] = {}
    for ways in sides:
        for piece, way in ways.items():
            taken[piece] = tuple(dict.fromkeys((*taken.get(piece, ()), way)))
    return replace(hanging, ways_allowed={**hanging.ways_allowed, **taken})
