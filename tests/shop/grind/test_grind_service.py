"""Batches kept: what the rules keep apart stays apart, nothing is lost or doubled, and no record is left unfilled."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from gambrel.measures import CannotDo
from gambrel.shop.clock import now
from gambrel.shop.records.grinding import record_of
from gambrel.shop.records.models import AuditLine, Batch, BatchInput, BoughtTrim, CleanUp, Lot
from gambrel.shop.records.services import grind
from gambrel.shop.records.tubs import Tub, carried_tub, tub_of, tubs_on_hand

pytestmark = pytest.mark.django_db
Weigh = Callable[..., Tub]


def a_batch(name: str = "ground-beef", lean_pct: float = 75.0, **changed: Any) -> Batch:
    fields = {"inspected": "federal", "owner_name": "", "asked": [], "key": uuid4(), "by": None, **changed}
    return grind.begin(name, lean_pct=lean_pct, **fields)


def weigh_in(batch: Batch, tub: Tub, kg: str, **changed: Any) -> BatchInput:
    fields = {"weight_kg": Decimal(kg), "typed": f"{kg} kg", "key": uuid4(), "by": None, **changed}
    return grind.weigh_in(batch, tub.id, **fields)


def why(act: Callable[[], Any]) -> str:
    with pytest.raises(CannotDo) as refusal:
        act()
    return " | ".join(finding.sentence() for finding in refusal.value.findings)


def test_a_batch_from_trim_to_lot(weighed_trim: Weigh, box: BoughtTrim, cleaned: CleanUp) -> None:
    lean, fat = weighed_trim("trim-85", "15"), tub_of(f"b{box.pk}")
    batch = a_batch(lean_pct=75.0)
    weigh_in(batch, lean, "12")
    weigh_in(batch, fat, "4")
    record = record_of(batch)
    # (12 x 85 + 4 x 50) / 16 = 1220 / 16 = 76.25
    assert (record.in_kg, record.lean_pct, record.missing()) == (16.0, 76.25, ())
    done = grind.close(batch, out_kg=Decimal("15.7"), by=None)
    lot = Lot.objects.get(batch=done)
    assert (lot.code, lot.kind, lot.species, done.clean_up) == (
        done.code,
        "grain-finished",
        "cattle",
        cleaned,
    )
    assert done.code == f"G26068-{done.pk}"  # 9 March is the 68th day of the year
    assert tub_of(lean.id).left_kg == pytest.approx(3.0)
    assert tub_of(fat.id).left_kg == pytest.approx(16.0)
    assert carried_tub(done).left_kg == pytest.approx(0.3)  # 16 in, 15.7 out
    assert {(one.plant, one.lot) for one in record.materials} == {
        ("M-0000", lean.lot), ("M-0001", "K7")}  # fmt: skip


def test_a_batch_is_not_closed_while_its_record_lacks_anything(weighed_trim: Weigh) -> None:
    tub = weighed_trim(plant="")
    batch = a_batch()
    weigh_in(batch, tub, "10")
    said = why(lambda: grind.close(batch, out_kg=Decimal("9.9"), by=None))
    assert "(A)" in said and "(E)" in said and tub.where in said
    batch.refresh_from_db()
    assert batch.ended_at is None and not Lot.objects.filter(batch=batch).exists()


def test_an_empty_batch_is_not_closed(cleaned: CleanUp) -> None:
    batch = a_batch()
    assert "(C)" in why(lambda: grind.close(batch, out_kg=Decimal("1"), by=None))


@pytest.mark.parametrize(
    ("name", "changed", "said"),
    [
        ("ground-bison", {}, "cattle does not go into ground bison"),
        ("ground-beef", {"inspected": "state"}, "federal trim is kept apart from state product"),
        ("ground-beef", {"inspected": "custom", "owner_name": "A. Neighbour"}, "federal trim is kept apart"),
        ("ground-round", {}, "ground round takes only round"),
    ],
)
def test_species_inspection_owner_and_primal_are_kept_apart(
    weighed_trim: Weigh, name: str, changed: dict[str, str], said: str
) -> None:
    tub, batch = weighed_trim(), a_batch(name, **changed)
    assert said in why(lambda: weigh_in(batch, tub, "5"))
    assert not batch.inputs.exists()


def test_no_more_goes_in_than_there_is(weighed_trim: Weigh) -> None:
    tub, batch = weighed_trim(kg="10"), a_batch()
    weigh_in(batch, tub, "6")
    assert "4.00 kg that are left" in why(lambda: weigh_in(batch, tub, "4.5"))
    weigh_in(batch, tub, "4.05")  # two scales may differ by a fiftieth: 4 x 1.02 = 4.08
    assert tub_of(tub.id).left_kg == pytest.approx(-0.05)
    assert tub.id not in {one.id for one in tubs_on_hand(now().date())}


def test_the_same_key_sent_again_is_kept_once(weighed_trim: Weigh) -> None:
    tub, batch, key = weighed_trim(), a_batch(), uuid4()
    first, again = weigh_in(batch, tub, "5", key=key), weigh_in(batch, tub, "5", key=key)
    assert first == again and batch.inputs.count() == 1
    begun = uuid4()
    assert a_batch(key=begun) == a_batch(key=begun)


def test_what_is_taken_out_is_in_the_tub_again_and_stays_to_be_seen(weighed_trim: Weigh) -> None:
    tub, batch = weighed_trim(kg="10"), a_batch()
    line = weigh_in(batch, tub, "6")
    key = uuid4()
    grind.take_out(line, key=key, by=None, why="the wrong tub")
    assert grind.take_out(line, key=key, by=None, why="the wrong tub").corrects == line
    assert tub_of(tub.id).left_kg == pytest.approx(10.0)
    assert batch.inputs.count() == 2 and record_of(batch).materials == ()
    assert "stands no more" in why(lambda: grind.take_out(line, key=uuid4(), by=None, why="again"))
    assert AuditLine.objects.filter(what="taken out of a batch").count() == 1


def test_a_closed_batch_takes_nothing_more(weighed_trim: Weigh, cleaned: CleanUp) -> None:
    tub, batch = weighed_trim(), a_batch()
    line = weigh_in(batch, tub, "5")
    grind.close(batch, out_kg=Decimal(5), by=None)
    assert "closed" in why(lambda: weigh_in(batch, tub, "1"))
    assert "closed batch" in why(lambda: grind.take_out(line, key=uuid4(), by=None, why="late"))
    assert grind.close(batch, out_kg=Decimal(4), by=None).out_kg == Decimal(5)  # closed twice, closed once


def test_weights_that_do_not_agree_want_a_reason(weighed_trim: Weigh, cleaned: CleanUp) -> None:
    batch = a_batch()
    weigh_in(batch, weighed_trim(kg="10"), "10")
    assert "no more than the 10.00 kg" in why(lambda: grind.close(batch, out_kg=Decimal("10.3"), by=None))
    assert "within a twentieth" in why(lambda: grind.close(batch, out_kg=Decimal("9.4"), by=None))
    assert grind.close(batch, out_kg=Decimal("9.4"), by=None, why="fell").ended_at is not None


def test_meat_left_in_the_grinder_links_one_batch_to_the_next(weighed_trim: Weigh, cleaned: CleanUp) -> None:
    first = a_batch()
    weigh_in(first, weighed_trim(kg="10"), "10")
    first = grind.close(first, out_kg=Decimal("9.6"), by=None)
    second = a_batch()
    carried = carried_tub(first)
    assert carried.left_kg == pytest.approx(0.4)
    line = weigh_in(second, carried, "0.4")
    assert line.carried == first
    assert record_of(second).materials[0].carried_from == first.code
    assert carried_tub(first).left_kg == pytest.approx(0.0)


def test_no_clean_up_while_a_batch_is_open_or_in_the_future(weighed_trim: Weigh) -> None:
    assert "past" in why(lambda: grind.clean_up(key=uuid4(), at=now() + timedelta(minutes=1), by=None))
    batch = a_batch()
    assert batch.code in why(lambda: grind.clean_up(key=uuid4(), at=now(), by=None))


def test_a_name_may_not_be_stated_fatter_than_its_law(demo_shop: Any) -> None:
    """9 CFR 319.15: at most 30 % fat."""
    assert "70 % or more" in why(lambda: a_batch(lean_pct=69.0))
    assert a_batch(lean_pct=70.0).lean_pct == 70.0
    assert "name of the list" in why(lambda: a_batch("mince"))
    assert "whose meat" in why(lambda: a_batch(inspected="custom"))


def test_tubs_frozen_thawed_and_thrown_away(weighed_trim: Weigh) -> None:
    tub = weighed_trim()
    assert "frozen when fresh" in why(lambda: grind.tub_became(tub, "thawed", key=uuid4(), by=None))
    grind.tub_became(tub, "frozen", key=uuid4(), by=None)
    assert tub_of(tub.id).is_frozen and tub_of(tub.id).as_trim(now().date()).age_days == 0
    assert "with a reason" in why(lambda: grind.tub_became(tub_of(tub.id), "thrown", key=uuid4(), by=None))
    grind.tub_became(tub_of(tub.id), "thrown", key=uuid4(), by=None, why="freezer burn")
    assert tub.id not in {one.id for one in tubs_on_hand(now().date())}
    assert "on hand" in why(lambda: tub_of(tub.id))


def test_a_fat_test_teaches_the_lean_of_the_trim(weighed_trim: Weigh) -> None:
    tub, batch = weighed_trim("trim-80", "12"), a_batch()
    assert "nothing in it" in why(lambda: grind.lean_test(batch, fat_pct=20.0, how="", key=uuid4(), by=None))
    weigh_in(batch, tub, "5")
    grind.lean_test(batch, fat_pct=24.0, how="solvent-free meter", key=uuid4(), by=None)
    # one trim alone: spreads of 3 and 1 weigh the test 9 parts in 10: 80 + 0.9 x (76 - 80) = 76.4
    assert tub_of(tub.id).lean_pct == pytest.approx(76.4)
    assert batch.inputs.get().lean_pct == 80.0  # what it counted as on the day stands


@pytest.mark.parametrize("name", ["", "w", "x1", "w999999999", "c1", "b-1", "w1; --"])
def test_a_tub_that_is_not_there_is_a_finding(demo_shop: Any, name: str) -> None:
    assert "on hand" in why(lambda: tub_of(name))


def test_tubs_on_hand_are_found_in_few_queries(
    weighed_trim: Weigh, box: BoughtTrim, queries: list[dict[str, str]]
) -> None:
    for kg in range(1, 9):
        weighed_trim(kg=str(kg))
    queries.clear()
    tubs = tubs_on_hand(now().date())
    assert len(queries) <= 10
    assert sum(tub.left_kg for tub in tubs if tub.slug == "trim-80") >= 36
    assert [tub.made_on for tub in tubs] == sorted(tub.made_on for tub in tubs)


def test_a_mix_that_holds_more_of_what_is_named_last_is_not_closed(
    weighed_trim: Weigh, cleaned: CleanUp, box: BoughtTrim
) -> None:
    """3 kg of bison and 5 of beef: told, and closed once 2.5 more of bison are in."""
    bison = weighed_trim("trim-80", "12", kind="bison")
    batch = grind.begin("ground-bison-and-beef", lean_pct=70.0, inspected="federal", owner_name="", asked=[],
                        key=uuid4(), by=None)  # fmt: skip

    def weigh_in(tub_id: str, kg: str) -> None:
        grind.weigh_in(batch, tub_id, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None)

    weigh_in(bison.id, "3")
    weigh_in(f"b{box.pk}", "5")
    with pytest.raises(CannotDo, match="larger share first"):
        grind.close(batch, out_kg=Decimal("7.9"), by=None)
    weigh_in(bison.id, "2.5")
    assert grind.close(batch, out_kg=Decimal("10.4"), by=None).ended_at is not None
