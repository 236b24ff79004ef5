"""The grinder: boxes bought, tubs frozen and thrown away, clean-ups, batches begun, weighed in, closed and tested."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from gambrel.catalog.cuts import shipped_cuts
from gambrel.grind.names import GROUND_NAMES
from gambrel.grind.rules import added_fat_only_where_the_name_allows, species_are_kept_apart, why_not
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.shop.clock import now
from gambrel.shop.records.grinding import product_of, record_of
from gambrel.shop.records.models import (
    Batch,
    BatchInput,
    BoughtTrim,
    CleanUp,
    LeanTest,
    Lot,
    Person,
    ScaleWeight,
    ShopProfile,
    TubEnd,
    TubEvent,
)  # fmt: skip
from gambrel.shop.records.services.once import written_once
from gambrel.shop.records.services.shop import change_shop
from gambrel.shop.records.services.trail import record
from gambrel.shop.records.tubs import MAY_BE_GROUND, Tub, carried_tub, left_in_grinder, tub_of

SCALE_SHARE = Decimal("0.02")
"""Two scales and a wet tub may differ by so much before a weight is more than there is."""
LEFT_IN_GRINDER_SHARE = Decimal("0.05")
"""Out of the grinder comes what went in but for what stays in it; more lost than this is asked about. Practice."""


@transaction.atomic
def buy_trim(*, key: UUID, at: datetime, by: Person | None, **said: Any) -> BoughtTrim:
    """A box of trim as its papers say. The same `key` sent again gives the box that is there."""
    if (there := BoughtTrim.objects.filter(key=key).first()) is not None:
        return there
    cut = shipped_cuts().get(str(said["slug"]))
    if cut is None or cut.lean_pct is None:
        raise CannotDo(
            [Finding("box", str(said["slug"])[:60], "trim of the catalogue", "Choose it from the list.")]
        )
    box = BoughtTrim.objects.create(key=key, at=at, by=by, **said)
    record(by, "bought trim", box, after={"slug": box.slug, "weight_kg": str(box.weight_kg),
                                          "plant": box.establishment, "lot": box.supplier_lot})  # fmt: skip
    return box


@transaction.atomic
def say_lean(shop: ShopProfile, slug: str, *, lean_pct: float | None, by: Person | None) -> ShopProfile:
    """The lean that a piece counts as whose name says none; None: the grinder is offered it no more."""
    if slug not in MAY_BE_GROUND or not (lean_pct is None or 0 <= lean_pct <= 100):
        raise CannotDo([Finding("lean", f"{slug[:40]}, {lean_pct} %", "a piece of the list, from 0 to 100 %",
                                "Choose the piece from the list.")])  # fmt: skip
    said = {one: pct for one, pct in shop.lean_said.items() if one != slug}
    return change_shop(shop, {"lean_said": said if lean_pct is None else {**said, slug: lean_pct}}, by=by)


@transaction.atomic
def tub_became(tub: Tub, what: str, *, key: UUID, by: Person | None, why: str = "") -> TubEvent:
    """Frozen, thawed or thrown away; what is thrown away says why."""
    if (there := TubEvent.objects.filter(key=key).first()) is not None:
        return there
    tub = _locked(tub)
    wrong = (what == TubEnd.FROZEN and tub.is_frozen) or (what == TubEnd.THAWED and not tub.is_frozen)
    if what not in TubEnd.values or wrong or (what == TubEnd.THROWN and not why):
        raise CannotDo([Finding(tub.id, what[:20], "frozen when fresh, thawed when frozen, thrown away with a reason",
                                "Look at the tub again.")])  # fmt: skip
    thrown_kg = round(Decimal(max(0.0, tub.left_kg)), 3) if what == TubEnd.THROWN else None
    line = TubEvent.objects.create(key=key, weight=tub.weight, bought=tub.bought, what=what, weight_kg=thrown_kg,
                                   at=now(), by=by, why=why)  # fmt: skip
    record(by, f"trim {what}", line, after={"tub": tub.id, "left_kg": f"{tub.left_kg:.3f}"}, why=why)
    return line


def _locked(tub: Tub) -> Tub:
    """The tub as it is now that nobody else takes of it: two batches at once cannot both have the last of it."""
    if tub.weight is not None:
        ScaleWeight.objects.select_for_update().get(pk=tub.weight.pk)
    elif tub.bought is not None:
        BoughtTrim.objects.select_for_update().get(pk=tub.bought.pk)
    elif tub.carried is not None:
        Batch.objects.select_for_update().get(pk=tub.carried.pk)
    return tub_of(tub.id)


@transaction.atomic
def clean_up(*, key: UUID, at: datetime, by: Person | None, note: str = "") -> CleanUp:
    """The grinder was cleaned and sanitised: a new lot begins."""
    if (there := CleanUp.objects.filter(key=key).first()) is not None:
        return there
    if at > now():
        raise CannotDo(
            [Finding("clean-up", f"{at:%Y-%m-%d %H:%M}", "a time that is past", "Look at the clock.")]
        )
    still = Q(ended_at__isnull=True) | Q(ended_at__gt=at)
    ground_then = Batch.objects.filter(still, begun_at__lte=at).first()
    if ground_then is not None:
        raise CannotDo([Finding("clean-up", f"batch {ground_then} was in it then", "a grinder that is empty",
                                "Close the batch first, or look at the time.")])  # fmt: skip
    line = CleanUp.objects.create(key=key, at=at, by=by, note=note)
    record(by, "cleaned the grinder", line, after={"at": f"{at:%Y-%m-%dT%H:%MZ}", "note": note})
    return line


@transaction.atomic
def begin(
    name: str, *, lean_pct: float, inspected: str, owner_name: str, asked: list[dict[str, Any]], key: UUID,
    by: Person | None,
) -> Batch:  # fmt: skip
    """A batch of one product: its code is G, the year, the day of the year and its number."""
    if (there := Batch.objects.filter(key=key).first()) is not None:
        return there
    findings = Findings()
    known = GROUND_NAMES.get(name)
    if known is None:
        findings.add("batch", name[:40], "a name of the list", "Choose it from the list.")
    elif lean_pct < known.leanest_pct:
        findings.add(known.words, f"{lean_pct:g} % lean", f"{known.leanest_pct:g} % or more ({known.cite})",
                     "State it leaner.")  # fmt: skip
    if inspected == "custom" and not owner_name:
        findings.add("batch", "custom without an owner", "whose meat it is", "Enter the owner.")
    findings.stop_if_any()
    at = now()
    cleaned = CleanUp.objects.filter(at__lte=at).order_by("-at", "-pk").first()
    batch = Batch(key=key, code=f"new {key}"[:20], name=name, lean_pct=lean_pct, inspected=inspected,
                  owner_name=owner_name, clean_up=cleaned, asked=asked, begun_at=at, begun_by=by)  # fmt: skip
    _stop_if_grinder_holds_what_may_not_follow(batch)
    batch.save()
    batch.code = f"G{timezone.localtime(at):%y%j}-{batch.pk}"
    batch.save(update_fields=("code",))
    record(by, "began a batch", batch, after={"name": name, "lean_pct": lean_pct, "asked": asked})
    return batch


def _stop_if_grinder_holds_what_may_not_follow(batch: Batch) -> None:
    """What the batch before left in the grinder goes into the next one whether it is weighed or not."""
    findings, product = Findings(), product_of(batch)
    for tub in left_in_grinder(batch):
        if refused := species_are_kept_apart(tub.as_trim(), product):
            findings.add("grinder", f"{tub.left_kg:.2f} kg left over from batch {tub.lot}; {refused}",
                         "a grinder without meat of another species", "Clean the grinder and enter it, or "
                         "begin a name that says every species.")  # fmt: skip
        if refused := added_fat_only_where_the_name_allows(tub.as_trim(), product):
            findings.add("grinder", f"{tub.left_kg:.2f} kg left over from batch {tub.lot}; {refused}",
                         "a grinder without added fat", "Clean the grinder and enter it, or begin a name that "
                         "allows added fat.")  # fmt: skip
    findings.stop_if_any()


@transaction.atomic
def weigh_in(
    batch: Batch, tub_id: str, *, weight_kg: Decimal, typed: str, key: UUID, by: Person | None
) -> BatchInput:
    """Trim into a batch. The same `key` sent again gives the line that is there.

    `CannotDo` where the rules keep the two apart, where there is not so much in the tub, and, all the more,
    where the batch is closed: its record says what went in.
    """
    if (there := BatchInput.objects.filter(key=key).first()) is not None:
        return there
    batch = Batch.objects.select_for_update().get(pk=batch.pk)
    tub = _locked(tub_of(tub_id))
    _look(batch, tub, weight_kg, typed)
    line, is_new = written_once(
        lambda: BatchInput.objects.create(
            key=key, batch=batch, weight=tub.weight, bought=tub.bought, carried=tub.carried, typed=typed,
            weight_kg=weight_kg, lean_pct=tub.lean_pct, at=now(), by=by,
        ),
        lambda: BatchInput.objects.filter(key=key).first(),
    )  # fmt: skip
    if not is_new:
        return line
    record(
        by, "weighed into a batch", line, after={"tub": tub.id, "weight_kg": str(weight_kg), "typed": typed}
    )
    return line


def _look(batch: Batch, tub: Tub, weight_kg: Decimal, typed: str) -> None:
    findings = Findings()
    if batch.ended_at is not None:
        findings.add(
            f"batch {batch}", "closed", "a batch that is open", "Begin another; this record is written."
        )
    if refused := why_not(tub.as_trim(), product_of(batch)):
        findings.add(tub.id, refused, f"trim that may go into {GROUND_NAMES[batch.name].words.lower()}",
                     "Take another tub.")  # fmt: skip
    before = tub.carried
    if before is not None and batch.clean_up_id is not None and before.clean_up_id != batch.clean_up_id:
        findings.add(tub.id, f"left over from batch {before}", "meat still in the grinder; it was cleaned since",
                     "Begin the batch with fresh tubs.")  # fmt: skip
    most_kg = Decimal(str(tub.left_kg)) * (1 + SCALE_SHARE)
    if not 0 < weight_kg <= most_kg:
        findings.add(tub.id, typed, f"above 0 and at most the {tub.left_kg:.2f} kg that are left of it",
                     "Look at the scale, its unit and the tub.")  # fmt: skip
    findings.stop_if_any()


@transaction.atomic
def take_out(line: BatchInput, *, key: UUID, by: Person | None, why: str) -> BatchInput:
    """A line that should not be there; it stays to be seen."""
    if (there := BatchInput.objects.filter(key=key).first()) is not None:
        return there
    batch = Batch.objects.select_for_update().get(pk=line.batch_id)
    if batch.ended_at is not None or line.taken_out or BatchInput.objects.filter(corrects=line).exists():
        raise CannotDo([Finding(line.typed, "a line that stands no more, or of a closed batch",
                                "a line of an open batch", "Look at the batch again.")])  # fmt: skip
    out = BatchInput.objects.create(
        key=key, batch=batch, weight=line.weight, bought=line.bought, carried=line.carried, typed=line.typed,
        weight_kg=line.weight_kg, lean_pct=line.lean_pct, at=now(), by=by, corrects=line, taken_out=True, why=why,
    )  # fmt: skip
    record(by, "taken out of a batch", out, before={"weight_kg": str(line.weight_kg)}, why=why)
    return out


@transaction.atomic
def close(
    batch: Batch, *, out_kg: Decimal, by: Person | None, meat_c: float | None = None,
    plate_mm: float | None = None, why: str = "",
) -> Batch:  # fmt: skip
    """The batch as it came out of the grinder, and a lot to pack from. `CannotDo` with every field of the record
    that is missing, and where the weights do not agree and nobody says why."""
    batch = Batch.objects.select_for_update().get(pk=batch.pk)
    if batch.ended_at is not None:
        return batch
    if batch.clean_up is None:
        batch.clean_up = CleanUp.objects.filter(at__lte=batch.begun_at).order_by("-at", "-pk").first()
    findings, written = Findings(), record_of(batch)
    findings.extend(written.missing())
    findings.extend(written.misnamed(GROUND_NAMES[batch.name]))
    in_kg = Decimal(str(written.in_kg))
    if not 0 < out_kg <= in_kg * (1 + SCALE_SHARE):
        findings.add(batch.code, f"{out_kg} kg out", f"no more than the {in_kg:.2f} kg that went in",
                     "Look at the scale, its unit and the lines.")  # fmt: skip
    elif out_kg < in_kg * (1 - LEFT_IN_GRINDER_SHARE) and not why:
        findings.add(batch.code, f"{out_kg} kg out of {in_kg:.2f} kg", "within a twentieth of what went in",
                     "Weigh again, or say where the rest is.")  # fmt: skip
    findings.stop_if_any()
    batch.out_kg, batch.meat_c, batch.plate_mm, batch.why = out_kg, meat_c, plate_mm, why
    batch.ended_at, batch.ended_by = now(), by
    batch.save()
    _make_lot(batch)
    record(by, "closed a batch", batch, after={"in_kg": f"{in_kg:.3f}", "out_kg": str(out_kg)}, why=why)
    return batch


def _make_lot(batch: Batch) -> Lot:
    """Meat of the batch under the batch's own code; its kind is that of the trim, or the species where kinds mix."""
    return Lot.objects.create(
        code=batch.code, batch=batch, made_on=timezone.localtime(batch.begun_at).date(), kind=carried_tub(batch).kind,
        species=GROUND_NAMES[batch.name].species[0], inspected=batch.inspected, owner_name=batch.owner_name,
    )  # fmt: skip


@transaction.atomic
def lean_test(batch: Batch, *, fat_pct: float, how: str, key: UUID, by: Person | None) -> LeanTest:
    """What a test of the batch's fat gave; the lean points of its trim are learned from it."""
    if (there := LeanTest.objects.filter(key=key).first()) is not None:
        return there
    if not batch.inputs.standing().exists():
        raise CannotDo(
            [Finding(f"batch {batch}", "nothing in it", "a batch that was weighed in", "Weigh it in first.")]
        )
    line = LeanTest.objects.create(batch=batch, fat_pct=fat_pct, how=how, key=key, at=now(), by=by)
    record(by, "tested a batch", line, after={"fat_pct": fat_pct, "how": how})
    return line
