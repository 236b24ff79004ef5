"""Prices as they are kept: steps of a product, lists that are set, what the counter asks, and keys of devices."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import translation

from gambrel.measures import CannotDo
from gambrel.shop.pages.prices.forms import WhatIfForm, initial_of
from gambrel.shop.records.list_prices import ListPrices, list_prices
from gambrel.shop.records.models import (
    AuditLine,
    CoolerRoom,
    Demand,
    Device,
    Person,
    Price,
    PriceList,
    Rail,
    ShopProfile,
)
from gambrel.shop.records.services import devices, rooms
from gambrel.shop.records.services import shop as services
from gambrel.shop.records.services.prices import (
    NewPrice,
    remove_demand,
    save_demand,
    set_list,
    show_prices_to_all,
    whole_cents,
)
from gambrel.shop.records.week import kinds_of_shop

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

KG_A_LB = 0.45359237
"""Exact: International yard and pound agreement, 1959."""


def owner() -> Person:
    return Person.objects.get(role="owner")


def last_line() -> AuditLine:
    line = AuditLine.objects.order_by("-pk").first()
    assert line is not None
    return line


def product(**changed: Any) -> dict[str, Any]:
    return {"slug": "tenderloin-psmo", "steps": [(10.0, 5000.0), (25.0, 4000.0)], "shelf_days": 5,
            "salvage_cents_per_kg": 1000.0, "lean_pct": None} | changed  # fmt: skip


@pytest.fixture
def nothing_sells() -> None:
    Demand.objects.all().delete()


# What the counter asks -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lean_pct", "price"),
    [(95.0, 1500.0), (90.0, 1500.0), (89.9, 1200.0), (80.0, 1200.0), (79.0, 900.0), (70.0, 900.0),
     (69.9, 900.0), (0.0, 900.0)],
)  # fmt: skip
def test_trims_are_worth_the_leanest_ground_that_they_make(lean_pct: float, price: float) -> None:
    listed = ListPrices(ground=((90.0, 1500.0), (80.0, 1200.0), (70.0, 900.0)))
    assert listed.of_trims(lean_pct) == price


@pytest.mark.parametrize("lean_pct", [0.0, 50.0, 100.0])
def test_where_nothing_ground_is_sold_trims_have_no_price(lean_pct: float) -> None:
    assert ListPrices().of_trims(lean_pct) is None


def sells(slug: str, group: str, price: float, *, kinds: list[str], lean_pct: float | None = None) -> Demand:
    steps = [{"upto_kg": 10.0, "price_cents_per_kg": price}]
    return Demand.objects.create(slug=slug, group=group, kinds=kinds, steps=steps, lean_pct=lean_pct)


@pytest.mark.usefixtures("nothing_sells")
def test_of_two_groups_the_dearer_price_counts_and_only_for_its_kinds() -> None:
    sells("tenderloin-psmo", "a", 4000.0, kinds=["bison", "grain-finished"])
    sells("tenderloin-psmo", "b", 4400.0, kinds=["bison"])
    assert list_prices("bison").cuts["tenderloin-psmo"] == 4400.0
    assert list_prices("grain-finished").cuts["tenderloin-psmo"] == 4000.0
    assert list_prices("no-such-kind") == ListPrices()


@pytest.mark.usefixtures("nothing_sells")
def test_a_list_goes_before_the_steps_and_the_newest_list_before_an_older() -> None:
    sells("tenderloin-psmo", "all", 4000.0, kinds=["bison"])
    for price in (4100.0, 3900.0):
        set_list([NewPrice("tenderloin-psmo", "all", price, None, False)], by=owner())
    assert list_prices("bison").cuts == {"tenderloin-psmo": 3900.0}
    set_list([NewPrice("ribeye-roll", "all", 100.0, None, False)], by=owner())
    assert list_prices("bison").cuts == {"tenderloin-psmo": 4000.0}, (
        "not on the list that holds: its first step"
    )


@pytest.mark.usefixtures("nothing_sells")
def test_a_product_without_steps_has_no_price_and_ground_goes_leanest_first() -> None:
    Demand.objects.create(slug="tenderloin-psmo", group="all", kinds=["bison"], steps=[])
    for lean_pct in (70.0, 90.0, 80.0):
        sells(f"ground-{lean_pct:.0f}", "all", 10 * lean_pct, kinds=["bison"], lean_pct=lean_pct)
    assert list_prices("bison") == ListPrices({}, ((90.0, 900.0), (80.0, 800.0), (70.0, 700.0)))


# Lists that are set --------------------------------------------------------------------------------------


def test_a_list_keeps_each_line_as_it_was_given_and_says_so_in_the_trail() -> None:
    lines = [
        NewPrice("tenderloin-psmo", "all", 4000.0, 2500.0, False),
        NewPrice("brisket", "all", 1500.0, None, True),
    ]
    made = set_list(lines, by=owner(), note="a better season")
    kept = {(row.slug, row.price_cents_per_kg, row.cost_cents_per_kg, row.by_hand)
            for row in Price.objects.filter(price_list=made)}  # fmt: skip
    assert kept == {("tenderloin-psmo", 4000.0, 2500.0, False), ("brisket", 1500.0, None, True)}
    line = last_line()
    assert (line.what, line.why, line.by) == ("set a price list", "a better season", owner())
    assert line.after == {"prices": 2, "by_hand": {"brisket (all)": 1500.0}}


@pytest.mark.parametrize("note", ["", " ", "\t\n"])
def test_a_price_by_hand_without_a_reason_sets_nothing(note: str) -> None:
    lists, lines = PriceList.objects.count(), AuditLine.objects.count()
    with pytest.raises(CannotDo):
        set_list([NewPrice("tenderloin-psmo", "all", 4000.0, None, True)], by=owner(), note=note)
    assert (PriceList.objects.count(), AuditLine.objects.count()) == (lists, lines)


@pytest.mark.usefixtures("nothing_sells")
@pytest.mark.parametrize(
    ("new", "steps", "salvage"),
    [
        (5500.0, [5500.0, 4400.0], 1000.0),
        (2500.0, [2500.0, 2000.0], 1000.0),
        (1000.0, [1000.0, 800.0], 800.0),
        (5000.0, [5000.0, 4000.0], 1000.0),
        (500.0, [500.0, 400.0], 400.0),
    ],
)
def test_steps_move_in_proportion_and_salvage_stays_below(
    new: float, steps: list[float], salvage: float
) -> None:
    """First step 5000, second 4000, salvage 1000: at 1000 the second is 800, and salvage comes down to it."""
    demand = save_demand(product(), kinds=list(kinds_of_shop()), by=owner())
    set_list([NewPrice("tenderloin-psmo", demand.group, new, None, False)], by=owner(), plan_with_it=True)
    demand.refresh_from_db()
    assert [step["price_cents_per_kg"] for step in demand.steps] == pytest.approx(steps)
    assert [step["upto_kg"] for step in demand.steps] == pytest.approx([10.0, 25.0])
    assert demand.salvage_cents_per_kg == pytest.approx(salvage)
    assert (last_line().what == "moved price steps") == (new != 5000.0)


def test_a_price_of_what_the_counter_does_not_take_moves_nothing() -> None:
    before = list(Demand.objects.values_list("pk", "steps"))
    set_list([NewPrice("tenderloin-psmo", "no such group", 1.0, None, False)], by=owner(), plan_with_it=True)
    assert list(Demand.objects.values_list("pk", "steps")) == before


# Products ------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("nothing_sells")
def test_a_product_is_kept_as_it_was_said() -> None:
    demand = save_demand(product(), kinds=["bison"], by=owner())
    assert (demand.slug, demand.shelf_days, demand.lean_pct) == ("tenderloin-psmo", 5, None)
    assert demand.salvage_cents_per_kg == pytest.approx(1000.0)
    assert "bison" in demand.kinds
    assert last_line().what == "added what sells"
    changed = save_demand(product(shelf_days=9), kinds=["bison"], by=owner(), demand=demand)
    line = last_line()
    assert (changed.pk, line.what) == (demand.pk, "changed what sells")
    assert line.before and line.after and (line.before["shelf_days"], line.after["shelf_days"]) == (5, 9)


@pytest.mark.usefixtures("nothing_sells")
@pytest.mark.parametrize(
    "wrong",
    [
        {"steps": []},
        {"steps": [(10.0, 4000.0), (25.0, 5000.0)]},
        {"steps": [(25.0, 5000.0), (10.0, 4000.0)]},
        {"steps": [(10.0, 5000.0), (10.0, 4000.0)]},
        {"salvage_cents_per_kg": 4500.0},
        {"shelf_days": -1},
        {"lean_pct": 101.0},
    ],
)
def test_a_product_that_cannot_be_planned_with_is_not_kept(wrong: dict[str, Any]) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(CannotDo) as told:
        save_demand(product(**wrong), kinds=["bison"], by=owner())
    assert all(one.wanted and one.do for one in told.value.findings)
    assert (Demand.objects.count(), AuditLine.objects.count()) == (0, lines)


@pytest.mark.usefixtures("nothing_sells")
def test_a_product_is_there_once_and_taken_out_with_its_figures() -> None:
    demand = save_demand(product(), kinds=["bison"], by=owner())
    with pytest.raises(CannotDo):
        save_demand(product(shelf_days=6), kinds=["bison"], by=owner())
    remove_demand(demand, by=owner())
    line = last_line()
    assert not Demand.objects.exists() and line.what == "took out what sells"
    assert line.before and line.before["slug"] == "tenderloin-psmo" and line.before["shelf_days"] == 5


@pytest.mark.parametrize("public", [True, False])
def test_who_may_see_the_board_is_in_the_trail(public: bool) -> None:
    shop = ShopProfile.objects.get()
    shop.prices_are_public = not public
    shop.save()
    show_prices_to_all(shop, public=public, by=owner())
    assert ShopProfile.objects.get().prices_are_public is public
    assert (last_line().before, last_line().after) == ({"public": not public}, {"public": public})


@pytest.mark.parametrize(
    ("cents_per_kg", "sold_by", "on_the_sign"),
    [(880.0, "kg", 880), (880.4, "kg", 880), (880.6, "kg", 881), (880.0, "lb", 399), (0.0, "lb", 0),
     (100 / KG_A_LB, "lb", 100), (1.0, "lb", 0), (1.2, "lb", 1)],
)  # fmt: skip
def test_a_sign_says_whole_cents(cents_per_kg: float, sold_by: str, on_the_sign: int) -> None:
    """880 x 0.45359237 = 399.16; 1.2 x 0.4536 = 0.544, which is nearer to 1."""
    kg = KG_A_LB if sold_by == "lb" else 1.0
    assert whole_cents(cents_per_kg, sold_by=sold_by) * kg == pytest.approx(on_the_sign)


# The form of what is tried ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "typed", "holds"),
    [("margin", "0", True), ("margin", "95", True), ("margin", "95.1", False), ("margin", "-1", False),
     ("margin", "nan", False), ("wage", "1000", True), ("wage", "1000.01", False), ("wage", "-1", False),
     ("packing", "0", True), ("packing", "cheap", False), ("packing", "5 kg", False), ("ending", "0", True),
     ("ending", "99", True), ("ending", "100", False), ("ending", "4.5", False), ("ending", "\x00", False)],
)  # fmt: skip
@pytest.mark.parametrize("language", ["en", "es"])
def test_what_may_be_tried(language: str, field: str, typed: str, holds: bool) -> None:
    with translation.override(language):
        form = WhatIfForm({field: typed}, shop=ShopProfile.objects.get(), unit="lb", products=[])
        assert (field not in form.errors) == holds
        assert form.tried() == [(field, typed)]


@pytest.mark.parametrize(
    ("unit", "upto", "price"), [("kg", "10 kg", "$50.00/kg"), ("lb", "22.05 lb", "$22.68/lb")]
)
def test_steps_are_shown_as_they_would_be_typed(unit: str, upto: str, price: str) -> None:
    """10 / 0.45359237 = 22.046; 50 x 0.45359237 = 22.680."""
    demand = Demand(slug="tenderloin-psmo", group="all", kinds=["bison"], salvage_cents_per_kg=0.0,
                    steps=[{"upto_kg": 10.0, "price_cents_per_kg": 5000.0}])  # fmt: skip
    shown = initial_of(demand, unit)
    assert (shown["upto-1"], shown["price-1"], shown["salvage"]) == (upto, price, f"$0.00/{unit}")


# Keys, rooms and rails -------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["", " ", "x", "\x00", "\udcff", "é" * 1000, "' OR 1=1 --"])
def test_a_key_that_was_never_made_opens_nothing(key: str) -> None:
    assert devices.device_with(key) is None


@pytest.mark.parametrize("may_write", [True, False])
def test_a_key_is_in_no_line_of_the_trail(may_write: bool) -> None:
    device, key = devices.make("Scale at the rail", may_write=may_write, by=owner())
    assert devices.device_with(key) == device and devices.device_with(key + " ") is None
    line = last_line()
    assert line.after == {"name": "Scale at the rail", "may_write": may_write}
    assert key not in Device.objects.get(pk=device.pk).fingerprint
    devices.withdraw(device, by=owner())
    assert devices.device_with(key) is None
    with pytest.raises(CannotDo):
        devices.make("Scale at the rail", may_write=may_write, by=owner())


def test_a_setting_that_stays_the_same_is_no_line() -> None:
    shop, lines = ShopProfile.objects.get(), AuditLine.objects.count()
    services.change_shop(shop, {"name": shop.name, "trim": shop.trim}, by=owner())
    assert AuditLine.objects.count() == lines
    was = shop.name
    services.change_shop(shop, {"name": "Slate Creek", "trim": shop.trim}, by=owner())
    assert (last_line().before, last_line().after) == ({"name": was}, {"name": "Slate Creek"})


def test_rails_stand_behind_each_other_and_a_change_says_what_it_was() -> None:
    room = rooms.add_room(name="Far room", log_every_hours=None, by=owner())
    rails = [rooms.add_rail(room, name=name, length_mm=3000, warmer_c=0.0, by=owner()) for name in "abc"]
    assert [rail.order for rail in rails] == [0, 1, 2]
    rooms.change_rail(rails[1], {"length_mm": 4000, "name": "b"}, by=owner())
    assert Rail.objects.get(pk=rails[1].pk).length_mm == 4000
    assert (last_line().before, last_line().after) == ({"length_mm": 3000}, {"length_mm": 4000})
    rooms.change_room(room, {"log_every_hours": 4.0}, by=owner())
    assert CoolerRoom.objects.get(pk=room.pk).log_every_hours == 4.0


def test_a_second_shop_is_refused_and_leaves_nobody() -> None:
    people, lines = Person.objects.count(), AuditLine.objects.count()
    with pytest.raises(CannotDo):
        services.make_shop(name="Second", zone="America/Denver", language="en", weight_unit="lb",
                           owner="Someone Else", password="a long enough word")  # fmt: skip
    assert (Person.objects.count(), AuditLine.objects.count()) == (people, lines)
    assert ShopProfile.objects.count() == 1
