"""What the shop's coolers take from its sides: learned by kind and cooler from the sides that have been cut.

It changes when a side is finished and stays in memory until then, so that a page pays one query for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from gambrel.catalog.kinds import Kind
from gambrel.hang.loss import LossModel
from gambrel.hang.weighings import Weighing as Weighed
from gambrel.learn.hanging import HungSide, LearnedLoss, learn_hanging
from gambrel.shop.records.loss import days_hung, weighings_of
from gambrel.shop.records.models import Cutting, FaceAccepted, Lesson, Side, SideMove, SideState

MOST_HUNG = 200
"""So many of the newest sides teach; a cooler of years ago is another cooler."""

ALL_COOLERS = ""


@dataclass(frozen=True)
class Losses:
    """What was learned, by kind and by name of the cooler; `ALL_COOLERS` stands for one without sides of its own."""

    by_kind: Mapping[str, Mapping[str, LearnedLoss]]

    def of(self, kind: Kind, cooler: str, *, hot_kg: float, fat_mm: float | None) -> LossModel:
        """The loss of a side of this kind, weight and fat cover in this cooler, before its own weighings."""
        book = LossModel.prior(kind, fat_mm=fat_mm, side_hot_kg=hot_kg)
        coolers = self.by_kind.get(kind.slug, {})
        learned = coolers.get(cooler) or coolers.get(ALL_COOLERS)
        return learned.of_side(book) if learned is not None else book


def losses_here(kinds: Mapping[str, Kind]) -> Losses:
    """What the shop knows of its coolers now."""
    newest = Lesson.objects.order_by("-pk").values_list("chain", flat=True).first()
    return _losses(newest, tuple(kinds.items())) if newest else Losses({})


def cooler_of(side: Side) -> str:
    """Name of the room a side hangs in; "" where the records do not know."""
    return side.rail.room.name if side.rail is not None else ALL_COOLERS


@lru_cache(maxsize=4)
def _losses(_chain: str, kinds: tuple[tuple[str, Kind], ...]) -> Losses:
    """The lessons' chain stands for the sides that have been finished."""
    ended = Cutting.objects.filter(ended_at__isnull=False).order_by("-ended_at", "-pk")
    sides = [one.side for one in ended.select_related("side__animal")[:MOST_HUNG]]
    hung = _hung(sides)
    return Losses({slug: learn_hanging(kind, hung[slug]) for slug, kind in kinds if slug in hung})


def _hung(sides: Sequence[Side]) -> dict[str, list[HungSide]]:
    """By kind, every side with its weighings and the cooler it hung in last."""
    weighed, rooms, fat_mm = weighings_of(sides), _rooms(sides), _fat_mm(sides)
    found: dict[str, list[HungSide]] = {}
    for side in sides:
        weighings = tuple(
            Weighed(days_hung(side, line.at), float(line.weight_kg), line.typed)
            for line in weighed.get(side.pk, [])
        )
        if weighings:
            found.setdefault(side.animal.kind, []).append(
                HungSide(rooms.get(side.pk, ALL_COOLERS), float(side.hot_kg), fat_mm.get(side.pk), weighings)
            )
    return found


def _rooms(sides: Iterable[Side]) -> dict[int, str]:
    moves = SideMove.objects.filter(side__in=[side.pk for side in sides], state=SideState.HANGING)
    lines = moves.filter(rail__isnull=False).order_by("at", "pk")
    return dict(lines.values_list("side_id", "rail__room__name"))


def _fat_mm(sides: Iterable[Side]) -> dict[int, float | None]:
    """Fat cover read on the side itself; its fellow's counts as well as its own, where only that was read."""
    rows = list(sides)
    read = FaceAccepted.objects.filter(side__animal__in={side.animal_id for side in rows}).order_by(
        "at", "pk"
    )
    by_side: dict[int, float | None] = {}
    by_animal: dict[int, float | None] = {}
    for side_id, animal_id, fat_mm in read.values_list("side_id", "side__animal_id", "reading__fat_mm"):
        by_side[side_id] = by_animal[animal_id] = fat_mm
    return {side.pk: by_side.get(side.pk, by_animal.get(side.animal_id)) for side in rows}
