"""The block: a side taken off the rail, every weight that comes off it, weights put right, the side finished."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import CannotDo, Finding
from gambrel.shop.clock import now
from gambrel.shop.records.models import (
    Cutting,
    Lot,
    Person,
    ScaleWeight,
    Side,
    SideMove,
    SideState,
    TubEvent,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.services import rail
from gambrel.shop.records.services.lessons import learn_from
from gambrel.shop.records.services.once import written_once
from gambrel.shop.records.services.replaced import stop_if_replaced
from gambrel.shop.records.services.told import tell, tell_again
from gambrel.shop.records.services.trail import record
from gambrel.shop.records.week import kinds_of_shop

NO_TARE = Decimal(0)
HEAVIEST_KG = Decimal(1000)
"""No side and no piece weighs so much; a figure above it is a slip of the scale or the hand."""


@transaction.atomic
def begin(
    side: Side, *, weight_kg: Decimal, typed: str, ways: Mapping[str, str], by: Person | None, key: UUID
) -> Cutting:
    """The side on the block, weighed off the rail, with a lot for its meat. Begun twice, it is begun once."""
    there = Cutting.objects.filter(side=side).first()
    if there is not None:
        return there
    side = Side.objects.select_for_update().select_related("animal").get(pk=side.pk)
    if side.state != SideState.HANGING:
        raise CannotDo([Finding(f"{side}", side.state, "a side that hangs", "Choose another side.")])
    _stop_if_no_weight(f"{side}", weight_kg)
    at = now()
    rail.weigh(side, weight_kg=weight_kg, typed=typed, at=at, by=by, key=key, why="off the rail")
    rail.move(side, rail=None, position_mm=None, by=by, state=SideState.ON_BLOCK)
    cutting, is_new = written_once(
        lambda: Cutting.objects.create(
            side=side, begun_at=at, begun_by=by, begun_kg=weight_kg, ways=dict(ways)
        ),
        lambda: Cutting.objects.filter(side=side).first(),
    )
    if not is_new:
        return cutting  # two tablets at once
    _make_lot(cutting)
    tell(cutting)
    record(by, "began to cut", side, after={"begun_kg": str(weight_kg), "typed": typed})
    return cutting


def _make_lot(cutting: Cutting) -> Lot:
    """Its code is the year, the day of the year and the number of the cutting: 26068-12."""
    animal, made_on = cutting.side.animal, timezone.localtime(cutting.begun_at).date()
    return Lot.objects.create(
        code=f"{made_on:%y%j}-{cutting.pk}", cutting=cutting, made_on=made_on, kind=animal.kind,
        species=kinds_of_shop()[animal.kind].species, inspected=animal.inspected, owner_name=animal.owner_name,
    )  # fmt: skip


@transaction.atomic
def weigh_piece(
    cutting: Cutting, slug: str, *, weight_kg: Decimal, typed: str, key: UUID, by: Person | None,
    device: str = "", tare_kg: Decimal = NO_TARE,
) -> ScaleWeight:  # fmt: skip
    """One weight off the scale: `weight_kg` without the tare, which is kept beside it.

    The same `key` sent again gives the line that is there. A weight that comes after the side was finished is
    kept too: it may have waited on a tablet for the wireless.
    """
    if (there := ScaleWeight.objects.filter(key=key).first()) is not None:
        return there
    _stop_if_no_piece(cutting, slug)
    _stop_if_no_weight(slug, weight_kg, most_kg=cutting.begun_kg)
    line = _store({"key": key, "cutting": cutting, "slug": slug, "weight_kg": weight_kg, "tare_kg": tare_kg,
                   "typed": typed, "at": now(), "by": by, "device": device})  # fmt: skip
    late = cutting.ended_at is not None
    learn_from(cutting)
    record(by, "weighed after the end" if late else "weighed a piece", line,
           after={"slug": slug, "weight_kg": str(weight_kg), "typed": typed})  # fmt: skip
    return line


@transaction.atomic
def correct_weight(
    line: ScaleWeight, *, slug: str, weight_kg: Decimal, typed: str, key: UUID, by: Person | None, why: str,
    device: str = "", tare_kg: Decimal = NO_TARE,
) -> ScaleWeight:  # fmt: skip
    """A new line instead of one that was wrong; the wrong one stays to be seen, with the reason."""
    if (there := ScaleWeight.objects.filter(key=key).first()) is not None:
        return there
    _stop_if_replaced(line)
    _stop_if_no_piece(line.cutting, slug)
    _stop_if_no_weight(slug, weight_kg, most_kg=line.cutting.begun_kg)
    new = _store({"key": key, "cutting": line.cutting, "slug": slug, "weight_kg": weight_kg, "tare_kg": tare_kg,
                  "typed": typed, "at": now(), "by": by, "device": device, "corrects": line, "why": why})  # fmt: skip
    _tub_stays(line, new)
    learn_from(line.cutting)
    record(by, "weighed again", new, before=_figures(line), after=_figures(new), why=why)
    return new


def _tub_stays(line: ScaleWeight, new: ScaleWeight) -> None:
    """A tub that was frozen or thrown away is so still when its weight is put right: so much more or less of it."""
    last = TubEvent.objects.filter(weight=line).order_by("-at", "-pk").first()
    if last is None:
        return
    more_kg = new.weight_kg - line.weight_kg
    thrown_kg = None if last.weight_kg is None else max(Decimal(0), last.weight_kg + more_kg)
    TubEvent.objects.get_or_create(key=uuid5(new.key, "tub"), defaults={
        "weight": new, "what": last.what, "weight_kg": thrown_kg, "at": last.at, "by": last.by, "why": last.why,
    })  # fmt: skip


@transaction.atomic
def take_out(line: ScaleWeight, *, key: UUID, by: Person | None, why: str, device: str = "") -> ScaleWeight:
    """A line that says that another should not be there: undo, or the wrong side's piece."""
    if (there := ScaleWeight.objects.filter(key=key).first()) is not None:
        return there
    _stop_if_replaced(line)
    gone = _store({"key": key, "cutting": line.cutting, "slug": line.slug, "weight_kg": line.weight_kg,
                   "tare_kg": line.tare_kg, "typed": line.typed, "at": now(), "by": by, "device": device,
                   "corrects": line, "taken_out": True, "why": why})  # fmt: skip
    learn_from(line.cutting)
    record(by, "taken out", gone, before=_figures(line), why=why)
    return gone


