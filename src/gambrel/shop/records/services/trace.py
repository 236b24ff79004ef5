"""Lots held and let go, and recalls rehearsed: begun, packs found one by one, ended with its time kept."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID, uuid5

from django.db import transaction

from gambrel.measures import CannotDo, Finding
from gambrel.shop.clock import now
from gambrel.shop.records.models import Drill, DrillFind, Lot, LotHold, Pack, Person
from gambrel.shop.records.selectors.trace import RecallPage
from gambrel.shop.records.services.trail import record


@transaction.atomic
def hold(lots: Iterable[Lot], *, held: bool, why: str, key: UUID, by: Person | None) -> list[LotHold]:
    """Nothing of these lots is sold from now on, or it may be again. Always with a reason; once a key."""
    if not why.strip():
        raise CannotDo([Finding("hold", "no reason", "why", "Write down why, and who said so.")])
    lines, at = [], now()
    for lot in lots:
        its_key = uuid5(key, f"{lot.pk}")
        there = LotHold.objects.filter(key=its_key).first()
        if there is None:
            there = LotHold.objects.create(
                lot=lot, held=held, why=why.strip()[:200], key=its_key, at=at, by=by
            )
            record(by, "held a lot" if held else "let a lot go", lot, after={"held": held}, why=why.strip())
        lines.append(there)
    return lines


@transaction.atomic
def begin_drill(page: RecallPage, *, key: UUID, by: Person | None) -> Drill:
    """From here on the clock runs: find every pack that the records say is here."""
    if (there := Drill.objects.filter(key=key).first()) is not None:
        return there
    if not page.count:
        raise CannotDo([Finding("drill", page.asked, "something that was packed", "Choose another lot.")])
    drill = Drill.objects.create(
        key=key, asked=page.asked[:40], lots=[lot.pk for lot in page.lots], begun_at=now(), begun_by=by,
        here_count=len(page.here), gone_count=page.sold_count, named_count=len(page.named_packs),
    )  # fmt: skip
    record(by, "began a drill", drill, after={"asked": drill.asked, "here": drill.here_count})
    return drill


@transaction.atomic
def found_in_drill(drill: Drill, packs: Iterable[Pack], *, by: Person | None) -> int:
    """Packs held in the hand; each counts once. `CannotDo` for a pack that has nothing to do with it."""
    drill = Drill.objects.select_for_update().get(pk=drill.pk)
    if drill.ended_at is not None:
        raise CannotDo([Finding("drill", "ended", "a drill that runs", "Begin another.")])
    strange = [one for one in packs if one.lot_id not in drill.lots]
    if strange:
        raise CannotDo([Finding(f"pack {one.pk}", f"lot {one.lot.code}", "a pack of the lots that are looked for",
                                "Lay it back.") for one in strange])  # fmt: skip
    at, finds = now(), DrillFind.objects
    return sum(finds.get_or_create(drill=drill, pack=one, defaults={"at": at, "by": by})[1] for one in packs)


@transaction.atomic
def end_drill(drill: Drill, *, note: str, by: Person | None) -> Drill:
    """The time is kept, and what was not found. Ended twice, it is ended once."""
    drill = Drill.objects.select_for_update().get(pk=drill.pk)
    if drill.ended_at is not None:
        return drill
    drill.ended_at, drill.note = now(), note.strip()[:200]
    drill.save(update_fields=("ended_at", "note"))
    record(
        by,
        "ended a drill",
        drill,
        after={"found": drill.finds.count(), "here": drill.here_count},
        why=drill.note,
    )
    return drill
