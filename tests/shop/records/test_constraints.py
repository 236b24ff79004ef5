"""The database refuses what cannot be, whichever program asks: every rule of every table, broken one at a time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from django.apps import apps
from django.db import IntegrityError, models, transaction

from gambrel.shop.records.models import (
    Animal,
    Batch,
    BatchInput,
    Bill,
    BoughtTrim,
    CleanUp,
    CoolerReading,
    CoolerRoom,
    Customer,
    Cutting,
    Demand,
    Device,
    Drill,
    Item,
    LeanTest,
    Lot,
    LotHold,
    Order,
    OwnKind,
    Pack,
    PackEvent,
    Person,
    PinnedSide,
    Plan,
    PlannedSide,
    Price,
    PriceList,
    Rail,
    RuleWord,
    ScaleWeight,
    Share,
    ShopProfile,
    Side,
    Supplier,
    TubEvent,
    Weighing,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

AT = datetime(2026, 3, 9, 12, 0, tzinfo=UTC)
DAY = date(2026, 3, 9)
KEY = UUID(int=7)


def an_animal(**changed: Any) -> Animal:
    return Animal.objects.create(
        **{"tag": "T-900", "kind": "bison", "sex": "bull", "killed_on": DAY, **changed}
    )


def a_bill(**changed: Any) -> Bill:
    return Bill.objects.create(**{"animal": an_animal(), "basis": "head", "paid_cents": 250_000, **changed})


def a_side(**changed: Any) -> Side:
    fields = {"half": "left", "hot_kg": Decimal("150.5"), "hung_at": AT, **changed}
    animal = fields.pop("animal", None) or an_animal()
    return Side.objects.create(animal=animal, **fields)


def a_weighing(**changed: Any) -> Weighing:
    side = changed.pop("side", None) or a_side()
    fields = {"side": side, "at": AT, "weight_kg": Decimal("149.2"), "typed": "149.2 kg", **changed}
    return Weighing.objects.create(**fields)


def a_cutting(**changed: Any) -> Cutting:
    side = changed.pop("side", None) or a_side()
    return Cutting.objects.create(**{"side": side, "begun_at": AT, "begun_kg": Decimal("148"), **changed})


def a_scale_weight(**changed: Any) -> ScaleWeight:
    cutting = changed.pop("cutting", None) or a_cutting()
    fields = {"cutting": cutting, "slug": "tenderloin", "weight_kg": Decimal("2.4"), "typed": "2.4", "at": AT}
    return ScaleWeight.objects.create(**{**fields, **changed})


def a_room(**changed: Any) -> CoolerRoom:
    return CoolerRoom.objects.create(**{"name": "Far cooler", **changed})


def a_rail(**changed: Any) -> Rail:
    room = changed.pop("room", None) or a_room()
    return Rail.objects.create(**{"room": room, "name": "Short", "length_mm": 3000, **changed})


def a_reading(**changed: Any) -> CoolerReading:
    room = changed.pop("room", None) or a_room()
    return CoolerReading.objects.create(**{"room": room, "at": AT, "air_c": 1.5, **changed})


def an_order(**changed: Any) -> Order:
    fields = {"code": "order-900", "slug": "tenderloin", "group": "bison", "kinds": ["bison"],
              "weight_kg": Decimal("4"), "by_day": DAY, "price_cents_per_kg": 5000.0}  # fmt: skip
    return Order.objects.create(**{**fields, **changed})


def a_lot(**changed: Any) -> Lot:
    fields = {"code": "lot-900", "made_on": DAY, "kind": "bison", "species": "bison", "inspected": "federal"}
    return Lot.objects.create(**{**fields, **changed})


def a_pack(**changed: Any) -> Pack:
    lot = changed.pop("lot", None) or a_lot()
    return Pack.objects.create(
        **{"lot": lot, "slug": "tenderloin", "net_kg": Decimal("0.5"), "at": AT, **changed}
    )


def an_event(**changed: Any) -> PackEvent:
    return PackEvent.objects.create(**{"pack": a_pack(), "what": "sold", "at": AT, **changed})


def a_bought_trim(**changed: Any) -> BoughtTrim:
    fields = {"slug": "trim-80", "species": "cattle", "inspected": "federal", "weight_kg": Decimal("20"), "at": AT,
              "lean_pct": 80.0, "establishment": "M-0000", "supplier_lot": "L1", "made_on": DAY}  # fmt: skip
    return BoughtTrim.objects.create(**{**fields, **changed})


def a_tub_event(**changed: Any) -> TubEvent:
    bought = changed.pop("bought", None) or a_bought_trim()
    return TubEvent.objects.create(**{"bought": bought, "what": "frozen", "at": AT, **changed})


def a_batch(**changed: Any) -> Batch:
    fields = {
        "code": "G-900",
        "name": "ground-beef",
        "lean_pct": 80.0,
        "inspected": "federal",
        "begun_at": AT,
    }
    return Batch.objects.create(**{**fields, **changed})


def a_closed_batch(**changed: Any) -> Batch:
    return a_batch(
        **{"clean_up": CleanUp.objects.create(at=AT), "ended_at": AT, "out_kg": Decimal(9), **changed}
    )


def an_input(**changed: Any) -> BatchInput:
    batch = changed.pop("batch", None) or a_batch()
    bought = changed.pop("bought") if "bought" in changed else a_bought_trim()
    fields = {"weight_kg": Decimal(5), "typed": "5 kg", "lean_pct": 80.0, "at": AT, **changed}
    return BatchInput.objects.create(batch=batch, bought=bought, **fields)


def a_lean_test(**changed: Any) -> LeanTest:
    return LeanTest.objects.create(**{"batch": a_batch(), "fat_pct": 19.0, "at": AT, **changed})


def an_item(**changed: Any) -> Item:
    return Item.objects.create(**{"number": 4, "slug": "ribeye-steak", "species": "cattle", **changed})


def a_word(**changed: Any) -> RuleWord:
    fields = {
        "slug": "nutrition",
        "on": False,
        "who": "the inspector",
        "why": "a letter",
        "since": DAY,
        "at": AT,
    }
    return RuleWord.objects.create(**{**fields, **changed})


def a_hold(**changed: Any) -> LotHold:
    return LotHold.objects.create(**{"lot": a_lot(), "held": True, "at": AT, "why": "a test", **changed})


def a_drill(**changed: Any) -> Drill:
    fields = {
        "asked": "26068-1",
        "lots": [],
        "begun_at": AT,
        "here_count": 2,
        "gone_count": 3,
        "named_count": 1,
    }
    return Drill.objects.create(**{**fields, **changed})


def a_share(**changed: Any) -> Share:
    fields = {"code": "Q-900", "portion": "half", "bought_on": DAY, "wishes": {}, "terms": {}, **changed}
    return Share.objects.create(
        animal=an_animal(), customer=Customer.objects.create(name="A. Neighbour"), **fields
    )


def a_handed_share(**changed: Any) -> Share:
    return a_share(**{"state": "filled", "taken_kg": Decimal(50), "handed_on": DAY, **changed})


def a_plan(**changed: Any) -> Plan:
    return Plan.objects.create(**{"asked_at": AT, "start_on": DAY, "days": 7, **changed})


def a_demand(**changed: Any) -> Demand:
    return Demand.objects.create(**{"slug": "nowhere-cut", "group": "g", "kinds": [], "steps": [], **changed})


def a_price(**changed: Any) -> Price:
    listed = changed.pop("price_list", None) or PriceList.objects.create(at=AT)
    return Price.objects.create(
        **{
            "price_list": listed,
            "slug": "tenderloin",
            "group": "bison",
            "price_cents_per_kg": 5000.0,
            **changed,
        }
    )


def a_person(**changed: Any) -> Person:
    return Person.objects.create(**{"name": "Teodora Finch", "role": "cutter", "password": "!", **changed})


def the_shop(**changed: Any) -> int:
    return ShopProfile.objects.update(**changed)


def another_shop(*, pk: int) -> None:
    """A second line of the shop; its own `save` would make it the first again."""
    ShopProfile.objects.filter(pk=pk).delete()
    ShopProfile.objects.bulk_create([ShopProfile(pk=pk, name="Second")])


def refused(make: Callable[[], Any], name: str) -> None:
    """The rule of this name refuses it (SQLite and PostgreSQL both say the name of a check)."""
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        make()


CHECKS: list[tuple[str, Callable[..., Any], dict[str, Any], dict[str, Any]]] = [
    # rule, what is made, what breaks the rule, what is just within it
    ("animal_sex", an_animal, {"sex": "gelding"}, {"sex": "cow"}),
    ("animal_sex", an_animal, {"sex": ""}, {"sex": "steer"}),
    ("animal_inspected", an_animal, {"inspected": "nobody"}, {"inspected": "state"}),
    ("custom_has_owner", an_animal, {"inspected": "custom"}, {"inspected": "custom", "owner_name": "A. Neighbour"}),
    ("animal_kph", an_animal, {"kph_pct": 12.01}, {"kph_pct": 12.0}),
    ("animal_kph", an_animal, {"kph_pct": -0.01}, {"kph_pct": 0.0}),
    ("bill_basis", a_bill, {"basis": "barter"}, {"basis": "rail"}),
    ("live_bill_has_weight", a_bill, {"basis": "live", "live_kg": Decimal(0)},
     {"basis": "live", "live_kg": Decimal("0.001")}),
    ("side_half", a_side, {"half": "third"}, {"half": "right"}),
    ("side_hot", a_side, {"hot_kg": Decimal(0)}, {"hot_kg": Decimal("0.001")}),
    ("side_hot", a_side, {"hot_kg": Decimal("-1")}, {"hot_kg": Decimal(1)}),
    ("weighing_above_zero", a_weighing, {"weight_kg": Decimal(0)}, {"weight_kg": Decimal("0.001")}),
    ("taken_out_weighing_corrects", a_weighing, {"taken_out": True}, {"taken_out": False}),
    ("cutting_begun_kg", a_cutting, {"begun_kg": Decimal(0)}, {"begun_kg": Decimal("0.001")}),
    ("cutting_ends_after", a_cutting, {"ended_at": AT - timedelta(seconds=1)}, {"ended_at": AT}),
    ("scale_weight_above_zero", a_scale_weight, {"weight_kg": Decimal(0)}, {"weight_kg": Decimal("0.001")}),
    ("scale_tare", a_scale_weight, {"tare_kg": Decimal("-0.001")}, {"tare_kg": Decimal(0)}),
    ("taken_out_weight_corrects", a_scale_weight, {"taken_out": True}, {"taken_out": False}),
    ("room_log_hours", a_room, {"log_every_hours": 0.0}, {"log_every_hours": 0.5}),
    ("room_log_hours", a_room, {"log_every_hours": -12.0}, {"log_every_hours": None}),
    ("rail_length", a_rail, {"length_mm": 0}, {"length_mm": 1}),
    ("cooler_reading_says_something", a_reading, {"air_c": None}, {"air_c": None, "deep_c": 9.0}),
    ("cooler_humidity", a_reading, {"humidity_pct": 100.5}, {"humidity_pct": 100.0}),
    ("cooler_humidity", a_reading, {"humidity_pct": -1.0}, {"humidity_pct": 0.0}),
    ("order_weight", an_order, {"weight_kg": Decimal(0)}, {"weight_kg": Decimal("0.001")}),
    ("order_state", an_order, {"state": "lost"}, {"state": "filled"}),
    ("lot_species", a_lot, {"species": "elk"}, {"species": "cattle"}),
    ("lot_inspected", a_lot, {"inspected": ""}, {"inspected": "state"}),
    ("custom_lot_has_owner", a_lot, {"inspected": "custom"}, {"inspected": "custom", "owner_name": "A. Neighbour"}),
    ("pack_net", a_pack, {"net_kg": Decimal(0)}, {"net_kg": Decimal("0.001")}),
    ("pack_packing", a_pack, {"packing": "sack"}, {"packing": "vacuum"}),
    ("pack_place", a_pack, {"place": "attic"}, {"place": "freezer"}),
    ("pack_event", an_event, {"what": "lost"}, {"what": "spoiled"}),
    ("pack_event_place", an_event, {"what": "moved", "place": "attic"}, {"what": "moved", "place": "ageing"}),
    ("override_says_why", an_event, {"asked_cents": 900, "why": ""}, {"asked_cents": 900, "why": "torn film"}),
    ("item_number", an_item, {"number": 0}, {"number": 1}),
    ("item_number", an_item, {"number": 100_000}, {"number": 99_999}),
    ("item_species", an_item, {"species": "elk"}, {"species": "bison"}),
    ("rule_word_says_who_and_why", a_word, {"who": ""}, {"who": "x"}),
    ("rule_word_says_who_and_why", a_word, {"why": ""}, {"why": "x"}),
    ("hold_says_why", a_hold, {"why": ""}, {"why": "x"}),
    ("drill_ends_after", a_drill, {"ended_at": AT - timedelta(seconds=1)}, {"ended_at": AT}),
    ("drill_named", a_drill, {"named_count": 4}, {"named_count": 3}),
    ("lot_of_one", lambda **cutting: a_lot(**cutting, batch=a_batch()), {"cutting_id": 1}, {}),
    ("plan_days", a_plan, {"days": 0}, {"days": 1}),
    ("only_a_done_plan_is_accepted", a_plan, {"accepted_at": AT, "state": "no-plan"},
     {"accepted_at": AT, "state": "done"}),
    ("demand_salvage", a_demand, {"salvage_cents_per_kg": -0.01}, {"salvage_cents_per_kg": 0.0}),
    ("price_not_negative", a_price, {"price_cents_per_kg": -0.01}, {"price_cents_per_kg": 0.0}),
    ("person_role", a_person, {"role": "visitor"}, {"role": "counter"}),
    ("one_shop", another_shop, {"pk": 2}, {"pk": 1}),
    ("shop_unit", the_shop, {"weight_unit": "st"}, {"weight_unit": "kg"}),
    ("bought_trim_weight", a_bought_trim, {"weight_kg": Decimal(0)}, {"weight_kg": Decimal("0.001")}),
    ("bought_trim_lean", a_bought_trim, {"lean_pct": 100.1}, {"lean_pct": 100.0}),
    ("bought_trim_lean", a_bought_trim, {"lean_pct": -0.1}, {"lean_pct": 0.0}),
    ("bought_trim_species", a_bought_trim, {"species": "elk"}, {"species": "bison"}),
    ("bought_trim_inspected", a_bought_trim, {"inspected": ""}, {"inspected": "state"}),
    ("bought_trim_papers", a_bought_trim, {"establishment": ""}, {"establishment": "M-1"}),
    ("bought_trim_papers", a_bought_trim, {"supplier_lot": ""}, {"supplier_lot": "L2"}),
    ("tub_event", a_tub_event, {"what": "eaten"}, {"what": "thrown"}),
    ("batch_lean", a_batch, {"lean_pct": 99.1}, {"lean_pct": 99.0}),
    ("batch_inspected", a_batch, {"inspected": "nobody"}, {"inspected": "state"}),
    ("custom_batch_has_owner", a_batch, {"inspected": "custom"}, {"inspected": "custom", "owner_name": "A. Neighbour"}),
    ("closed_batch_is_whole", a_closed_batch, {"out_kg": Decimal(0)}, {"out_kg": Decimal("0.001")}),
    ("closed_batch_is_whole", a_closed_batch, {"clean_up": None}, {}),
    ("closed_batch_is_whole", a_batch, {"ended_at": AT}, {"ended_at": None}),
    ("batch_input_above_zero", an_input, {"weight_kg": Decimal(0)}, {"weight_kg": Decimal("0.001")}),
    ("taken_out_input_corrects", an_input, {"taken_out": True}, {"taken_out": False}),
    ("lean_test_fat", a_lean_test, {"fat_pct": 100.1}, {"fat_pct": 100.0}),
    ("lean_test_fat", a_lean_test, {"fat_pct": -0.1}, {"fat_pct": 0.0}),
    ("share_portion", a_share, {"portion": "third"}, {"portion": "eighth"}),
    ("share_state", a_share, {"state": "eaten"}, {"state": "cancelled"}),
    ("handed_share_was_weighed", a_share, {"state": "filled"}, {"state": "open"}),
    ("handed_share_was_weighed", a_handed_share, {"taken_kg": Decimal(0)}, {"taken_kg": Decimal("0.001")}),
    ("handed_share_was_weighed", a_handed_share, {"handed_on": None}, {"handed_on": DAY}),
    ("share_ground", a_handed_share, {"ground_kg": Decimal("50.001")}, {"ground_kg": Decimal(50)}),
    ("share_ground", a_handed_share, {"ground_kg": Decimal(-1)}, {"ground_kg": Decimal(0)}),
    ("shop_ending", the_shop, {"price_ending_cents": 100}, {"price_ending_cents": 0}),
    ("shop_minutes_on", the_shop, {"minutes_on": {"sat": {"saw": -1}}}, {"minutes_on": {"sat": {"saw": 0}}}),
    ("shop_minutes_on", the_shop, {"minutes_on": {"mon": {"knife": 72_001}}},
     {"minutes_on": {"mon": {"knife": 72_000}}}),
    ("shop_minutes_on", the_shop, {"minutes_on": {"sun": {"packer": "an hour"}}}, {"minutes_on": {"sun": {}}}),
    ("shop_overtime", the_shop, {"overtime_minutes_a_day": {"saw": -1}}, {"overtime_minutes_a_day": {"saw": 0}}),
    ("shop_overtime", the_shop, {"overtime_minutes_a_day": {"knife": 72_001}},
     {"overtime_minutes_a_day": {"knife": 72_000}}),
    ("shop_overtime", the_shop, {"overtime_minutes_a_day": {"packer": "an hour"}}, {"overtime_minutes_a_day": {}}),
    ("shop_overtime_wage", the_shop, {"wage_cents_per_hour": 2400, "overtime_cents_per_hour": 2399},
     {"wage_cents_per_hour": 2400, "overtime_cents_per_hour": 2400}),
    ("shop_at_once", the_shop, {"at_once": {"grinder": 501}, "open_min": 60},
     {"at_once": {"grinder": 500}, "open_min": 60}),
    ("shop_at_once", the_shop, {"at_once": {"knife": -1}, "open_min": 60}, {"at_once": {"knife": 0}, "open_min": 60}),
    ("shop_at_once_while_open", the_shop, {"at_once": {"knife": 1}, "open_min": None},
     {"at_once": {}, "open_min": None}),
    ("shop_open", the_shop, {"open_min": 0}, {"open_min": 1440}),
    ("shop_open", the_shop, {"open_min": 1440.1}, {"open_min": None}),
    ("shop_freezer_holds", the_shop, {"freezer_holds_kg": -0.1}, {"freezer_holds_kg": 0}),
    ("shop_freezer_cost", the_shop, {"freezer_cost_cents_per_kg": -0.1}, {"freezer_cost_cents_per_kg": 0}),
    ("demand_frozen", a_demand, {"frozen_upto_kg": 1.0}, {"frozen_upto_kg": 1.0, "frozen_price_cents_per_kg": 0.0}),
    ("demand_frozen", a_demand, {"frozen_price_cents_per_kg": 9.0}, {}),
    ("demand_frozen", a_demand, {"frozen_kept_cents_per_kg": 9.0},
     {"frozen_upto_kg": 1.0, "frozen_price_cents_per_kg": 5.0, "frozen_kept_cents_per_kg": 9.0}),
    ("demand_frozen", a_demand, {"frozen_upto_kg": 0.0, "frozen_price_cents_per_kg": 1.0},
     {"frozen_upto_kg": 0.001, "frozen_price_cents_per_kg": 1.0}),
    ("demand_frozen", a_demand, {"frozen_upto_kg": 1.0, "frozen_price_cents_per_kg": -0.1},
     {"frozen_upto_kg": 1.0, "frozen_price_cents_per_kg": 0.0}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "make", "broken", "kept"), CHECKS, ids=[f"{row[0]}-{n}" for n, row in enumerate(CHECKS)]
)
def test_the_database_refuses_what_cannot_be(
    name: str, make: Callable[..., Any], broken: dict[str, Any], kept: dict[str, Any]
) -> None:
    refused(lambda: make(**broken), name)
    make(**kept)  # the edge itself is allowed: the rule is no stricter than it says


def test_trim_in_a_batch_comes_of_one_tub_and_no_other() -> None:
    """Off the block's scale, bought, or carried over: exactly one of them; the same holds for what became of a tub."""
    bought, weight, before = a_bought_trim(), a_scale_weight(), a_batch(code="G-1")
    into = a_batch(code="G-2")
    of_each = [{"bought": bought}, {"bought": None, "weight": weight}, {"bought": None, "carried": before}]
    for of_one in of_each:
        an_input(batch=into, **of_one)
    for of_more in [
        {"bought": bought, "weight": weight},
        {"bought": bought, "carried": before},
        {"bought": None},
    ]:
        refused(lambda more=of_more: an_input(batch=into, **more), "batch_input_of_one")
    refused(lambda: TubEvent.objects.create(what="frozen", at=AT), "tub_event_of_one")
    refused(
        lambda: TubEvent.objects.create(what="frozen", at=AT, bought=bought, weight=weight),
        "tub_event_of_one",
    )


