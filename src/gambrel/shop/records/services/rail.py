"""Sides on the rail: hung, moved, weighed, a weight put right, taken down."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from gambrel.measures import CannotDo, Finding
from gambrel.shop.clock import now
from gambrel.shop.records.models import Animal, Person, Rail, Side, SideMove, SideState, Weighing
from gambrel.shop.records.services.once import written_once
from gambrel.shop.records.services.replaced import stop_if_replaced
from gambrel.shop.records.services.trail import record


@transaction.atomic
def hang(
    animal: Animal, half: str, *, hot_kg: Decimal, at: datetime, by: Person | None,
    rail: Rail | None = None, position_mm: int | None = None, hot_typed: str = "",
) -> Side:  # fmt: skip
    """A side off the kill floor onto a rail; `CannotDo` where that side hangs already."""
    if Side.objects.filter(animal=animal, half=half).exists():
        raise CannotDo([Finding(f"{animal.tag}, {half}", "hung again", "each side once",
                                "Choose the other side, or put the weight of this one right.")])  # fmt: skip
    side = Side.objects.create(
        animal=animal, half=half, hot_kg=hot_kg, hot_typed=hot_typed, hung_at=at, rail=rail,
        position_mm=position_mm,
    )  # fmt: skip
    SideMove.objects.create(
        side=side, at=at, by=by, rail=rail, position_mm=position_mm, state=SideState.HANGING
    )
    record(by, "hung", side, after={"hot_kg": str(hot_kg), "typed": hot_typed, "rail": str(rail or "")})
    return side


@transaction.atomic
def move(
    side: Side, *, rail: Rail | None, position_mm: int | None, by: Person | None, why: str = "",
    state: str = SideState.HANGING,
) -> SideMove:  # fmt: skip
    """To another place on the rails, or off them (with no rail, and the state that it leaves them in)."""
    before = {"rail": str(side.rail or ""), "position_mm": side.position_mm, "state": side.state}
    side.rail, side.position_mm, side.state = rail, position_mm, state
    side.save(update_fields=("rail", "position_mm", "state"))
    line = SideMove.objects.create(
        side=side, at=now(), by=by, rail=rail, position_mm=position_mm, state=state, why=why
    )
    after = {"rail": str(rail or ""), "position_mm": position_mm, "state": state}
    record(
        by, "moved" if state == SideState.HANGING else "taken down", side, before=before, after=after, why=why
    )
    return line


@transaction.atomic
def weigh(
    side: Side, *, weight_kg: Decimal, typed: str, at: datetime, by: Person | None, key: UUID | None = None,
    corrects: Weighing | None = None, why: str = "", taken_out: bool = False,
) -> Weighing:  # fmt: skip
    """A weight of a hanging side. The same `key` sent again gives the line that is there already."""
    if key is not None and (there := Weighing.objects.filter(key=key).first()) is not None:
        return there
    stop_if_replaced(corrects, f"{side}", do="Look at the weights of this side again.")
    fields = {"side": side, "weight_kg": weight_kg, "typed": typed, "at": at, "by": by, "corrects": corrects,
              "why": why, "taken_out": taken_out, **({"key": key} if key else {})}  # fmt: skip
    line, is_new = written_once(
        lambda: Weighing.objects.create(**fields),
        lambda: Weighing.objects.filter(key=key).first() if key else None,
    )
    if not is_new:
        return line
    verb = "taken out" if taken_out else "weighed again" if corrects else "weighed"
    before = {"weight_kg": str(corrects.weight_kg), "typed": corrects.typed} if corrects else None
    record(by, verb, side, before=before, after={"weight_kg": str(weight_kg), "typed": typed}, why=why)
    return line
