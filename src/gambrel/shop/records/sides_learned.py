"""The sides whose weights teach, each beside the forecast it went to the block with: what the learn pages judge.

It changes when a side is finished or put right and stays in memory until then. A scorecard also compares sides that are
too far from balance to teach (`sides_compared`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from django.db.models import Sum

from gambrel.breakdown.balance import group_of
from gambrel.catalog.cuts import shipped_cuts
from gambrel.learn.score_figures import LEAST_WEIGHED_SHARE, MOST_WEIGHED_SHARE
from gambrel.learn.truth import SideTruth
from gambrel.shop.records.models import Cutting, FaceReading, Lesson, ScaleWeight, Side, SideForecast
from gambrel.shop.records.side_forecasts import TOGETHER, Figure, Told, told_of
from gambrel.shop.records.week import faces_of, mean_of

MOST_SIDES = 240
"""So many of the newest sides are judged: a forecast of years ago says nothing of the one of today."""

MEAT = ("cuts", "trim")
FACE = ("fat_mm", "ribeye_cm2", "marbling_score")
LEAST_KG = 0.1
"""Pieces of which less is forecast are read to a digit as large as themselves."""


@dataclass(frozen=True)
class SideLearned:
    """One side: weights by slug [kg], what it was told to give (None where nobody kept it), and how.

    `prices` are those that stood behind the forecast's money [cents/kg].
    """

    cutting_id: int
    animal_id: int
    name: str
    tag: str
    kind: str
    supplier: str
    day: date
    hung_days: float
    begun_kg: float
    hot_kg: float
    weighed_kg: Mapping[str, float]
    face: Mapping[str, float | None]
    edition: str
    told: Told | None
    prices: Mapping[str, float]

    @property
    def meat_share(self) -> float:
        """What sells as meat, cuts and trim, of what came off the rail."""
        return self.meat_kg / self.begun_kg

    @property
    def meat_kg(self) -> float:
        """What sells as meat, cuts and trim."""
        cuts = shipped_cuts()
        return sum(kg for slug, kg in self.weighed_kg.items() if group_of(cuts[slug]) in MEAT)


State = tuple[str, int | None]
"""Names what was learned and told so far: as long as it is the same, so are the sides."""


def state_now() -> State:
    """The newest lesson and the newest forecast. Two queries."""
    newest = Lesson.objects.order_by("-pk").values_list("chain", flat=True).first()
    return newest or "", SideForecast.objects.order_by("-pk").values_list("pk", flat=True).first()


def sides_learned(state: State) -> tuple[SideLearned, ...]:
    """The newest sides that balance, oldest first."""
    return _read(state)[0]


def sides_compared(state: State) -> tuple[SideLearned, ...]:
    """The same and those that teach nothing and yet were weighed whole enough to be compared, as their weights stand
    now. Two queries more where there are such."""
    learned, others = _read(state)
    return tuple(sorted((*learned, *_weighed_whole(others)), key=_by_day)) if others else learned


@dataclass(frozen=True)
class _Other:
    """A side that teaches nothing: its cutting, the forecast it went to the block with, the sides of its animal."""

    cutting: Cutting
    forecast: SideForecast | None
    together: tuple[Side, ...]


@lru_cache(maxsize=2)
def _read(_state: State) -> tuple[tuple[SideLearned, ...], tuple[_Other, ...]]:
    """The newest sides that balance, oldest first, and the newest that do not."""
    lines: dict[int, Lesson] = {}
    rows = Lesson.objects.order_by("-pk").select_related("cutting__side__animal__supplier")
    for line in rows[: 2 * MOST_SIDES]:
        lines.setdefault(line.cutting_id, line)
    kept = [line for line in lines.values() if line.test is not None][:MOST_SIDES]
    others = [line.cutting for line in lines.values() if line.test is None][:MOST_SIDES]
    sides = [cutting.side_id for cutting in (*(line.cutting for line in kept), *others)]
    told = {one.side_id: one for one in SideForecast.objects.filter(side__in=sides).order_by("pk")}
    found = [_side(line.cutting, _known(line.test), told.get(line.cutting.side_id)) for line in kept]
    both: dict[int, list[Side]] = {}
    for side in Side.objects.filter(animal__in=[cutting.side.animal_id for cutting in others]):
        both.setdefault(side.animal_id, []).append(side)
    return tuple(sorted(found, key=_by_day)), tuple(
        _Other(one, told.get(one.side_id), tuple(both[one.side.animal_id])) for one in others
    )


def _by_day(side: SideLearned) -> tuple[date, int]:
    return side.day, side.cutting_id


def _weighed_whole(others: Sequence[_Other]) -> list[SideLearned]:
    """Those of which as much was weighed as is fit to be compared. They are no lessons, so that weights and readings
    are looked up."""
    weighed: dict[int, dict[str, float]] = {}
    rows = ScaleWeight.objects.standing().filter(cutting__in=[one.cutting for one in others])
    for cutting_id, slug, kg in rows.values_list("cutting_id", "slug").annotate(kg=Sum("weight_kg")):
        weighed.setdefault(cutting_id, {})[slug] = float(kg)
    faces = faces_of(side for one in others for side in one.together)
    return [
        _side(one.cutting, _standing(one, weighed[one.cutting.pk], faces), one.forecast)
        for one in others
        if LEAST_WEIGHED_SHARE
        <= sum(weighed.get(one.cutting.pk, {}).values()) / float(one.cutting.begun_kg)
        <= MOST_WEIGHED_SHARE
    ]


def _standing(other: _Other, kg: Mapping[str, float], faces: Mapping[int, FaceReading]) -> dict[str, Any]:
    """What a lesson would say of the side: readings are the mean of its animal's sides."""
    read = [faces[side.pk] for side in other.together if side.pk in faces]
    face = {name: mean_of(getattr(reading, name) for reading in read) for name in FACE}
    return {"day": other.cutting.begun_at.date().toordinal(), "weighed_kg": kg, "animal": face}


