"""A line of the cooler log as it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.shop.pages.base.fields import MomentField, TemperatureField, in_units_of
from gambrel.shop.pages.base.forms import KeyedForm

FIGURES = ("air_c", "carcass_c", "deep_c", "humidity_pct")
COLDEST_C, WARMEST_C = -40.0, 60.0


class ReadingForm(KeyedForm):
    air_c = TemperatureField(label=_("Air of the room"), required=False, low=COLDEST_C, high=WARMEST_C)
    carcass_c = TemperatureField(
        label=_("Carcass, under the fascia of the round"), required=False, low=COLDEST_C, high=WARMEST_C
    )
    deep_c = TemperatureField(label=_("Deep in the round"), required=False, low=COLDEST_C, high=WARMEST_C)
    humidity_pct = forms.FloatField(label=_("Humidity, %"), required=False, min_value=0, max_value=100)
    at = MomentField(label=_("When"))
    note = forms.CharField(label=_("Note"), max_length=200, required=False)
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "air_c", "carcass_c", "deep_c")

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if not self.errors and self.needs_figure and all(said.get(name) is None for name in FIGURES):
            raise forms.ValidationError(_("Type at least one figure: what does the probe show?"))
        return said

    needs_figure = True

    def figures(self) -> dict[str, Any]:
        """Air, carcass and deep [C] and humidity [%]; None where nothing was typed."""
        return {name: self.cleaned_data[name] for name in FIGURES}


class CorrectReadingForm(ReadingForm):
    """Other figures for a line, or none: the line should not be there. Always with a reason."""

    needs_figure = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = True
        self.fields["note"].label = _("Why (leave every figure empty to take the line out)")