CHECKED_ELSEWHERE = {"batch_input_of_one", "tub_event_of_one"}
"""By the test above."""


def test_no_rule_of_any_table_is_missing_from_the_list() -> None:
    ours = {
        rule.name
        for model in apps.get_app_config("records").get_models()
        for rule in model._meta.constraints
        if isinstance(rule, models.CheckConstraint)
    }
    assert ours == {row[0] for row in CHECKS} | CHECKED_ELSEWHERE


ONCE: list[tuple[str, Callable[[], Any], Callable[[Any], Any]]] = [
    # what is once, the first, the second beside it
    ("tag", an_animal, lambda _: an_animal()),
    ("bill of an animal", a_bill, lambda bill: Bill.objects.create(animal=bill.animal, basis="rail", paid_cents=0)),
    ("half of an animal", a_side, lambda side: a_side(animal=side.animal)),
    ("supplier", lambda: Supplier.objects.create(name="Far Draw"), lambda _: Supplier.objects.create(name="Far Draw")),
    ("weighing key", lambda: a_weighing(key=KEY), lambda one: a_weighing(side=one.side, key=KEY)),
    ("correction of a weighing",
     lambda: (lambda one: a_weighing(side=one.side, corrects=one))(a_weighing()),
     lambda two: a_weighing(side=two.side, corrects=two.corrects)),
    ("cutting of a side", a_cutting, lambda one: a_cutting(side=one.side)),
    ("block key", lambda: a_scale_weight(key=KEY), lambda one: a_scale_weight(cutting=one.cutting, key=KEY)),
    ("correction at the block",
     lambda: (lambda one: a_scale_weight(cutting=one.cutting, corrects=one))(a_scale_weight()),
     lambda two: a_scale_weight(cutting=two.cutting, corrects=two.corrects)),
    ("room", a_room, lambda _: a_room()),
    ("rail of a room", a_rail, lambda rail: a_rail(room=rail.room)),
    ("reading key", lambda: a_reading(key=KEY), lambda one: a_reading(room=one.room, key=KEY)),
    ("correction of a reading",
     lambda: (lambda one: a_reading(room=one.room, corrects=one))(a_reading()),
     lambda two: a_reading(room=two.room, corrects=two.corrects)),
    ("order code", an_order, lambda _: an_order()),
    ("lot code", a_lot, lambda _: a_lot()),
    ("pack key", lambda: a_pack(key=KEY), lambda one: a_pack(lot=one.lot, key=KEY)),
    ("side of a plan",
     lambda: PlannedSide.objects.create(plan=a_plan(), side=a_side(), weight_kg=150.0),
     lambda one: PlannedSide.objects.create(plan=one.plan, side=one.side, weight_kg=150.0)),
    ("plan key", lambda: a_plan(key=KEY), lambda _: a_plan(key=KEY)),
    ("pin of a side", lambda: PinnedSide.objects.create(side=a_side(), at=AT),
     lambda one: PinnedSide.objects.create(side=one.side, at=AT)),
    ("demand", a_demand, lambda _: a_demand()),
    ("price in a list", a_price, lambda one: a_price(price_list=one.price_list)),
    ("person", a_person, lambda _: a_person()),
    ("person, whatever the capitals", a_person, lambda _: a_person(name="TEODORA finch")),
    ("own kind", lambda: OwnKind.objects.create(slug="yak", fields={}),
     lambda _: OwnKind.objects.create(slug="yak", fields={})),
    ("device", lambda: Device.objects.create(name="Till", fingerprint="a", made_at=AT),
     lambda _: Device.objects.create(name="Till", fingerprint="b", made_at=AT)),
    ("device fingerprint", lambda: Device.objects.create(name="Till", fingerprint="a", made_at=AT),
     lambda _: Device.objects.create(name="Scale 9", fingerprint="a", made_at=AT)),
]  # fmt: skip


