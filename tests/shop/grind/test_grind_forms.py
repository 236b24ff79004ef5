"""What is typed at the grinder: limits at both ends, units, lists of tubs that a blend or a stranger sends."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from gambrel.shop.pages.grind import forms
from gambrel.shop.records.models import Batch, BoughtTrim

BATCH = {"name": "ground-beef", "lean_pct": "80", "inspected": "federal", "owner_name": ""}
BOX = {"slug": "trim-50", "species": "cattle", "inspected": "federal", "weight_kg": "60 lb", "lean_pct": "50",
       "establishment": "M-0001", "supplier_lot": "K7", "made_on": "2026-03-09"}  # fmt: skip


def begun(asked: str) -> forms.BeginForm:
    return forms.BeginForm({**BATCH, "asked": asked, "key": str(uuid4())})


def errors_of(form: Any) -> set[str]:
    form.is_valid()
    return set(form.errors)


UNREADABLE = {
    "half a list": '[{"tub": "w1"', "a word": "tubs", "a number": "7", "a list of numbers": "[1, 2]",
    "a dictionary": '{"tub": "w1", "kg": 2}', "no tub": '[{"kg": 2}]', "no weight": '[{"tub": "w1"}]',
    "weight in words": '[{"tub": "w1", "kg": "two"}]', "weight of nothing": '[{"tub": "w1", "kg": null}]',
    "not a number": '[{"tub": "w1", "kg": NaN}]', "endless": '[{"tub": "w1", "kg": Infinity}]',
    "endless below": '[{"tub": "w1", "kg": -Infinity}]', "too great": '[{"tub": "w1", "kg": 1e999}]',
    "too long": '[{"tub": "w1", "kg": 1' + "0" * 400 + "}]", "not a number in a word": '[{"tub": "w1", "kg": "nan"}]',
    "nested deep": "[" * 5000, "below zero": '[{"tub": "w1", "kg": -3}]',
}  # fmt: skip


@pytest.mark.parametrize("what", UNREADABLE)
def test_a_list_of_tubs_that_cannot_be_read_is_told(what: str) -> None:
    """Python's reader of JSON takes NaN and Infinity, which the database's own does not."""
    assert errors_of(begun(UNREADABLE[what])) == {"asked"}


@pytest.mark.django_db
@pytest.mark.parametrize(
    "asked", ['[{"tub": "w1", "kg": NaN}]', "[" * 5000, '[{"tub": "w1", "kg": 1' + "0" * 400 + "}]"]
)
def test_an_unreadable_list_begins_no_batch(owner_client: Client, asked: str) -> None:
    sent = {**BATCH, "asked": asked, "key": str(uuid4())}
    before = Batch.objects.count()
    assert owner_client.post(reverse("begin_batch"), sent).status_code == 400
    assert Batch.objects.count() == before


def test_a_list_of_tubs_is_kept_to_the_gram_and_to_sixty() -> None:
    form = begun('[{"tub": "w12", "kg": 4.56789}, {"tub": "b3", "kg": "2"}]')
    assert form.is_valid(), form.errors
    assert form.cleaned_data["asked"] == [{"tub": "w12", "kg": 4.568}, {"tub": "b3", "kg": 2.0}]
    assert begun("").is_valid() and begun("[]").is_valid()
    long = begun("[" + ",".join(f'{{"tub":"w{number}","kg":1}}' for number in range(90)) + "]")
    assert long.is_valid() and len(long.cleaned_data["asked"]) == 60
    assert errors_of(begun(" " * 6001 + "[]")) in (
        set(),
        {"asked"},
    )  # blanks around are cut off or are too many


# 9 CFR 319.15(a), (b): not more than 30 % fat, so not less than 70 % lean; a mixed name keeps the same.
@pytest.mark.parametrize("name", ["ground-beef", "hamburger", "ground-bison", "ground-bison-and-beef"])
@pytest.mark.parametrize(("lean", "wrong"), [("70", set()), ("99", set()), ("69.9", {"lean_pct"}),
                                             ("0", {"lean_pct"}), ("100", {"lean_pct"}), ("nan", {"lean_pct"}),
                                             ("", {"lean_pct"})])  # fmt: skip
def test_lean_stated_at_the_ends(name: str, lean: str, wrong: set[str]) -> None:
    form = forms.BeginForm({**BATCH, "name": name, "lean_pct": lean, "key": str(uuid4())})
    assert errors_of(form) == wrong


@pytest.mark.parametrize(
    ("inspected", "owner", "wrong"),
    [("custom", "A. Neighbour", set()), ("custom", "", {"owner_name"}), ("custom", "   ", {"owner_name"}),
     ("state", "", set()), ("state", "A. Neighbour", {"owner_name"}), ("federal", "A. Neighbour", {"owner_name"}),
     ("none", "", {"inspected"})],
)  # fmt: skip
def test_only_custom_work_has_an_owner(inspected: str, owner: str, wrong: set[str]) -> None:
    form = forms.BeginForm({**BATCH, "inspected": inspected, "owner_name": owner, "key": str(uuid4())})
    assert errors_of(form) == wrong


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [({}, set()), ({"made_on": "2026-03-10"}, {"made_on"}), ({"made_on": "2026-02-30"}, {"made_on"}),
     ({"lean_pct": "-0.1"}, {"lean_pct"}), ({"lean_pct": "100.1"}, {"lean_pct"}), ({"lean_pct": "100"}, set()),
     ({"weight_kg": "0"}, {"weight_kg"}), ({"weight_kg": "2001 kg"}, {"weight_kg"}),
     ({"establishment": " "}, {"establishment"}), ({"supplier_lot": ""}, {"supplier_lot"}),
     ({"inspected": "custom"}, {"inspected"}), ({"slug": "ribeye-steak"}, {"slug"}),
     ({"slug": "no-such-trim"}, {"slug"}), ({"species": "yak"}, {"species"}),
     ({"cost_cents_per_kg": "-1"}, {"cost_cents_per_kg"}), ({"supplier_lot": "x" * 61}, {"supplier_lot"})],
)  # fmt: skip
def test_a_box_has_its_papers(changed: dict[str, str], wrong: set[str]) -> None:
    """Custom meat is not bought; a box without plant or lot has no place in a grinding record."""
    assert errors_of(forms.BuyTrimForm({**BOX, **changed, "key": str(uuid4())}, unit="lb")) == wrong


def test_the_price_of_a_box_is_in_the_unit_of_the_person() -> None:
    """4.00 a pound is 400 / 0.45359237 = 881.85 cents a kilogram; by the kilogram it is 400."""
    paid = {**BOX, "cost_cents_per_kg": "4.00", "weight_kg": "60", "key": str(uuid4())}
    for unit, kg, cents in (("lb", 27.2155, 881.849), ("kg", 60.0, 400.0)):
        form = forms.BuyTrimForm(paid, unit=unit)
        assert form.is_valid(), form.errors
        assert float(form.cleaned_data["weight_kg"]) == pytest.approx(kg, abs=0.001)
        assert form.cleaned_data["cost_cents_per_kg"] == pytest.approx(cents, abs=0.001)
    free = forms.BuyTrimForm({**BOX, "key": str(uuid4())}, unit="lb")
    assert free.is_valid() and free.cleaned_data["cost_cents_per_kg"] == 0.0


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [({}, set()), ({"out_kg": ""}, {"out_kg"}), ({"out_kg": "0"}, {"out_kg"}), ({"out_kg": "-2 kg"}, {"out_kg"}),
     ({"meat_c": "-21C"}, {"meat_c"}), ({"meat_c": "31C"}, {"meat_c"}), ({"meat_c": "87F"}, {"meat_c"}),
     ({"meat_c": "-4F"}, set()), ({"meat_c": "86F"}, set()), ({"plate_mm": "0.9"}, {"plate_mm"}),
     ({"plate_mm": "41"}, {"plate_mm"}), ({"plate_mm": "3.2"}, set()), ({"why": "w" * 201}, {"why"})],
)  # fmt: skip
def test_a_close_is_within_what_a_grinder_does(changed: dict[str, str], wrong: set[str]) -> None:
    """-4 °F is -20 °C and 86 °F is 30 °C: (86 - 32) x 5 / 9."""
    assert errors_of(forms.CloseForm({"out_kg": "30 lb", **changed}, unit="lb")) == wrong


@pytest.mark.parametrize(("fat", "is_right"), [("0", True), ("100", True), ("-0.1", False), ("100.1", False),
                                               ("inf", False), ("", False), ("17,5 %", False)])  # fmt: skip
def test_fat_found_is_a_share_of_a_hundred(fat: str, is_right: bool) -> None:
    assert forms.TestForm({"fat_pct": fat, "key": str(uuid4())}).is_valid() is is_right


@pytest.mark.parametrize("key", ["", "7", "not-a-key", "00000000-0000-0000-0000-00000000000g"])
def test_without_a_key_nothing_is_sent(key: str) -> None:
    """A key is what keeps a line from being kept twice."""
    assert errors_of(forms.WeighInForm({"slug": "w1", "typed": "3 lb", "key": key}, unit="lb")) == {"key"}


@pytest.mark.parametrize(
    ("at", "is_right"),
    [("2026-03-09T09:30", True), ("2026-03-09T09:31", False), ("2026-03-09T09:29:59", True), ("1999-01-01T00:00", True),
     ("yesterday", False), ("2026-03-08T02:30", True)],
)  # fmt: skip
def test_a_clean_up_is_past_by_the_shops_own_clock(at: str, is_right: bool) -> None:
    """It is half past nine at the shop, half past three in the afternoon in UTC. The last is a time that the
    clocks leapt over in the night of the change; it is taken, or told, and breaks nothing."""
    with timezone.override("America/Denver"):
        form = forms.CleanUpForm({"at": at, "key": str(uuid4())})
        if at != "2026-03-08T02:30":
            assert form.is_valid() is is_right
        else:
            assert form.is_valid() or set(form.errors) == {"at"}


@pytest.mark.parametrize(("days", "is_right"), [("0", True), ("60", True), ("61", False), ("-1", False), ("", True),
                                                ("2.5", False)])  # fmt: skip
def test_the_age_limit_is_in_whole_days(days: str, is_right: bool) -> None:
    assert forms.AimForm({"objective": "most-used", "age_limit_days": days}).is_valid() is is_right


def row(**said: str) -> forms.TargetForm:
    form = forms.TargetForm({f"a-{name}": value for name, value in said.items()}, prefix="a", unit="kg")
    assert form.is_valid(), form.errors
    return form


def test_a_row_of_the_blend_becomes_a_product() -> None:
    product = row(name="ground-beef", lean_pct="85", inspected="state", least_kg="10", most_kg="20 kg",
                  price="8.80").product()  # fmt: skip
    assert product is not None
    assert (product.lean_pct, product.least_kg, product.most_kg, product.inspected) == (
        85.0,
        10.0,
        20.0,
        "state",
    )
    assert product.price_cents_per_kg == pytest.approx(880.0) and product.first_species_pct is None
    assert row(inspected="federal").product() is None


def test_custom_work_has_no_price_and_one_species_no_share() -> None:
    custom = row(name="ground-beef", lean_pct="85", inspected="custom", owner_name="A. Neighbour", price="8.80",
                 first_species_pct="60").product()  # fmt: skip
    assert custom is not None and custom.is_custom and custom.owner == "A. Neighbour"
    assert custom.price_cents_per_kg is None and custom.first_species_pct is None
    mixed = row(
        name="ground-bison-and-beef", lean_pct="85", inspected="federal", first_species_pct="60"
    ).product()
    assert mixed is not None and mixed.first_species_pct == 60.0 and mixed.most_kg is None


@pytest.mark.django_db
def test_a_box_sent_twice_is_kept_once(owner_client: Client) -> None:
    sent = {**BOX, "key": str(uuid4())}
    for _ in range(2):
        assert owner_client.post(reverse("buy_trim"), sent).status_code == 302
    assert BoughtTrim.objects.filter(supplier_lot="K7").count() == 1
