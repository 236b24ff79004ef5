"""What is typed at the grinder: boxes, targets, batches, weights, clean-ups, fat tests."""

from __future__ import annotations

import json
from datetime import date
from math import inf
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.catalog.kinds import SPECIES
from gambrel.grind import GROUND_NAMES, GroundProduct
from gambrel.grind.case import WEIGHT_KG_LIMITS
from gambrel.plan.week import INSPECTIONS
from gambrel.shop.clock import today
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.fields import MomentField, PriceField, TemperatureField, WeightField, in_units_of
from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.pages.block.forms import ScaleField
from gambrel.shop.pages.grind.words import INSPECTION_NAMES, OBJECTIVE_NAMES, PRODUCT_NAMES, SPECIES_NAMES
from gambrel.shop.records.models import TubEnd
from gambrel.shop.records.tubs import MAY_BE_GROUND, NAMED_LEAN_PCT

ROWS = ("a", "b", "c")
"""Products that may be blended at once."""
LONGEST_AGE_DAYS = 60
COLDEST_C, WARMEST_C = -20.0, 30.0


class BuyTrimForm(KeyedForm):
    slug = forms.ChoiceField(label=gettext_lazy("Trim"))
    species = forms.ChoiceField(
        label=gettext_lazy("Of"), choices=[(one, SPECIES_NAMES[one]) for one in SPECIES]
    )
    inspected = forms.ChoiceField(label=gettext_lazy("Inspection"),
                                  choices=[(one, INSPECTION_NAMES[one]) for one in ("federal", "state")])  # fmt: skip
    weight_kg = WeightField(label=gettext_lazy("Weight"), low=WEIGHT_KG_LIMITS[0], high=2000)
    lean_pct = forms.FloatField(label=gettext_lazy("Lean stated, %"), min_value=0, max_value=100)
    establishment = forms.CharField(label=gettext_lazy("Number of the plant that packed it"), max_length=40)
    supplier_lot = forms.CharField(label=gettext_lazy("Lot on the box"), max_length=60)
    made_on = forms.DateField(
        label=gettext_lazy("Production date"), widget=forms.DateInput(attrs={"type": "date"})
    )
    cost_cents_per_kg = PriceField(label=gettext_lazy("Price paid"), low=0, required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(slug, cut_said(slug, "cattle")) for slug in NAMED_LEAN_PCT]
        self.fields["slug"].choices = named  # type: ignore[attr-defined]
        in_units_of(self, unit, "weight_kg", "cost_cents_per_kg")

    def clean_made_on(self) -> date:
        made_on: date = self.cleaned_data["made_on"]
        if made_on > today():
            raise forms.ValidationError(_("Give a day that is past."))
        return made_on

    def clean_cost_cents_per_kg(self) -> float:
        return float(self.cleaned_data["cost_cents_per_kg"] or 0.0)


class LeanForm(forms.Form):
    """What a piece counts as whose name says no lean."""

    slug = forms.ChoiceField(label=gettext_lazy("Piece"))
    lean_pct = forms.FloatField(label=gettext_lazy("Lean, % (empty: not offered to the grinder)"), required=False,
                                min_value=0, max_value=100)  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = sorted((cut_said(slug, "cattle"), slug) for slug in MAY_BE_GROUND)
        self.fields["slug"].choices = [(slug, name) for name, slug in named]  # type: ignore[attr-defined]


class CleanUpForm(KeyedForm):
    at = MomentField(label=gettext_lazy("Cleaned and sanitised"))
    note = forms.CharField(label=gettext_lazy("Note"), max_length=200, required=False)


class AimForm(forms.Form):
    """What the blend aims at and which trim it leaves out."""

    objective = forms.ChoiceField(label=gettext_lazy("Aim"), choices=list(OBJECTIVE_NAMES.items()))
    age_limit_days = forms.IntegerField(label=gettext_lazy("Fresh trim no older than, days"), required=False,
                                        min_value=0, max_value=LONGEST_AGE_DAYS)  # fmt: skip