@transaction.atomic
def finish(
    cutting: Cutting, *, by: Person | None, why: str = "", figures: Mapping[str, str] | None = None
) -> Cutting:
    """The side is cut. `figures` are the balance as it was shown; `why` says where what is missing went."""
    cutting = Cutting.objects.select_for_update().select_related("side__animal").get(pk=cutting.pk)
    if cutting.ended_at is not None:
        return cutting
    cutting.ended_at, cutting.ended_by = now(), by
    cutting.save(update_fields=("ended_at", "ended_by"))
    rail.move(cutting.side, rail=None, position_mm=None, by=by, why=why, state=SideState.CUT)
    learn_from(cutting)
    record(by, "finished cutting", cutting, after=dict(figures or {}), why=why)
    return cutting


@transaction.atomic
def break_otherwise(cutting: Cutting, *, ways: Mapping[str, str], by: Person | None) -> Cutting:
    """The ways the side is really broken, where they are not those that were planned."""
    cutting = Cutting.objects.select_for_update().get(pk=cutting.pk)
    before, cutting.ways = cutting.ways, dict(ways)
    cutting.save(update_fields=("ways",))
    tell_again(cutting)
    learn_from(cutting)
    changed = [piece for piece in {*before, *ways} if before.get(piece) != ways.get(piece)]
    record(by, "broken another way", cutting, before={piece: before.get(piece) for piece in changed},
           after={piece: ways.get(piece) for piece in changed})  # fmt: skip
    return cutting


