"""What is typed at the rail: a new animal with its sides, a weight, a place, why a side is taken down."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.animal import HOT_KG_LIMITS
from gambrel.catalog.bill import BASES
from gambrel.catalog.kinds import SEXES, Kind
from gambrel.plan.week import INSPECTIONS
from gambrel.shop.clock import today
from gambrel.shop.names import kind_said
from gambrel.shop.pages.animals.forms import BASES_SAID, PaidFields
from gambrel.shop.pages.base.fields import (
    MomentField,
    WeightField,
    in_units_of,
    typed_with_unit,
)
from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.records.models import Rail, SideState
from gambrel.shop.records.selectors.rooms import open_rails
from gambrel.shop.records.services.animals import NewAnimal, Paid

SEXES_SAID = {
    "steer": _("steer"),
    "heifer": _("heifer"),
    "cow": _("cow"),
    "bullock": _("bullock"),
    "bull": _("bull"),
}
INSPECTED_SAID = {"federal": _("federal inspection"), "state": _("state inspection"),
                  "custom": _("custom, for its owner, never sold")}  # fmt: skip
HALF_KG = (HOT_KG_LIMITS[0] / 2, HOT_KG_LIMITS[1] / 2)
LATEST_DAYS_AGO = 120


def date_field(label: Any, **more: Any) -> forms.DateField:
    return forms.DateField(label=label, widget=forms.DateInput(attrs={"type": "date"}), **more)


HANG_ORDER = ("tag", "kind", "sex", "killed_on", "hot_left", "hot_right", "rail", "inspected", "owner_name", "supplier",
              "born_on", "age_months", "kph_pct", "plant", "basis")  # fmt: skip
"""As it is read off the card that comes with a carcass; what was paid comes last."""


class HangForm(PaidFields):
    """An animal off the kill floor. One hot weight may be left empty where only one side came."""

    tag = forms.CharField(label=_("Tag or number"), max_length=40)
    kind = forms.ChoiceField(label=_("Kind"))
    sex = forms.ChoiceField(label=_("Sex"), choices=[(sex, SEXES_SAID[sex]) for sex in SEXES])
    killed_on = date_field(_("Killed on"))
    hot_left = WeightField(label=_("Hot weight, left side"), required=False, low=HALF_KG[0], high=HALF_KG[1])
    hot_right = WeightField(
        label=_("Hot weight, right side"), required=False, low=HALF_KG[0], high=HALF_KG[1]
    )
    rail = forms.ModelChoiceField(label=_("Rail"), queryset=Rail.objects.none(), required=False)
    inspected = forms.ChoiceField(
        label=_("Killed under"), choices=[(one, INSPECTED_SAID[one]) for one in INSPECTIONS]
    )
    owner_name = forms.CharField(label=_("Owner (custom only)"), max_length=80, required=False)
    supplier = forms.CharField(label=_("Bought from"), max_length=80, required=False)
    born_on = date_field(_("Born on"), required=False)
    age_months = forms.IntegerField(label=_("or age in months"), min_value=1, max_value=400, required=False)
    kph_pct = forms.FloatField(
        label=_("Kidney fat, % of the carcass"), min_value=0, max_value=12, required=False
    )
    plant = forms.CharField(label=_("Killed at"), max_length=80, required=False)
    basis = forms.ChoiceField(label=_("Paid"), required=False, choices=[
        ("", _("not known yet")), *((one, BASES_SAID[one]) for one in BASES)])  # fmt: skip
    field_order = HANG_ORDER

    def __init__(self, *args: Any, kinds: dict[str, Kind], unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = kinds
        self.fields["kind"].choices = [(slug, kind_said(kind.name)) for slug, kind in kinds.items()]  # type: ignore[attr-defined]
        self.fields["rail"].queryset = open_rails()  # type: ignore[attr-defined]
        in_units_of(self, unit, "hot_left", "hot_right", "price", "live_weight")

    def clean_tag(self) -> str:
        return " ".join(str(self.cleaned_data["tag"]).split())

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        kind, killed = self.kinds.get(said.get("kind", "")), said.get("killed_on")
        if kind and said.get("sex") and said["sex"] not in kind.sexes:
            self.add_error("sex", _("This kind does not come in this sex."))
        if killed and not 0 <= (today() - killed).days <= LATEST_DAYS_AGO:
            self.add_error("killed_on", _("Give a day of the last 120 days."))
        if said.get("inspected") == "custom" and not said.get("owner_name"):
            self.add_error(
                "owner_name", _("Name the owner: custom meat goes back to its owner and is never sold.")
            )
        if said.get("born_on") and killed and said["born_on"] >= killed:
            self.add_error("born_on", _("An animal is born before it is killed."))
        return said

    def animal(self) -> NewAnimal:
        said = self.cleaned_data
        same = {name: said[name] for name in ("tag", "kind", "sex", "killed_on", "inspected", "owner_name", "supplier",
                                              "born_on", "age_months", "kph_pct", "plant")}  # fmt: skip
        return NewAnimal(**same)

    def paid_if_known(self) -> Paid | None:
        """None while nobody has said how the animal is paid for."""
        return self.paid() if self.cleaned_data["basis"] else None

    def hot_typed(self) -> dict[str, str]:
        """What was typed for each side, with its unit."""
        return {half: typed_with_unit(self, f"hot_{half}") for half in self.hot_kg()}

    def hot_kg(self) -> dict[str, Any]:
        halves = {"left": self.cleaned_data["hot_left"], "right": self.cleaned_data["hot_right"]}
        return {half: kg for half, kg in halves.items() if kg is not None}


class WeighForm(KeyedForm):
    """A weight and when it was read. `key` makes the line, so that sending it twice keeps it once."""

    weight = WeightField(label=_("Weight"), low=1, high=600)
    at = MomentField(label=_("When"))
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    anyway = forms.BooleanField(label=_("Keep it all the same"), required=False)
    why = forms.CharField(label=_("Why"), max_length=200, required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "weight")

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("anyway") and not said.get("why"):
            self.add_error("why", _("Say why it is right all the same."))
        return said

    def typed(self) -> str:
        """What was typed, with the unit that a bare number was taken in."""
        return typed_with_unit(self, "weight")


class CorrectForm(WeighForm):
    """Another figure for a weight, or none at all; always with a reason."""

    take_out = forms.BooleanField(label=_("Take this weight out altogether"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["weight"].required = False
        self.fields["why"].required = True

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        if not said.get("take_out") and said.get("weight") is None and "weight" not in self.errors:
            self.add_error("weight", _("Type the right weight, or take it out."))
        return said


class MoveForm(forms.Form):
    rail = forms.ModelChoiceField(label=_("To rail"), queryset=Rail.objects.none())
    place_m = forms.FloatField(
        label=_("Metres from its start (empty: the first free place)"), min_value=0, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rail"].queryset = open_rails()  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        rail, place_m = said.get("rail"), said.get("place_m")
        if rail and place_m is not None and place_m * 1000 > rail.length_mm:
            self.add_error("place_m", _("The rail is not so long."))
        return said


class TakeDownForm(forms.Form):
    state = forms.ChoiceField(
        label=_("It goes"),
        choices=[
            (SideState.ON_BLOCK.value, _("to the block")),
            (SideState.GONE.value, _("away whole: sold, returned or condemned")),
        ],
    )
    why = forms.CharField(label=_("Why (needed unless it goes to the block)"), max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("state") == SideState.GONE and not said.get("why"):
            self.add_error(
                "why", _("Say where it went: sold whole, returned to its owner, condemned by the inspector.")
            )
        return said