@pytest.mark.parametrize(("first", "again"), [row[1:] for row in ONCE], ids=[row[0] for row in ONCE])
def test_what_is_once_is_not_twice(first: Callable[[], Any], again: Callable[[Any], Any]) -> None:
    there = first()
    with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
        again(there)


def test_what_is_once_in_its_place_may_be_in_another() -> None:
    """The same name of a rail in another room, the other half, the same cut of another group."""
    rail = a_rail()
    assert a_rail(room=a_room(name="Farther cooler")).name == rail.name
    left = a_side()
    assert a_side(animal=left.animal, half="right").pk != left.pk
    a_demand()
    a_demand(group="another")


@pytest.mark.parametrize(
    ("make", "of"),
    [
        (a_side, lambda side: side.animal),
        (a_bill, lambda bill: bill.animal),
        (a_rail, lambda rail: rail.room),
        (a_cutting, lambda cutting: cutting.side),
        (lambda: a_side(rail=a_rail()), lambda side: side.rail),
    ],
    ids=["animal of a side", "animal of a bill", "room of a rail", "side of a cutting", "rail of a side"],
)
def test_nothing_is_taken_from_under_what_stands_on_it(
    make: Callable[[], Any], of: Callable[[Any], models.Model]
) -> None:
    with pytest.raises(models.ProtectedError):
        of(make()).delete()


def test_the_sides_of_a_plan_go_with_it() -> None:
    planned = PlannedSide.objects.create(plan=a_plan(), side=a_side(), weight_kg=150.0)
    planned.plan.delete()
    assert not PlannedSide.objects.filter(pk=planned.pk).exists()
    assert Side.objects.filter(pk=planned.side_id).exists()