@transaction.atomic
def weigh_off_rail_again(
    cutting: Cutting, *, weight_kg: Decimal, typed: str, why: str, by: Person | None, key: UUID
) -> Cutting:
    """The weight off the rail put right, where it was misread; the wrong one stays among the side's weighings."""
    cutting = Cutting.objects.select_for_update().select_related("side").get(pk=cutting.pk)
    if Weighing.objects.filter(key=key).exists():
        return cutting
    _stop_if_no_weight(f"{cutting.side}", weight_kg)
    heaviest = cutting.weights.standing().order_by("-weight_kg").first()
    if heaviest is not None and heaviest.weight_kg > weight_kg:
        raise CannotDo([Finding(f"{cutting.side}", typed, f"at least the {heaviest.typed} of {heaviest.slug}",
                                "A side weighs more than any piece of it. Put that line right first.")])  # fmt: skip
    wrong = (
        cutting.side.weighings.standing().filter(weight_kg=cutting.begun_kg).order_by("-at", "-pk").first()
    )
    rail.weigh(cutting.side, weight_kg=weight_kg, typed=typed, at=cutting.begun_at, by=by, key=key, corrects=wrong,
               why=why)  # fmt: skip
    before, cutting.begun_kg = cutting.begun_kg, weight_kg
    cutting.save(update_fields=("begun_kg",))
    tell_again(cutting)
    learn_from(cutting)
    record(by, "weighed off the rail again", cutting, before={"begun_kg": str(before)},
           after={"begun_kg": str(weight_kg), "typed": typed}, why=why)  # fmt: skip
    return cutting


@transaction.atomic
def put_back(cutting: Cutting, *, by: Person | None) -> Side:
    """A side that was begun by mistake hangs again where it hung; `CannotDo` once anything was weighed."""
    cutting = Cutting.objects.select_for_update().select_related("side__animal").get(pk=cutting.pk)
    side = cutting.side
    if cutting.ended_at is not None or cutting.weights.exists():
        raise CannotDo([Finding(f"{side}", "weights that came off it", "a side that is whole",
                                "Finish it; weights that are wrong can be put right.")])  # fmt: skip
    hung = SideMove.objects.filter(side=side, state=SideState.HANGING).select_related("rail")
    place = hung.order_by("-at", "-pk").first()
    record(by, "put back on the rail", side, before={"begun_kg": str(cutting.begun_kg)})
    cutting.lots.all().delete()
    cutting.delete()
    rail.move(side, rail=place.rail if place else None, position_mm=place.position_mm if place else None,
              by=by, why="begun by mistake")  # fmt: skip
    return side


def _store(fields: dict[str, Any]) -> ScaleWeight:
    """The line, or the one with the same key that came at the same moment by another way."""

    def find() -> ScaleWeight | None:
        there = ScaleWeight.objects.filter(key=fields["key"]).first()
        if there is None:
            _stop_if_replaced(fields.get("corrects"))
        return there

    return written_once(lambda: ScaleWeight.objects.create(**fields), find)[0]


def _figures(line: ScaleWeight) -> dict[str, str]:
    return {"slug": line.slug, "weight_kg": str(line.weight_kg), "typed": line.typed}


def _stop_if_replaced(line: ScaleWeight | None) -> None:
    where = f"{line.slug}, {line.typed}" if line else ""
    stop_if_replaced(line, where, do="Look at the weights of this side again.")


def _stop_if_no_piece(cutting: Cutting, slug: str) -> None:
    if slug not in shipped_cuts():
        raise CannotDo([Finding(f"{cutting.side}", slug[:60], "a piece of the catalogue",
                                "Choose the piece from the list.")])  # fmt: skip


def _stop_if_no_weight(where: str, weight_kg: Decimal, *, most_kg: Decimal = HEAVIEST_KG) -> None:
    if not Decimal(0) < weight_kg <= most_kg:
        raise CannotDo([Finding(where, f"{weight_kg} kg", f"above 0 and at most {most_kg} kg",
                                "Look at the scale, its unit and the tare.")])  # fmt: skip
