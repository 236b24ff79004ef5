"""Boxes that take a quantity as it is typed: with its unit, or bare in the unit beside the box."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import override

from gambrel.measures.units import NotAQuantity
from gambrel.shop.clock import now
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.pages.base.fields import (
    AreaField,
    LengthField,
    MomentField,
    MoneyField,
    PriceField,
    TemperatureField,
    WeightField,
    in_units_of,
)

KG_A_LB = 0.45359237
"""Exact: International yard and pound agreement, 1959."""


@pytest.mark.parametrize(
    ("field", "typed", "found"),
    [
        (WeightField(), "806 lb", Decimal("365.595")),
        (WeightField(), "365.6kg", Decimal("365.600")),
        (WeightField(bare_unit="kg"), "365,6", Decimal("365.600")),
        (WeightField(bare_unit="kg"), "0,125", Decimal("0.125")),
        (LengthField(), "12,7 mm", 12.7),
        (MoneyField(), "1,250", 125000),
        (WeightField(bare_unit="lb"), " 806 ", Decimal("365.595")),
        (WeightField(bare_unit="lb"), "365.6 kg", Decimal("365.600")),
        (LengthField(), "3/8in", 9.525),
        (LengthField(bare_unit="m"), "4.2", 4200.0),
        (AreaField(), "12.8 in²", 12.8 * 6.4516),
        (TemperatureField(bare_unit="F"), "-40", -40.0),
        (TemperatureField(bare_unit="C"), "212F", 100.0),
        (MoneyField(), "125", 12500),
        (MoneyField(), "$1.05", 105),
        (PriceField(bare_unit="lb"), "4", 400 / KG_A_LB),
        (PriceField(bare_unit="lb"), "$8.80/kg", 880.0),
        (WeightField(required=False), "  ", None),
    ],
)
def test_what_is_typed_is_understood(field: forms.Field, typed: str, found: Any) -> None:
    value = field.clean(typed)
    assert value == (found if found is None or isinstance(found, Decimal) else pytest.approx(found))


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        (WeightField(), "806"),
        (WeightField(), "12 in"),
        (WeightField(bare_unit="kg"), "heavy"),
        (WeightField(bare_unit="kg"), "nan"),
        (WeightField(bare_unit="kg"), "1e999"),
        (WeightField(bare_unit="kg", low=1, high=500), "501"),
        (WeightField(bare_unit="kg", low=1, high=500), "0.2"),
        (WeightField(bare_unit="kg"), "1" * 41),
        (WeightField(bare_unit="kg"), "1,2,3"),
        (WeightField(bare_unit="lb"), "1,200"),
        (WeightField(), "1,200 lb"),
        (LengthField(), "1,200 mm"),
        (AreaField(bare_unit="cm2"), "1,200"),
        (LengthField(), "11/2in"),
        (MoneyField(), "a lot"),
        (MoneyField(low=0), "-5"),
        (PriceField(bare_unit="kg"), "cheap"),
        (PriceField(), "4"),
        (TemperatureField(bare_unit="C"), "cold"),
        (WeightField(), ""),
        (WeightField(bare_unit="kg"), "5\x00"),
    ],
)
def test_what_cannot_be_understood_is_refused(field: forms.Field, typed: str) -> None:
    with pytest.raises(ValidationError):
        field.clean(typed)


class AllForm(forms.Form):
    weight = WeightField()
    price = PriceField()
    air = TemperatureField()
    note = forms.CharField(required=False)


@pytest.mark.parametrize(
    ("unit", "kg", "cents_per_kg", "air_c"), [("lb", KG_A_LB, 100 / KG_A_LB, 0.0), ("kg", 1.0, 100.0, 32.0)]
)
def test_bare_numbers_mean_what_the_box_says(unit: str, kg: float, cents_per_kg: float, air_c: float) -> None:
    form = AllForm({"weight": "1", "price": "1", "air": "32"})
    in_units_of(form, unit, "weight", "price", "air", "note")
    assert form.is_valid()
    said = form.cleaned_data
    assert float(said["weight"]) == pytest.approx(kg, abs=5e-4)
    assert (said["price"], said["air"]) == (pytest.approx(cents_per_kg), pytest.approx(air_c))
    assert unit in str(form.fields["weight"].help_text) and f"/{unit}" in str(form.fields["price"].help_text)
    assert not form.fields["note"].help_text


@pytest.mark.parametrize(
    "field", [WeightField(), LengthField(), AreaField(), TemperatureField(), MoneyField(), PriceField()]
)
def test_what_the_core_says_of_a_quantity_is_said_in_spanish(field: Any) -> None:
    for typed in ("1,200 kg", "a lot", "1/0"):
        found = field.read(typed)
        assert isinstance(found, NotAQuantity)
        with override("es"):
            assert in_words_of_page(found.wanted) != found.wanted and in_words_of_page(found.do) != found.do


def test_a_comma_that_can_be_read_two_ways_is_told_with_what_to_do() -> None:
    form = AllForm({"weight": "1,200 lb", "price": "$4/lb", "air": "36F"})
    with override("en"):
        assert "1,200 lb" in form.errors["weight"][0] and "write a point" in form.errors["weight"][0]
    with override("es"):
        again = AllForm({"weight": "1,200 lb", "price": "$4/lb", "air": "36F"})
        assert "escriba un punto" in again.errors["weight"][0]


def test_what_was_typed_stays_in_the_box() -> None:
    form = AllForm({"weight": "806 stone", "price": "$4/lb", "air": "36F"})
    assert not form.is_valid() and list(form.errors) == ["weight"]
    assert 'value="806 stone"' in str(form["weight"]) and 'value="$4/lb"' in str(form["price"])
    assert "806 stone" in form.errors["weight"][0], "the error says what was given"


class ReadForm(forms.Form):
    at = MomentField(label="When")


@pytest.mark.parametrize("typed", ["2026-03-09T09:30", "2026-03-09T09:29:59", "2026-03-08T23:59"])
def test_a_moment_gone_by_is_taken(typed: str) -> None:
    """The clock of these tests stands at half past nine in the shop's zone, half past three in the afternoon UTC."""
    with timezone.override("America/Denver"):
        form = ReadForm({"at": typed})
        assert form.is_valid() and form.cleaned_data["at"] <= now()


@pytest.mark.parametrize("typed", ["2026-03-09T09:31", "2026-03-10T09:00", "9999-12-31T23:59", "soon", ""])
def test_a_moment_that_is_still_to_come_is_refused(typed: str) -> None:
    with timezone.override("America/Denver"):
        assert ReadForm({"at": typed}).errors["at"]


def test_the_box_of_a_moment_stands_at_now() -> None:
    with timezone.override("America/Denver"):
        assert 'value="2026-03-09T09:30"' in str(ReadForm()["at"])
