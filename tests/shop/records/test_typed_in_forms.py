"""Forms of block, settings, exchange: what is typed at their edges, in both units and in Spanish."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import translation

from gambrel.shop.pages.block.forms import (
    BeginForm,
    CorrectForm,
    FinishForm,
    OffRailForm,
    TakeOutForm,
    WaysForm,
    WeightForm,
    said_with_unit,
)
from gambrel.shop.pages.exchange.forms import BringForm, KeyForm
from gambrel.shop.pages.setup import typed as boxes
from gambrel.shop.pages.setup.forms import MoneyForm, ShopForm, WorkForm
from gambrel.shop.records.import_files import LARGEST_BYTES
from gambrel.shop.records.models import ShopProfile

KG_A_LB = 0.45359237
"""Exact: International yard and pound agreement, 1959. The inch of the same agreement is 25.4 mm."""

KEY = "6f0c1d9e-3b7a-4c55-9a2e-1f6d8b4e7a10"
"""A key as a browser makes it; the same in every process, so that tests have the same names."""


def block_weight(typed: str, *, tare: str = "", unit: str = "lb", **more: Any) -> WeightForm:
    said = {"slug": "chuck-roll", "typed": typed, "tare": tare, "key": str(uuid4()), **more}
    form = WeightForm(said, unit=unit)
    form.fields["slug"].choices = [("chuck-roll", "chuck roll")]  # type: ignore[attr-defined]
    return form


@pytest.mark.parametrize(
    ("typed", "tare", "unit", "kg"),
    [
        ("10", "", "kg", 10.0),
        ("10", "", "lb", 10 * KG_A_LB),
        ("10 kg", "", "lb", 10.0),
        ("10 lb", "", "kg", 10 * KG_A_LB),
        ("10", "1", "kg", 9.0),
        ("10", "1", "lb", 9 * KG_A_LB),
        ("10 kg", "2 lb", "kg", 10 - 2 * KG_A_LB),
        ("10 kg", "2", "lb", 10 - 2 * KG_A_LB),
        ("100.5", "99.5", "kg", 1.0),
        ("0.5", "", "kg", 0.5),
    ],
)
def test_what_is_left_without_the_tare(typed: str, tare: str, unit: str, kg: float) -> None:
    form = block_weight(typed, tare=tare, unit=unit)
    assert form.is_valid(), form.errors
    assert float(form.cleaned_data["weight_kg"]) == pytest.approx(kg, abs=0.0011), "kept to the gram"
    assert isinstance(form.cleaned_data["weight_kg"], Decimal)


@pytest.mark.parametrize(
    ("typed", "tare", "field"),
    [
        ("", "", "typed"),
        ("heavy", "", "typed"),
        ("nan", "", "typed"),
        ("inf", "", "typed"),
        ("1e999", "", "typed"),
        ("12 in", "", "typed"),
        ("9" * 200, "", "typed"),
        ("<b>7</b>", "", "typed"),
        ("10\x00", "", "typed"),
        ("10", "tub", "tare"),
        ("10", "10", "tare"),
        ("10", "11", "tare"),
        ("400", "100", "tare"),
        ("400", "100.001", "tare"),
    ],
)
def test_a_weight_that_cannot_be_is_told_by_its_box(typed: str, tare: str, field: str) -> None:
    form = block_weight(typed, tare=tare, unit="kg")
    assert not form.is_valid()
    assert list(form.errors) == [field]


@pytest.mark.parametrize("key", ["", "1", "not-a-key", "0" * 33, KEY[:-1]])
def test_a_weight_without_its_key_is_refused(key: str) -> None:
    form = block_weight("10", unit="kg", key=key)
    assert not form.is_valid() and "key" in form.errors


@pytest.mark.parametrize("slug", ["", "no-such-cut", "CHUCK-ROLL", "chuck-roll; drop", "\u202e"])
def test_a_piece_that_is_not_in_the_list_is_refused(slug: str) -> None:
    form = block_weight("10", unit="kg", slug=slug)
    assert not form.is_valid() and "slug" in form.errors


def test_every_form_shown_makes_a_key_of_its_own() -> None:
    keys = [WeightForm(unit="lb").initial["key"] for _ in range(3)]
    keys += [BeginForm(unit="lb", styles=[]).initial["key"], OffRailForm(unit="lb").initial["key"]]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [
        ("12.5", "lb", "12.5 lb"),
        (" 12.5 ", "kg", "12.5 kg"),
        ("12,5", "kg", "12,5 kg"),
        ("12.5 lb", "kg", "12.5 lb"),
        ("12.5kg", "lb", "12.5kg"),
        ("1234567890123456789", "kg", "1234567890123456789 kg"),
        ("12345678901234567890", "kg", "12345678901234567890"),
        ("(01)123", "kg", "(01)123"),
    ],
)
def test_a_line_says_its_unit_by_itself(typed: str, unit: str, said: str) -> None:
    assert said_with_unit(typed, unit) == said


@pytest.mark.parametrize(("why", "holds"), [("", False), ("   ", False), ("wrong tub", True),
                                            ("x" * 200, True), ("x" * 201, False), ("a\x00b", False)])  # fmt: skip
@pytest.mark.parametrize("kind", [CorrectForm, OffRailForm])
def test_a_correction_says_why(kind: type[forms.Form], why: str, holds: bool) -> None:
    said = {"slug": "chuck-roll", "typed": "10 kg", "key": str(uuid4()), "why": why}
    form: Any = kind(said, unit="lb")  # type: ignore[call-arg]
    form.is_valid()
    assert ("why" not in form.errors) == holds


@pytest.mark.parametrize(
    ("needs", "why", "holds"),
    [
        (True, "", False),
        (True, " ", False),
        (True, "fell", True),
        (False, "", True),
        (False, "x" * 201, False),
    ],
)
def test_a_side_whose_balance_does_not_hold_ends_with_a_reason(needs: bool, why: str, holds: bool) -> None:
    assert FinishForm({"why": why}, needs_reason=needs).is_valid() == holds


@pytest.mark.parametrize(("key", "holds"), [("", True), (KEY, True), ("7", False), ("x" * 36, False)])
def test_taking_out_has_a_key_or_none(key: str, holds: bool) -> None:
    assert TakeOutForm({"key": key}).is_valid() == holds


@pytest.mark.parametrize(
    ("style", "holds"),
    [("", True), ("retail", True), ("other", False), ("RETAIL", False), ("retail ", False)],
)
def test_a_side_begins_in_a_style_that_is_offered(style: str, holds: bool) -> None:
    form = BeginForm({"typed": "150 kg", "style": style, "key": str(uuid4())}, unit="lb",
                     styles=[("retail", "Retail")])  # fmt: skip
    assert form.is_valid() == holds


@pytest.mark.parametrize(("way", "holds"), [("whole", True), ("cut", True), ("", False), ("sawn", False)])
def test_a_piece_is_broken_in_one_of_its_ways(way: str, holds: bool) -> None:
    form = WaysForm({"loin": way}, pieces=[("loin", "Loin", [("whole", "Whole"), ("cut", "Cut")])])
    assert form.is_valid() == holds


@pytest.mark.parametrize("unit", ["lb", "kg"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_the_box_says_which_unit_a_bare_number_means(language: str, unit: str) -> None:
    with translation.override(language):
        help_text = str(WeightForm(unit=unit).fields["typed"].help_text)
    assert help_text.rstrip(".").endswith(unit)
    assert ("bare number" in help_text) == (language == "en")


@pytest.mark.parametrize(
    ("mm", "unit", "box"),
    [(6096, "lb", "20.0 ft"), (6096, "kg", "6.10 m"), (300, "kg", "0.30 m"), (304.8, "lb", "1.0 ft"),
     (100_000, "lb", "328.1 ft"), (100_000, "kg", "100.00 m")],
)  # fmt: skip
def test_a_rail_is_shown_in_feet_or_metres(mm: float, unit: str, box: str) -> None:
    """A foot is 304.8 mm: 6096 / 304.8 = 20 and 100000 / 304.8 = 328.08."""
    assert boxes.length_typed(mm, unit) == box


@pytest.mark.parametrize(
    ("mm", "unit", "box"),
    [
        (508, "lb", "20.0 in"),
        (508, "kg", "51 cm"),
        (50, "kg", "5 cm"),
        (254, "lb", "10.0 in"),
        (600, "kg", "60 cm"),
    ],
)
def test_the_place_of_a_side_is_shown_in_inches_or_centimetres(mm: float, unit: str, box: str) -> None:
    assert boxes.place_typed(mm, unit) == box


@pytest.mark.parametrize(
    ("cents_per_kg", "unit", "box"),
    [(880.0, "kg", "$8.80/kg"), (880.0, "lb", "$3.99/lb"), (0.0, "kg", "$0.00/kg"), (0.0, "lb", "$0.00/lb"),
     (100 / KG_A_LB, "lb", "$1.00/lb"), (100 / KG_A_LB, "kg", "$2.20/kg")],
)  # fmt: skip
def test_a_price_is_shown_by_the_pound_or_the_kilogram(cents_per_kg: float, unit: str, box: str) -> None:
    """8.80 x 0.45359237 = 3.9916, and 1 / 0.45359237 = 2.2046."""
    assert boxes.price_typed(cents_per_kg, unit) == box


@pytest.mark.parametrize(
    ("kg", "box"), [(5.443, "5.443 kg"), (12.0, "12 kg"), (0.5, "0.5 kg"), (100.0, "100 kg")]
)
def test_a_weight_in_kilograms_is_shown_as_it_is(kg: float, box: str) -> None:
    assert boxes.weight_typed(kg, "kg") == box


@pytest.mark.parametrize("gram", range(1, 40_000, 1_777))
def test_a_weight_that_nobody_touches_stays_what_it_was(gram: int) -> None:
    """Shown in pounds and taken back, it is the same gram."""
    shown = boxes.weight_typed(gram / 1000, "lb")
    number, unit = shown.split()
    assert unit == "lb" and round(float(number) * KG_A_LB, 3) == gram / 1000


def shop(**said: str) -> ShopForm:
    return ShopForm({"shop_name": "Slate Creek Meats", "zone": "America/Denver", "language": "en",
                     "weight_unit": "lb"} | said)  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("A", "A"), ("  Slate   Creek ", "Slate Creek"), ("Línea Ñandú", "Línea Ñandú"), ("x" * 80, "x" * 80),
     ("<script>", "<script>"), ("two\tparts", "two parts")],
)  # fmt: skip
def test_a_shop_has_its_name_on_one_line(typed: str, kept: str) -> None:
    form = shop(shop_name=typed)
    assert form.is_valid(), form.errors
    assert form.changes()["name"] == kept


@pytest.mark.parametrize(
    ("field", "typed"),
    [("shop_name", ""), ("shop_name", "   "), ("shop_name", "x" * 81), ("shop_name", "a\x00b"),
     ("zone", ""), ("zone", "Denver"), ("zone", "UTC"), ("zone", "../etc/passwd"), ("zone", "america/denver"),
     ("language", "fr"), ("language", "EN"), ("weight_unit", "g"), ("weight_unit", "st"), ("weight_unit", "")],
)  # fmt: skip
def test_settings_that_are_none_are_refused(field: str, typed: str) -> None:
    form = shop(**{field: typed})
    assert not form.is_valid()
    assert list(form.errors) == [field]


def work_form(*, unit: str = "lb", **said: Any) -> WorkForm:
    profile = ShopProfile(name="Slate Creek", rail_per_side_mm=508)
    whole: dict[str, Any] = {"cutting_days": ["mon"], "wage": "25", "per_side": "20 in", "trim": "close",
                             "srm_policy_bison": "as_cattle"}  # fmt: skip
    return WorkForm(whole | said, shop=profile, unit=unit)


@pytest.mark.parametrize(
    ("field", "typed", "name", "kept"),
    [
        ("wage", "25", "wage_cents_per_hour", 2500),
        ("wage", "$18.75", "wage_cents_per_hour", 1875),
        ("wage", "0", "wage_cents_per_hour", 0),
        ("cutting_days", ["fri", "mon"], "cutting_days", ["mon", "fri"]),
        ("knife", "7.5", "minutes_a_day", {"knife": 450.0}),
        ("knife", "0", "minutes_a_day", {"knife": 0.0}),
        ("packer", "", "minutes_a_day", {}),
        ("per_side", "22 in", "rail_per_side_mm", 559),
        ("per_side", "60 cm", "rail_per_side_mm", 600),
        ("trim", "light", "trim", "light"),
    ],
)
def test_work_is_kept_in_minutes_cents_and_millimetres(field: str, typed: Any, name: str, kept: Any) -> None:
    """7.5 h x 60 = 450 min; 22 in x 25.4 = 558.8 mm."""
    form = work_form(**{field: typed})
    assert form.is_valid(), form.errors
    assert form.changes()[name] == kept


@pytest.mark.parametrize("unit", ["lb", "kg"])
def test_a_place_that_was_not_touched_keeps_its_millimetres(unit: str) -> None:
    form = work_form(unit=unit, per_side=boxes.place_typed(508, unit))
    assert form.is_valid(), form.errors
    assert "rail_per_side_mm" not in form.changes()


@pytest.mark.parametrize(
    ("field", "typed"),
    [("wage", "-1"), ("wage", "1001"), ("wage", "much"), ("wage", ""), ("per_side", "1 in"),
     ("per_side", "300 in"), ("per_side", "5 kg"), ("knife", "-0.1"), ("knife", "1201"), ("knife", "nan"),
     ("trim", "none"), ("cutting_days", []), ("cutting_days", ["someday"]), ("srm_policy_bison", "never")],
)  # fmt: skip
def test_work_that_cannot_be_is_refused(field: str, typed: Any) -> None:
    form = work_form(**{field: typed})
    assert not form.is_valid()
    assert list(form.errors) == [field]


def money_form(*, unit: str = "lb", **said: str) -> MoneyForm:
    profile = ShopProfile(name="Slate Creek", packing_cents_per_kg=33.3, waste_cents_per_kg=11.1,
                          hanging_on_cents_per_kg=500.5)  # fmt: skip
    prices = {name: boxes.price_typed(getattr(profile, name), unit)
              for name in ("packing_cents_per_kg", "waste_cents_per_kg", "hanging_on_cents_per_kg")}  # fmt: skip
    plain = {"target_margin_pct": "30", "may_lose_pct": "5", "price_ending_cents": "9", "overhead": "125"}
    return MoneyForm(plain | prices | said, shop=profile, unit=unit)


@pytest.mark.parametrize("unit", ["lb", "kg"])
def test_prices_that_were_not_touched_are_not_rounded(unit: str) -> None:
    form = money_form(unit=unit)
    assert form.is_valid(), form.errors
    assert not {name for name in form.changes() if name.endswith("_per_kg")}


@pytest.mark.parametrize(
    ("typed", "unit", "cents_per_kg"),
    [("0.20", "lb", 20 / KG_A_LB), ("0.20", "kg", 20.0), ("$0.20/kg", "lb", 20.0), ("$1/lb", "kg", 100 / KG_A_LB),
     ("0", "kg", 0.0)],
)  # fmt: skip
def test_packing_is_kept_by_the_kilogram(typed: str, unit: str, cents_per_kg: float) -> None:
    form = money_form(unit=unit, packing_cents_per_kg=typed)
    assert form.is_valid(), form.errors
    assert form.changes()["packing_cents_per_kg"] == pytest.approx(cents_per_kg)


@pytest.mark.parametrize(
    ("field", "typed"),
    [("target_margin_pct", "-1"), ("target_margin_pct", "95.1"), ("target_margin_pct", "nan"),
     ("may_lose_pct", "0"), ("may_lose_pct", "50.1"), ("price_ending_cents", "100"), ("price_ending_cents", "-1"),
     ("price_ending_cents", "9.5"), ("overhead", "-5"), ("overhead", "a lot"),
     ("packing_cents_per_kg", "$101/kg"), ("waste_cents_per_kg", "-0.01"), ("hanging_on_cents_per_kg", "1 lb")],
)  # fmt: skip
def test_money_that_cannot_be_is_refused(field: str, typed: str) -> None:
    form = money_form(**{field: typed})
    assert not form.is_valid()
    assert list(form.errors) == [field]


@pytest.mark.parametrize(
    ("size", "holds"), [(0, False), (1, True), (LARGEST_BYTES, True), (LARGEST_BYTES + 1, False)]
)
def test_a_table_has_something_in_it_and_is_not_too_large(size: int, holds: bool) -> None:
    form = BringForm({"subject": "orders"}, {"table": SimpleUploadedFile("a.csv", b"x" * size)})
    assert form.is_valid() == holds
    assert ("table" in form.errors) != holds


@pytest.mark.parametrize("subject", ["", "people", "ORDERS", "orders ", "../orders"])
def test_a_table_of_something_else_is_refused(subject: str) -> None:
    form = BringForm({"subject": subject}, {"table": SimpleUploadedFile("a.csv", b"a,b")})
    assert list(form.errors) == ["subject"]


@pytest.mark.parametrize(
    ("name", "holds"),
    [("Scale 1", True), ("x" * 60, True), ("x" * 61, False), ("", False), ("  ", False), ("a\x00b", False),
     ("báscula", True)],
)  # fmt: skip
def test_a_key_is_of_something_with_a_name(name: str, holds: bool) -> None:
    form = KeyForm({"name": name})
    assert form.is_valid() == holds
    if holds:
        assert form.cleaned_data["may_write"] is False, "a key reads unless it is said that it writes"
