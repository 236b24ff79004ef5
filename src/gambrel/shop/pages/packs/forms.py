"""A pack as it is weighed: what it is sold as, what the scale says, the tare, the packing, the dates, the price."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.measures.scale import ScaleReading
from gambrel.shop.pages.base.fields import PriceField, in_units_of
from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.pages.block.forms import LONGEST_TARE_KG, ScaleField
from gambrel.shop.pages.packs.words import PACKING_NAMES, PLACE_NAMES
from gambrel.shop.records.models import Packing


class PackForm(KeyedForm):
    """Net weight is what the scale says less the dry tare; only what lies open in the case has none.

    Free liquid counts as product, so the tare is that of the dry packing [9 CFR 442.1-442.2; NIST Handbook 133].
    """

    slug = forms.ChoiceField(label=gettext_lazy("Sold as"))
    typed = ScaleField(label=gettext_lazy("Weight with its packing"))
    tare = ScaleField(label=gettext_lazy("Tare: the packing alone, dry"), required=False)
    tared = forms.BooleanField(label=gettext_lazy("The scale has taken the tare off already"), required=False)
    packing = forms.ChoiceField(label=gettext_lazy("Packing"), choices=list(PACKING_NAMES.items()))
    place = forms.ChoiceField(label=gettext_lazy("Laid in"), choices=list(PLACE_NAMES.items()))
    use_by = forms.DateField(label=gettext_lazy("Use by"), widget=forms.DateInput(attrs={"type": "date"}))
    price = PriceField(label=gettext_lazy("Price"), required=False)

    def __init__(
        self, *args: Any, unit: str, cuts: list[tuple[str, str]], is_custom: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["slug"].choices = cuts  # type: ignore[attr-defined]
        for name in ("typed", "tare"):
            self.fields[name].in_unit(unit)  # type: ignore[attr-defined]
        self.fields["typed"].widget.attrs["autofocus"] = True
        in_units_of(self, unit, "price")
        if is_custom:
            del self.fields["price"]

    def clean(self) -> dict[str, Any]:
        """Adds `net_kg` and `tare_kg`."""
        data = super().clean() or {}
        if data.get("typed") is None or "tare" not in data:
            return data
        gross_kg = exact_kg(data["typed"][1])
        tare_kg = exact_kg(data["tare"][1]) if data["tare"] else Decimal(0)
        needs_tare = data.get("packing") != Packing.BULK and not data.get("tared")
        if needs_tare and tare_kg <= 0:
            self.add_error(
                "tare",
                _("The packing weighs something: weigh an empty one, or say that the scale took it off."),
            )
        if tare_kg >= LONGEST_TARE_KG or (tare_kg >= gross_kg and not data.get("tared")):
            self.add_error("tare", _("The tare is as heavy as the weight: nothing would be left."))
        net_kg = gross_kg if data.get("tared") else gross_kg - tare_kg
        data["net_kg"], data["tare_kg"] = _whole_grams(net_kg), _whole_grams(tare_kg)
        return data


def exact_kg(reading: ScaleReading) -> Decimal:
    """The weight the scale showed, before it was rounded to the gram: so many of its last digit."""
    return (reading.weight_kg / reading.digit_kg).to_integral_value() * reading.digit_kg


def _whole_grams(weight_kg: Decimal) -> Decimal:
    """Up to the next gram, so that 3.20 lb cut down to hundredths of a pound again is 3.20 lb and not 3.19."""
    return weight_kg.quantize(Decimal("0.001"), rounding=ROUND_CEILING)
