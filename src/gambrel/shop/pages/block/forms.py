"""What is typed at the block: weights as the scale says them, the reason for a correction, ways and styles."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures.scale import LONGEST, ScaleReading, read_scale
from gambrel.measures.units import NotAQuantity
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.pages.base.forms import KeyedForm

LONGEST_TARE_KG = Decimal(100)


class ScaleField(forms.CharField):
    """A weight as a scale types it; a bare number is in the person's unit. Gives (typed with its unit, reading)."""

    def __init__(self, *, unit: str = "lb", **kwargs: Any) -> None:
        super().__init__(max_length=LONGEST, **kwargs)
        self.unit = unit
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "scale"})

    def in_unit(self, unit: str) -> None:
        """A bare number means this unit, and the page says so."""
        self.unit = unit
        self.help_text = _("With its unit; a bare number is taken as %(unit)s.") % {"unit": unit}

    def clean(self, value: Any) -> tuple[str, ScaleReading] | None:
        typed = super().clean(value)
        if not typed:
            return None
        read = read_scale(typed, bare_unit=self.unit)
        if isinstance(read, NotAQuantity):
            told = {"wanted": in_words_of_page(read.wanted), "do": in_words_of_page(read.do)}
            raise forms.ValidationError(_("Wanted: %(wanted)s. %(do)s"), code="scale", params=told)
        return said_with_unit(typed, self.unit), read


def said_with_unit(typed: str, unit: str) -> str:
    """What was typed, the unit that was meant added where there was none: a line must be understood by itself."""
    typed = typed.strip()
    bare = not any(character.isalpha() for character in typed) and len(typed) + len(unit) < LONGEST
    return f"{typed} {unit}" if bare and "(" not in typed and len(typed) < 20 else typed


class WeightForm(KeyedForm):
    """One weight: of which piece, what the scale says, the tare that is in it. `key` is made where it is typed."""

    slug = forms.ChoiceField(label=gettext_lazy("Piece"))
    typed = ScaleField(label=gettext_lazy("Weight"))
    tare = ScaleField(label=gettext_lazy("Tare"), required=False)
    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["slug"].choices = [(slug, slug) for slug in shipped_cuts()]  # type: ignore[attr-defined]
        for name in ("typed", "tare"):
            self.fields[name].in_unit(unit)  # type: ignore[attr-defined]
        self.unit = unit

    def clean_tare(self) -> Decimal:
        given = self.cleaned_data["tare"]
        tare_kg = given[1].weight_kg if given else Decimal(0)
        if tare_kg >= LONGEST_TARE_KG:
            raise forms.ValidationError(_("A tare is the tub or the tray, not the meat."))
        return tare_kg

    def clean(self) -> dict[str, Any]:
        """Adds `weight_kg`, what is left of the weight without its tare."""
        data = super().clean() or {}
        if data.get("typed") is not None and "tare" in data:
            text, reading = data["typed"]
            data["text"], data["weight_kg"] = text, reading.weight_kg - data["tare"]
            if data["weight_kg"] <= 0:
                self.add_error("tare", _("The tare is as heavy as the weight: nothing would be left."))
        return data


class CorrectForm(WeightForm):
    """The same again for a line that was wrong, with the reason."""

    why = forms.CharField(label=gettext_lazy("Why"), max_length=200)


class TakeOutForm(forms.Form):
    """Undo, or a line that should not be there; without a key it is one of its own."""

    key = forms.UUIDField(required=False)
    why = forms.CharField(max_length=200, required=False)


class BeginForm(KeyedForm):
    """The weight off the rail, and how the side is to be broken."""

    typed = ScaleField(label=gettext_lazy("Weight off the rail"))
    style = forms.ChoiceField(label=gettext_lazy("How it is broken"), required=False)
    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, unit: str, styles: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["typed"].in_unit(unit)  # type: ignore[attr-defined]
        self.fields["style"].choices = styles  # type: ignore[attr-defined]
        self.unit = unit


class OffRailForm(KeyedForm):
    """The weight off the rail once more, and why the first was wrong."""

    typed = ScaleField(label=gettext_lazy("Weight off the rail"))
    why = forms.CharField(label=gettext_lazy("Why"), max_length=200)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["typed"].in_unit(unit)  # type: ignore[attr-defined]


class FinishForm(forms.Form):
    """The end of a side; where the balance does not hold, the reason."""

    why = forms.CharField(label=gettext_lazy("Where it went"), max_length=200, required=False)

    def __init__(self, *args: Any, needs_reason: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["why"].required = needs_reason


class WaysForm(forms.Form):
    """One way for each piece that has a choice."""

    def __init__(
        self, *args: Any, pieces: list[tuple[str, str, list[tuple[str, str]]]], **kwargs: Any
    ) -> None:
        """`pieces`: slug, name and the ways of it, each with what it is called."""
        super().__init__(*args, **kwargs)
        for slug, name, ways in pieces:
            self.fields[slug] = forms.ChoiceField(label=name, choices=ways)
