"""What is typed when an order is taken, changed, handed over or cancelled."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import SPECIES, Kind
from gambrel.plan.read_week import HEAVIEST_KG, LONGEST_SHELF_DAYS
from gambrel.shop.clock import today
from gambrel.shop.names import cut_said, kind_said
from gambrel.shop.pages.base.fields import PriceField, WeightField, in_units_of
from gambrel.shop.records.models import OrderState

SOLD_USES = ("steak", "roast", "braise", "stew", "grind", "bone", "offal", "fat")
FARTHEST_DAYS = 400
SPECIES_SAID = {"cattle": _("any cattle"), "bison": _("any bison")}


def sold_cuts() -> list[tuple[str, str]]:
    """Slug and name of everything that may be ordered, by name."""
    cuts = ((slug, cut_said(slug, "bison" if cut.species == "bison" else "cattle"))
            for slug, cut in shipped_cuts().items() if cut.use in SOLD_USES)  # fmt: skip
    return sorted(cuts, key=lambda one: one[1].lower())


class TermsForm(forms.Form):
    """Weight, day, price: what may be changed of an order."""

    weight = WeightField(label=_("Weight"), low=0.001, high=HEAVIEST_KG)
    by_day = forms.DateField(label=_("Due"), widget=forms.DateInput(attrs={"type": "date"}))
    price = PriceField(label=_("Price"), low=0)
    must = forms.BooleanField(label=_("It is a promise (the plan must keep it)"), required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "weight", "price")

    def clean_by_day(self) -> date:
        by_day: date = self.cleaned_data["by_day"]
        if not today() <= by_day <= today() + timedelta(days=FARTHEST_DAYS):
            raise forms.ValidationError(_("Give a day from today on."))
        return by_day


class NewOrderForm(TermsForm):
    customer = forms.CharField(label=_("Customer"), max_length=80)
    contact = forms.CharField(label=_("Telephone or mail"), max_length=120, required=False)
    slug = forms.ChoiceField(label=_("Cut"))
    group = forms.ChoiceField(label=_("Of"))
    shelf_days = forms.IntegerField(
        label=_("Days it may have been cut before"), min_value=0, max_value=LONGEST_SHELF_DAYS, initial=5
    )
    out_of_state = forms.BooleanField(label=_("It leaves the state"), required=False)
    field_order = (
        "customer",
        "contact",
        "slug",
        "group",
        "weight",
        "by_day",
        "price",
        "shelf_days",
        "must",
        "out_of_state",
    )

    def __init__(self, *args: Any, kinds: dict[str, Kind], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["slug"].choices = sold_cuts()  # type: ignore[attr-defined]
        named = [(slug, kind_said(kind.name)) for slug, kind in kinds.items()]
        species = [(one, SPECIES_SAID[one]) for one in SPECIES]
        self.fields["group"].choices = [*named, *species]  # type: ignore[attr-defined]

    def clean_customer(self) -> str:
        return " ".join(str(self.cleaned_data["customer"]).split())


class ChangeOrderForm(TermsForm):
    why = forms.CharField(label=_("Why"), max_length=200)


class CloseOrderForm(forms.Form):
    state = forms.ChoiceField(label=_("It is"), choices=[
        (OrderState.FILLED.value, _("handed over")), (OrderState.CANCELLED.value, _("cancelled"))])  # fmt: skip
    why = forms.CharField(label=_("Why (needed to cancel)"), max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("state") == OrderState.CANCELLED and not said.get("why"):
            self.add_error("why", _("Say why it is cancelled."))
        return said