def _side(cutting: Cutting, test: Mapping[str, Any], forecast: SideForecast | None) -> SideLearned:
    side, animal = cutting.side, cutting.side.animal
    return SideLearned(
        cutting_id=cutting.pk,
        animal_id=animal.pk,
        name=str(side),
        tag=animal.tag,
        kind=animal.kind,
        supplier=animal.supplier.name if animal.supplier else "",
        day=date.fromordinal(int(test["day"])),
        hung_days=(cutting.begun_at - side.hung_at).total_seconds() / 86_400.0,
        begun_kg=float(cutting.begun_kg),
        hot_kg=float(side.hot_kg),
        weighed_kg=test["weighed_kg"],
        face={name: test["animal"][name] for name in FACE},
        edition=forecast.edition if forecast else "",
        told=told_of(forecast) if forecast else None,
        prices=forecast.asked["prices"] if forecast else {},
    )


def _known(test: dict[str, Any] | None) -> dict[str, Any]:
    assert test is not None
    return test


def truth_of(side: SideLearned) -> SideTruth | None:
    """The side's weights within its forecast; None where no forecast was kept. All bones, or all fat, that were
    weighed in one tub are judged together."""
    if side.told is None:
        return None
    place_share, ratio = {}, {}
    for slug, (kg, figure) in _judged(side, side.told).items():
        place_share[slug], ratio[slug] = figure.place_share(kg), kg / figure.mean
    return SideTruth(side.name, side.kind, side.day, place_share, ratio) if place_share else None


def _judged(side: SideLearned, told: Told) -> dict[str, tuple[float, Figure]]:
    cuts, weighed = shipped_cuts(), side.weighed_kg
    figures = dict(told.pieces)
    for group, tub in TOGETHER.items():
        members = [slug for slug in figures if group_of(cuts[slug]) == group]
        if tub in weighed and group in told.together and not set(weighed) & (set(members) - {tub}):
            for slug in members:
                del figures[slug]
            figures[tub] = told.together[group]
    return {slug: (kg, figures[slug]) for slug, kg in weighed.items()
            if slug in figures and figures[slug].mean >= LEAST_KG}  # fmt: skip