class BatchForm(forms.Form):
    """A product: its name, the lean stated, whose inspection, and whose meat where it is custom."""

    name = forms.ChoiceField(label=gettext_lazy("Product"), choices=list(PRODUCT_NAMES.items()))
    lean_pct = forms.FloatField(label=gettext_lazy("Lean stated, %"), min_value=1, max_value=99)
    inspected = forms.ChoiceField(label=gettext_lazy("Inspection"),
                                  choices=[(one, INSPECTION_NAMES[one]) for one in INSPECTIONS])  # fmt: skip
    owner_name = forms.CharField(label=gettext_lazy("Owner, where custom"), max_length=80, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("inspected") == "custom" and not data.get("owner_name"):
            self.add_error("owner_name", _("Say whose meat it is."))
        if data.get("inspected") != "custom" and data.get("owner_name"):
            self.add_error("owner_name", _("Only custom work has an owner."))
        name = GROUND_NAMES.get(data.get("name", ""))
        if name and data.get("lean_pct") is not None and data["lean_pct"] < name.leanest_pct:
            said = {"lean": f"{name.leanest_pct:g}", "cite": name.cite}
            self.add_error("lean_pct", _("State %(lean)s %% lean or more (%(cite)s).") % said)
        return data


class TargetForm(BatchForm):
    """One product of the blend, with how much of it; a row without a product is left out."""

    name = forms.ChoiceField(label=gettext_lazy("Product"), required=False,
                             choices=[("", "–"), *PRODUCT_NAMES.items()])  # fmt: skip
    lean_pct = forms.FloatField(
        label=gettext_lazy("Lean stated, %"), min_value=1, max_value=99, required=False
    )
    least_kg = WeightField(label=gettext_lazy("At least"), low=WEIGHT_KG_LIMITS[0], required=False)
    most_kg = WeightField(label=gettext_lazy("At most"), low=WEIGHT_KG_LIMITS[0], required=False)
    price = PriceField(label=gettext_lazy("Price"), low=0, required=False)
    first_species_pct = forms.FloatField(label=gettext_lazy("Share of the species named first, %"), min_value=50,
                                         max_value=99, required=False)  # fmt: skip

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "least_kg", "most_kg", "price")

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not data.get("name"):
            return data
        if data.get("lean_pct") is None and "lean_pct" not in self.errors:
            self.add_error("lean_pct", _("Say how lean it is to be."))
        if data.get("least_kg") and data.get("most_kg") and data["least_kg"] > data["most_kg"]:
            self.add_error("most_kg", _("At most is less than at least."))
        mixed = GROUND_NAMES[data["name"]].is_mixed
        if mixed and data.get("first_species_pct") is None:
            self.add_error("first_species_pct", _("Say the share of the species named first."))
        return data

    def product(self) -> GroundProduct | None:
        """What was typed as the blend takes it; None for an empty row."""
        said = self.cleaned_data
        if not said.get("name"):
            return None
        name = GROUND_NAMES[said["name"]]
        price = said.get("price")
        return GroundProduct(
            id=f"{said['name']} {said['lean_pct']:g} {self.prefix or ''}".strip(),
            name=name,
            lean_pct=said["lean_pct"],
            least_kg=float(said["least_kg"] or 0.0),
            most_kg=None if said["most_kg"] is None else float(said["most_kg"]),
            price_cents_per_kg=None if price is None or said["inspected"] == "custom" else float(price),
            inspected=said["inspected"],
            owner=said["owner_name"],
            first_species_pct=said["first_species_pct"] if name.is_mixed else None,
        )


class BeginForm(BatchForm, KeyedForm):
    """A batch as the blend proposes it: `asked` is a list of tubs and kilograms, or nothing."""

    asked = forms.CharField(widget=forms.HiddenInput, required=False, max_length=6000)

    def clean_asked(self) -> list[dict[str, Any]]:
        """NaN, endless and hostile lists are refused: the reader of JSON takes what the database does not."""
        try:
            said = json.loads(self.cleaned_data["asked"] or "[]")
            asked = [(str(one["tub"])[:20], round(float(one["kg"]), 3)) for one in said][:60]
            if all(0 <= kg < inf for _tub, kg in asked):
                return [{"tub": tub, "kg": kg} for tub, kg in asked]
        except (ValueError, TypeError, KeyError, OverflowError, RecursionError):
            pass
        raise forms.ValidationError(_("The blend could not be read; blend again."))


class WeighInForm(KeyedForm):
    """One weight into the batch; the tub is called `slug`, as at the block, so that one queue serves both."""

    slug = forms.CharField(label=gettext_lazy("Tub"), max_length=20)
    typed = ScaleField(label=gettext_lazy("Weight"))

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["typed"].in_unit(unit)  # type: ignore[attr-defined]


class CloseForm(forms.Form):
    out_kg = WeightField(label=gettext_lazy("Came out"), low=WEIGHT_KG_LIMITS[0])
    meat_c = TemperatureField(label=gettext_lazy("Temperature of the meat"), required=False, low=COLDEST_C,
                              high=WARMEST_C)  # fmt: skip
    plate_mm = forms.FloatField(label=gettext_lazy("Plate, mm"), required=False, min_value=1, max_value=40)
    why = forms.CharField(label=gettext_lazy("Where the rest is"), max_length=200, required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "out_kg", "meat_c")


class TestForm(KeyedForm):
    fat_pct = forms.FloatField(label=gettext_lazy("Fat found, %"), min_value=0, max_value=100)
    how = forms.CharField(label=gettext_lazy("How it was tested"), max_length=80, required=False)


class ReasonForm(KeyedForm):
    why = forms.CharField(label=gettext_lazy("Why"), max_length=200)


class TubForm(KeyedForm):
    what = forms.ChoiceField(label=gettext_lazy("It is"), choices=[
        (TubEnd.FROZEN.value, gettext_lazy("frozen")), (TubEnd.THAWED.value, gettext_lazy("thawed")),
        (TubEnd.THROWN.value, gettext_lazy("thrown away"))])  # fmt: skip
    why = forms.CharField(label=gettext_lazy("Why (needed to throw it away)"), max_length=200, required=False)
