"""Lots of the grinder: clean-ups in between, meat that stays in it, several lines of a tub, keys sent at once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.records.grinding import record_of
from gambrel.shop.records.models import Batch, BatchInput, BoughtTrim, CleanUp, LeanTest, TubEvent
from gambrel.shop.records.selectors.grind import batch_page, grind_page
from gambrel.shop.records.services import grind
from gambrel.shop.records.tubs import NAMED_LEAN_PCT, Tub, carried_tub, lean_points, tub_of

pytestmark = pytest.mark.django_db
Weigh = Callable[..., Tub]


def a_batch(
    lean_pct: float = 75.0, asked: list[dict[str, Any]] | None = None, name: str = "ground-beef"
) -> Batch:
    return grind.begin(name, lean_pct=lean_pct, inspected="federal", owner_name="", asked=asked or [], key=uuid4(),
                       by=None)  # fmt: skip


def weigh_in(batch: Batch, tub_id: str, kg: str) -> BatchInput:
    return grind.weigh_in(batch, tub_id, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None)


def closed(batch: Batch, kg: str) -> Batch:
    return grind.close(batch, out_kg=Decimal(kg), by=None)


def why(act: Callable[[], Any]) -> str:
    with pytest.raises(CannotDo) as refusal:
        act()
    return " | ".join(finding.sentence() for finding in refusal.value.findings)


def test_a_clean_up_in_the_middle_of_a_batch_is_refused(weighed_trim: Weigh, cleaned: CleanUp) -> None:
    """Entered afterwards: while the batch ran the grinder was not empty, whether it is closed by now or not."""
    begun = now() - timedelta(minutes=60)
    with standing_at(begun):
        batch = a_batch()
        weigh_in(batch, weighed_trim(kg="10").id, "10")
    with standing_at(now() - timedelta(minutes=20)):
        batch = closed(batch, "9.8")
    middle = now() - timedelta(minutes=40)
    assert batch.code in why(lambda: grind.clean_up(key=uuid4(), at=middle, by=None))
    assert CleanUp.objects.count() == 1
    for at in (begun - timedelta(minutes=1), now() - timedelta(minutes=19)):
        assert grind.clean_up(key=uuid4(), at=at, by=None).at == at


def test_meat_is_not_carried_over_a_clean_up(weighed_trim: Weigh, cleaned: CleanUp) -> None:
    """What lay in the grinder went with the cleaning: the two batches are two lots."""
    first = a_batch()
    weigh_in(first, weighed_trim(kg="10").id, "10")
    with standing_at(now() - timedelta(minutes=10)):
        closed(first, "9.6")
        grind.clean_up(key=uuid4(), at=now(), by=None)
    second = a_batch()
    assert f"c{first.pk}" not in {tub.id for tub in batch_page(second, today()).tubs}
    assert "cleaned since" in why(lambda: weigh_in(second, f"c{first.pk}", "0.4"))


def test_what_lies_in_the_grinder_is_offered_to_the_next_batch_alone(
    weighed_trim: Weigh, cleaned: CleanUp
) -> None:
    """10 in and 9.6 out leave 0.4; half of it in the next batch leaves 0.2 by the books, of the first batch's lean."""
    first = a_batch()
    weigh_in(first, weighed_trim("trim-85", "10").id, "10")
    first = closed(first, "9.6")
    second = a_batch()
    (left,) = (tub for tub in batch_page(second, today()).tubs if tub.carried is not None)
    assert (left.id, left.left_kg, left.lean_pct) == (f"c{first.pk}", pytest.approx(0.4), 85.0)
    weigh_in(second, left.id, "0.2")
    assert carried_tub(first).left_kg == pytest.approx(0.2)
    assert "0.20 kg that are left" in why(lambda: weigh_in(second, left.id, "0.21"))
    assert [one.carried_from for one in record_of(second).materials] == [first.code]
    assert record_of(second).missing() == () and record_of(second).sources() == frozenset()


def test_as_asked_and_as_weighed_in_two_goes(weighed_trim: Weigh, box: BoughtTrim) -> None:
    """12 kg asked: 6 and 5.7 are 11.7 and not yet 0.98 x 12 = 11.76; another 0.06 are."""
    tub = weighed_trim("trim-85", "15")
    batch = a_batch(
        asked=[{"tub": tub.id, "kg": 12.0}, {"tub": f"b{box.pk}", "kg": 4.0}, {"tub": "w0", "kg": 1.0}]
    )

    def of_tub() -> Any:
        return {one.tub.id: one for one in batch_page(batch, today()).asked}

    for kg in ("6", "5.7"):
        weigh_in(batch, tub.id, kg)
    assert not of_tub()[tub.id].is_in and set(of_tub()) == {tub.id, f"b{box.pk}"}  # w0 is none
    weigh_in(batch, tub.id, "0.06")
    assert of_tub()[tub.id].is_in and of_tub()[tub.id].in_kg == pytest.approx(11.76)
    assert of_tub()[f"b{box.pk}"].in_kg == 0.0


