"""Animals brought in, bills, places on a rail, suppliers: as services, with every slip told and nothing half kept."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Bill,
    CoolerRoom,
    Person,
    Rail,
    Side,
    SideMove,
    SideState,
    Supplier,
)  # fmt: skip
from gambrel.shop.records.services.animals import (
    NewAnimal,
    Paid,
    bring_in,
    free_places,
    note_supplier,
    set_bill,
)  # fmt: skip
from gambrel.shop.records.services.rail import hang, move

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

BOTH = {"left": Decimal("150.000"), "right": Decimal("151.000")}


def new(tag: str = "X1", **more: object) -> NewAnimal:
    return NewAnimal(tag=tag, kind="bison", sex="bull", killed_on=today(), **more)  # type: ignore[arg-type]


def cutter() -> Person:
    return Person.objects.get(role="cutter")


def rail(length_mm: int = 3000, name: str = "Test rail") -> Rail:
    room, _ = CoolerRoom.objects.get_or_create(name="Test room")
    return Rail.objects.create(room=room, name=name, length_mm=length_mm)


def bring(
    tag: str = "X1",
    *,
    paid: Paid | None = None,
    hot: dict[str, Decimal] | None = None,
    to: Rail | None = None,
) -> list[Side]:
    return bring_in(new(tag), hot_kg=BOTH if hot is None else hot, at=now(), paid=paid, by=cutter(), rail=to)


def test_an_animal_comes_in_with_its_sides_and_its_trail() -> None:
    sides = bring(to=rail())
    assert [(side.half, side.hot_kg, side.position_mm) for side in sides] == [
        ("left", Decimal("150.000"), 0), ("right", Decimal("151.000"), 600),
    ]  # fmt: skip
    animal = Animal.objects.get(tag="X1")
    assert list(
        AuditLine.objects.filter(record="animal", record_id=str(animal.pk)).values_list("what", flat=True)
    ) == ["brought in"]
    assert SideMove.objects.filter(side__animal=animal, state=SideState.HANGING).count() == 2
    assert not Bill.objects.filter(animal=animal).exists(), "no bill was given, none is made up"


@pytest.mark.parametrize("half", ["left", "right"])
def test_one_side_alone_hangs_alone(half: str) -> None:
    assert [side.half for side in bring(hot={half: Decimal("149")})] == [half]


@pytest.mark.parametrize("tag", ["B1", "b1", "C2", "w1"])
def test_a_tag_is_used_once_whatever_its_capitals(tag: str) -> None:
    before = Animal.objects.count()
    with pytest.raises(CannotDo, match="a tag that no other animal has"):
        bring(tag)
    assert Animal.objects.count() == before


def test_without_a_weight_nothing_hangs() -> None:
    with pytest.raises(CannotDo, match="hot weight"):
        bring(hot={})
    assert not Animal.objects.filter(tag="X1").exists()


def test_a_rail_that_is_too_full_keeps_the_animal_out_altogether() -> None:
    short = rail(length_mm=1000)
    with pytest.raises(CannotDo, match="free places"):
        bring(to=short)
    assert not Animal.objects.filter(tag="X1").exists(), "no animal without its sides"


def test_the_supplier_is_found_by_name_or_made() -> None:
    bring_in(new("X2", supplier="Larkspur Draw"), hot_kg=BOTH, at=now(), paid=None, by=None)
    bring_in(new("X3", supplier="Over the Hill"), hot_kg=BOTH, at=now(), paid=None, by=None)
    assert Animal.objects.get(tag="X2").supplier == Supplier.objects.get(name="Larkspur Draw")
    assert Supplier.objects.filter(name="Over the Hill").count() == 1


# Sums by hand: 301.000 kg hot for both sides; 1 lb = 0.45359237 kg.
@pytest.mark.parametrize(
    ("paid", "cents"),
    [
        (Paid("head", amount_cents=190_000), 190_000),
        (Paid("raised", amount_cents=0), 0),
        (Paid("rail", price_cents_per_kg=800.0), 240_800),
        (Paid("rail", price_cents_per_kg=793.664), 238_893),
        (Paid("live", price_cents_per_kg=450.0, live_kg=Decimal("520")), 234_000),
        (Paid("live", price_cents_per_kg=451.9, live_kg=Decimal("520.5")), 235_214),
    ],
    ids=["head", "raised for nothing", "rail", "rail by the pound", "live", "live to the cent"],
)
def test_what_was_paid_is_worked_out_to_the_cent(paid: Paid, cents: int) -> None:
    bring(paid=paid)
    assert Bill.objects.get(animal__tag="X1").paid_cents == cents


def test_where_one_side_came_the_bill_on_the_rail_is_of_both() -> None:
    """Paid on the rail is paid for the carcass; its fellow is taken to weigh the same."""
    bring(hot={"left": Decimal("150")}, paid=Paid("rail", price_cents_per_kg=800.0))
    assert Bill.objects.get(animal__tag="X1").paid_cents == 240_000


@pytest.mark.parametrize(
    ("paid", "said"),
    [
        (Paid("live", price_cents_per_kg=450.0), "live weight and its price"),
        (Paid("live", live_kg=Decimal("500")), "live weight and its price"),
        (Paid("rail"), "price by hot weight"),
        (Paid("head"), "the amount"),
        (Paid("raised"), "the amount"),
        (Paid("live", price_cents_per_kg=450.0, live_kg=Decimal("350")), "30 to 80 %"),
        (Paid("live", price_cents_per_kg=450.0, live_kg=Decimal("1100")), "30 to 80 %"),
    ],
    ids=[
        "no live weight",
        "no price",
        "no price on the rail",
        "no amount",
        "no cost",
        "dresses 86 %",
        "dresses 27 %",
    ],
)
def test_a_bill_that_cannot_be_is_told_and_the_animal_stays_out(paid: Paid, said: str) -> None:
    with pytest.raises(CannotDo, match=said):
        bring(paid=paid)
    assert not Animal.objects.filter(tag="X1").exists()


def test_every_slip_is_told_at_once() -> None:
    with pytest.raises(CannotDo) as refusal:
        bring("B1", hot={}, paid=Paid("rail"))
    assert len(refusal.value.findings) == 3


@pytest.mark.parametrize("live_kg", ["376.25", "1003.33"], ids=["just 80 %", "just 30 %"])
def test_the_edges_of_dressing_are_allowed(live_kg: str) -> None:
    """301 / 376.25 = 0.8; 301 / 1003.33 = 0.3000"""
    bring(paid=Paid("live", price_cents_per_kg=450.0, live_kg=Decimal(live_kg)))
    assert Bill.objects.get(animal__tag="X1").live_kg == Decimal(live_kg)


@pytest.mark.parametrize(
    ("taken_mm", "length_mm", "count", "places"),
    [
        ([], 3000, 1, [0]),
        ([], 3000, 5, [0, 600, 1200, 1800, 2400]),
        ([0], 3000, 1, [600]),
        ([600], 3000, 2, [0, 1200]),
        ([300], 3000, 1, [900]),
        ([0, 1200], 3000, 2, [600, 1800]),
        ([1800, 0, 600], 3000, 2, [1200, 2400]),
        ([], 600, 1, [0]),
        ([0, 600, 1200, 1900], 3100, 1, [2500]),
    ],
    ids=str,
)
def test_the_first_free_places(taken_mm: list[int], length_mm: int, count: int, places: list[int]) -> None:
    one = rail(length_mm)
    for number, place in enumerate(taken_mm):
        animal = Animal.objects.create(tag=f"P{number}", kind="bison", sex="bull", killed_on=today())
        hang(animal, "left", hot_kg=Decimal("150"), at=now(), by=None, rail=one, position_mm=place)
    assert free_places(one, count, 600) == places


@pytest.mark.parametrize(("length_mm", "count"), [(599, 1), (3000, 6), (1199, 2)])
def test_a_rail_holds_no_more_than_it_is_long(length_mm: int, count: int) -> None:
    with pytest.raises(CannotDo) as refusal:
        free_places(rail(length_mm), count, 600)
    assert refusal.value.findings[0].given == f"{count} more to hang"


def test_no_rail_named_is_no_place() -> None:
    assert free_places(None, 2, 600) == [None, None]


def test_a_side_that_left_leaves_its_place_free() -> None:
    one = rail(1200)
    sides = bring(to=one)
    with pytest.raises(CannotDo):
        free_places(one, 1, 600)
    move(sides[0], rail=None, position_mm=None, by=None, state=SideState.GONE, why="sold whole")
    assert free_places(one, 1, 600) == [0]


def test_the_same_side_does_not_hang_twice() -> None:
    side = bring()[0]
    with pytest.raises(CannotDo, match="each side once"):
        hang(side.animal, side.half, hot_kg=Decimal("140"), at=now(), by=None)
    assert Side.objects.filter(animal=side.animal).count() == 2


def test_a_bill_put_right_keeps_what_it_was_in_the_trail() -> None:
    animal = bring(paid=Paid("head", amount_cents=190_000, kill_fee_cents=12_500))[0].animal
    set_bill(
        animal, Paid("rail", price_cents_per_kg=700.0, kill_fee_cents=13_000), by=cutter(), why="agreed anew"
    )
    bill = Bill.objects.get(animal=animal)
    assert (bill.basis, bill.paid_cents, bill.kill_fee_cents) == ("rail", 210_700, 13_000)
    line = AuditLine.objects.get(what="set a bill", record_id=str(animal.pk))
    assert line.before == {"basis": "head", "paid_cents": 190_000, "kill_fee_cents": 12_500}
    assert line.after == {"basis": "rail", "paid_cents": 210_700, "kill_fee_cents": 13_000}
    assert line.why == "agreed anew" and line.by_name == cutter().name


def test_a_bill_that_cannot_be_leaves_the_old_one() -> None:
    animal = bring(paid=Paid("head", amount_cents=190_000))[0].animal
    with pytest.raises(CannotDo):
        set_bill(animal, Paid("live", price_cents_per_kg=450.0), by=None)
    assert Bill.objects.get(animal=animal).paid_cents == 190_000
    assert not AuditLine.objects.filter(what="set a bill", record_id=str(animal.pk)).exists()


def test_a_first_bill_has_nothing_before_it() -> None:
    animal = bring()[0].animal
    set_bill(animal, Paid("raised", amount_cents=150_000), by=None)
    assert AuditLine.objects.get(what="set a bill", record_id=str(animal.pk)).before is None


def test_a_note_of_a_supplier_is_in_the_trail() -> None:
    supplier = Supplier.objects.get(name="Larkspur Draw")
    note_supplier(supplier, contact="gate phone", note="calls after dark", by=cutter())
    supplier.refresh_from_db()
    assert (supplier.contact, supplier.note) == ("gate phone", "calls after dark")
    line = AuditLine.objects.get(record="supplier", record_id=str(supplier.pk))
    assert line.before == {"contact": "", "note": ""} and line.after["contact"] == "gate phone"


def test_a_side_moved_keeps_every_place_it_had() -> None:
    first, second = rail(3000, "First"), rail(3000, "Second")
    side = bring(to=first)[0]
    move(side, rail=second, position_mm=1200, by=cutter(), why="the first drips")
    places = list(SideMove.objects.filter(side=side).order_by("pk").values_list("rail__name", "position_mm"))
    assert places == [("First", 0), ("Second", 1200)]
    line = AuditLine.objects.get(what="moved", record_id=str(side.pk))
    assert (
        line.before["rail"] == "Test room: First"
        and line.after["rail"] == "Test room: Second"
        and line.why == "the first drips"
    )


def test_taken_down_is_said_otherwise_than_moved() -> None:
    side = bring(to=rail())[0]
    move(side, rail=None, position_mm=None, by=None, state=SideState.GONE, why="condemned by the inspector")
    side.refresh_from_db()
    assert (side.state, side.rail, side.position_mm) == (SideState.GONE, None, None)
    assert AuditLine.objects.filter(what="taken down", record_id=str(side.pk)).count() == 1


def test_a_move_happens_now_and_hanging_when_it_is_said() -> None:
    yesterday = now() - timedelta(days=1)
    side = bring_in(new("X9"), hot_kg=BOTH, at=yesterday, paid=None, by=None)[0]
    move(side, rail=rail(), position_mm=0, by=None)
    times = list(SideMove.objects.filter(side=side).order_by("pk").values_list("at", flat=True))
    assert times == [yesterday, now()]
