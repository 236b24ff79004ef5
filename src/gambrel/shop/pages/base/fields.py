"""Fields that take a quantity as it is typed: with its unit, or bare in the unit that is shown beside the box."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _

from gambrel.measures.money import read_money, read_price
from gambrel.measures.units import AREA, LENGTH, MASS, TEMPERATURE, Dimension, NotAQuantity, read_quantity
from gambrel.shop.clock import now
from gambrel.shop.core_words import in_words_of_page

LONGEST = 40


class TypedField(forms.CharField):
    """A text whose meaning `read` finds; what it finds is the cleaned value, the text itself is kept by the form."""

    def __init__(self, *, low: float | None = None, high: float | None = None, **kwargs: Any) -> None:
        self.low, self.high = low, high
        kwargs.setdefault("max_length", LONGEST)
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def read(self, text: str) -> Any:
        raise NotImplementedError

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if text in self.empty_values:
            return None
        found = self.read(text)
        if isinstance(found, NotAQuantity):
            raise ValidationError(
                _("Given: %(given)s. Wanted: %(wanted)s. %(do)s"), params=_told(found, given=text)
            )
        if (self.low is not None and float(found) < self.low) or (
            self.high is not None and float(found) > self.high
        ):
            raise ValidationError(
                _("%(given)s cannot be: check the figure and its unit."), params={"given": text}
            )
        return found


class QuantityField(TypedField):
    """A length, area, weight or temperature in the metric unit; a bare number is taken in `bare_unit`."""

    dimension: Dimension = MASS

    def __init__(self, *, bare_unit: str | None = None, **kwargs: Any) -> None:
        self.bare_unit = bare_unit
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("inputmode", "text")

    def read(self, text: str) -> Any:
        return read_quantity(_with_unit(text, self.bare_unit), self.dimension)


class WeightField(QuantityField):
    """Kilograms as a Decimal to the gram."""

    dimension = MASS

    def clean(self, value: Any) -> Decimal | None:
        kg = super().clean(value)
        return None if kg is None else Decimal(f"{kg:.3f}")


class LengthField(QuantityField):
    """Millimetres."""

    dimension = LENGTH


class AreaField(QuantityField):
    """Square centimetres."""

    dimension = AREA


class TemperatureField(QuantityField):
    """Degrees Celsius."""

    dimension = TEMPERATURE


class MoneyField(TypedField):
    """Whole cents: "$125.00" or "125"."""

    def read(self, text: str) -> Any:
        return read_money(text if text.lstrip().startswith("$") else f"${text.strip()}")


class PriceField(TypedField):
    """Cents per kilogram: "$4.00/lb", "8.80/kg"; a bare number is taken by the pound or kilogram of `bare_unit`."""

    def __init__(self, *, bare_unit: str | None = None, **kwargs: Any) -> None:
        self.bare_unit = bare_unit
        super().__init__(**kwargs)

    def read(self, text: str) -> Any:
        return read_price(text if "/" in text or not self.bare_unit else f"{text}/{self.bare_unit}")


class MomentField(forms.DateTimeField):
    """When something was read or weighed: by the shop's clock, now unless said, and not to come."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("initial", local_now)
        kwargs.setdefault("widget", forms.DateTimeInput(attrs={"type": "datetime-local"}))
        super().__init__(input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"], **kwargs)

    def clean(self, value: Any) -> datetime | None:
        at: datetime | None = super().clean(value)
        if at is not None and at > now():
            raise ValidationError(_("This time is still to come: nothing can have been read then."))
        return at


def _told(found: NotAQuantity, *, given: str) -> dict[str, str]:
    """What was typed, what is wanted and what to do, in the words of the page."""
    return {"given": given, "wanted": in_words_of_page(found.wanted), "do": in_words_of_page(found.do)}


def local_now() -> str:
    """Now at the shop, as a box of date and time wants it."""
    return timezone.localtime(now()).strftime("%Y-%m-%dT%H:%M")


def _with_unit(text: str, bare_unit: str | None) -> str:
    """A bare number gets the unit that stands beside the box."""
    typed = text.strip()
    return f"{typed}{bare_unit}" if bare_unit and _is_number(typed.replace(",", ".", 1)) else typed


def typed_with_unit(form: forms.Form, name: str) -> str:
    """What was typed in a box, with the unit that a bare number was taken in; short enough to be kept."""
    field, text = form.fields[name], str(form.data.get(name, "")).strip()[:24]
    bare_unit = field.bare_unit if isinstance(field, QuantityField) else None
    return f"{text} {bare_unit}" if bare_unit and text and not any(map(str.isalpha, text)) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def in_units_of(form: forms.Form, unit: str, *names: str) -> None:
    """Bare numbers in these fields mean `unit` (for a price: by it; for a temperature: F beside lb, C beside kg)."""
    for name in names:
        field = form.fields[name]
        if isinstance(field, QuantityField | PriceField):
            said = {"lb": "F", "kg": "C"}[unit] if isinstance(field, TemperatureField) else unit
            field.bare_unit = said
            said = f"/{unit}" if isinstance(field, PriceField) else said
            field.help_text = _("With its unit; a bare number is taken as %(unit)s.") % {"unit": said}