@pytest.mark.parametrize(
    ("lean_kg", "fat_kg", "stated", "too_fat", "unlawful", "wants_test"),
    [("10", "4", 75.0, False, False, False),  # (10 x 85 + 4 x 50) / 14 = 75.0
     ("10", "4.1", 75.0, True, False, False),  # 1055 / 14.1 = 74.82
     ("8", "6", 70.0, False, False, True),  # 980 / 14 = 70.0: 30 % fat, above the 28 % that want a test
     ("8", "6.1", 70.0, True, True, True),  # 985 / 14.1 = 69.86
     ("10", "0.5", 80.0, False, False, False)],  # 875 / 10.5 = 83.33
)  # fmt: skip
def test_fat_by_hand(
    weighed_trim: Weigh, box: BoughtTrim, lean_kg: str, fat_kg: str, stated: float, too_fat: bool,
    unlawful: bool, wants_test: bool,
) -> None:  # fmt: skip
    """The square of 85 and 50; 9 CFR 319.15(a) holds ground beef to 30 % fat."""
    batch = a_batch(stated)
    weigh_in(batch, weighed_trim("trim-85", "15").id, lean_kg)
    weigh_in(batch, f"b{box.pk}", fat_kg)
    page = batch_page(batch, today())
    lean = (float(lean_kg) * 85 + float(fat_kg) * 50) / (float(lean_kg) + float(fat_kg))
    assert page.lean_pct == pytest.approx(lean) and page.fat_pct == pytest.approx(100 - lean)
    assert (page.is_too_fat, page.is_unlawful, page.wants_test) == (too_fat, unlawful, wants_test)
    grind.lean_test(batch, fat_pct=29.0, how="meter", key=uuid4(), by=None)
    assert not batch_page(batch, today()).wants_test


def test_an_empty_batch_has_no_lean(demo_shop: Any) -> None:
    page = batch_page(a_batch(), today())
    assert (page.lean_pct, page.fat_pct) == (None, None)
    assert not (page.is_too_fat or page.is_unlawful or page.wants_test or page.has_new_source)


def test_every_step_sent_twice_is_one(weighed_trim: Weigh, box: BoughtTrim, cleaned: CleanUp) -> None:
    tub, batch = weighed_trim(), a_batch()
    weigh_in(batch, f"b{box.pk}", "4")
    keys = [uuid4() for _ in range(3)]
    for _ in range(2):
        grind.clean_up(key=keys[0], at=cleaned.at - timedelta(hours=1), by=None)
        grind.tub_became(tub, "frozen", key=keys[1], by=None)
        grind.lean_test(batch, fat_pct=22.0, how="", key=keys[2], by=None)
    assert (CleanUp.objects.count(), TubEvent.objects.count(), LeanTest.objects.count()) == (2, 1, 1)


def test_a_test_of_two_trims_teaches_each_by_its_part(weighed_trim: Weigh, box: BoughtTrim) -> None:
    """10 kg of 85 and 10 kg of 50 expect 67.5; found 64.5. Both spreads 3, the test's 1, shares a half: the gain of
    each is 9 x 0.5 / (9 x 0.25 x 2 + 1) = 4.5 / 5.5, times -3: -2.45 [linear normal model]."""
    batch = a_batch(70.0)
    lean = weighed_trim("trim-85", "10")
    weigh_in(batch, lean.id, "10")
    weigh_in(batch, f"b{box.pk}", "10")
    grind.lean_test(batch, fat_pct=35.5, how="meter", key=uuid4(), by=None)
    points = lean_points(NAMED_LEAN_PCT)
    assert points["trim-85"].own_pct == pytest.approx(85 - 3 * 4.5 / 5.5)
    assert points[f"b{box.pk}"].own_pct == pytest.approx(50 - 3 * 4.5 / 5.5)
    assert (
        points["trim-50"].own_pct == 50.0
    )  # a box is of another plant; it says nothing of the shop's own fifty
    assert tub_of(f"b{box.pk}").lean_pct == 47.5
    assert [slug for slug, _ in grind_page(today()).learned] == ["trim-85"]


def test_fresh_and_frozen_add_up_to_all(weighed_trim: Weigh, box: BoughtTrim) -> None:
    before_kg = grind_page(today()).fresh_kg
    tub = weighed_trim(kg="7.5")
    grind.tub_became(tub, "frozen", key=uuid4(), by=None)
    page = grind_page(today())
    assert page.frozen_kg == pytest.approx(7.5) and page.fresh_kg == pytest.approx(before_kg)
    grind.tub_became(tub_of(tub.id), "thawed", key=uuid4(), by=None)
    page = grind_page(today())
    assert page.frozen_kg == 0 and page.fresh_kg == pytest.approx(before_kg + 7.5)


def test_bought_trim_without_a_lean_point_is_refused(demo_shop: Any) -> None:
    said = {"species": "cattle", "inspected": "federal", "weight_kg": Decimal(20), "lean_pct": 50.0,
            "supplier_lot": "K", "establishment": "M-0001", "made_on": today()}  # fmt: skip
    for slug in ("ribeye-roll", "no-such-piece", ""):
        assert "trim of the catalogue" in why(lambda slug=slug: grind.buy_trim(  # type: ignore[misc]
            key=uuid4(), at=now(), by=None, slug=slug, **said))  # fmt: skip
    assert not BoughtTrim.objects.exists()
