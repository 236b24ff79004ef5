"""A kind of the shop's own as it is typed: what it leans on, and what is different."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.kinds import LONGEST_HANG_DAYS, SPECIES, Kind, shipped_kinds
from gambrel.shop.names import kind_said
from gambrel.shop.pages.base.fields import WeightField, in_units_of

SPECIES_NAMED = {"cattle": _("cattle"), "bison": _("bison")}
SPREAD_SHARE = 0.12
"""Common practice: carcasses of one kind spread about an eighth of their mean weight."""


class KindForm(forms.Form):
    """Hanging days count from the kill; the rib that stays in front is the lower number of the two."""

    name = forms.CharField(label=_("What it is called"), max_length=40)
    like = forms.ChoiceField(
        label=_("It leans on"),
        help_text=_("What is not said here is taken from it: yields, shrink, fat, marbling."),
    )
    species = forms.ChoiceField(label=_("Species"), choices=[(one, SPECIES_NAMED[one]) for one in SPECIES])
    rib_pairs = forms.IntegerField(label=_("Pairs of ribs"), min_value=12, max_value=15)
    ribbed_behind = forms.IntegerField(
        label=_("Ribbed behind rib number"),
        min_value=1,
        max_value=14,
        help_text=_("12: between the 12th and the 13th."),
    )
    earliest = forms.IntegerField(label=_("Earliest day it is cut"), min_value=0, max_value=LONGEST_HANG_DAYS)
    target = forms.IntegerField(label=_("Best day"), min_value=0, max_value=LONGEST_HANG_DAYS)
    latest = forms.IntegerField(label=_("Latest day"), min_value=0, max_value=LONGEST_HANG_DAYS)
    hot_weight = WeightField(
        label=_("Usual hot weight, both sides (empty: as the one it leans on)"),
        low=30, high=900, required=False,
    )  # fmt: skip

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["like"].choices = [(one.slug, kind_said(one.name)) for one in shipped_kinds().values()]  # type: ignore[attr-defined]
        in_units_of(self, unit, "hot_weight")

    def clean_name(self) -> str:
        return " ".join(str(self.cleaned_data["name"]).split())

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        like = shipped_kinds().get(said.get("like", ""))
        if like and said.get("species") and like.species != said["species"]:
            self.add_error("like", _("Lean on a kind of the same species: law and ways go by it."))
        return said

    def kind_fields(self) -> dict[str, Any]:
        """The fields of a kinds file."""
        said = self.cleaned_data
        behind = said["ribbed_behind"]
        fields: dict[str, Any] = {
            **{name: said[name] for name in ("name", "like", "species", "rib_pairs")},
            "ribbed_between": [behind, behind + 1],
            "hang_days": [said["earliest"], said["target"], said["latest"]],
        }
        if said["hot_weight"] is not None:
            hot_kg = float(said["hot_weight"])
            fields["hot_kg"] = [hot_kg, round(SPREAD_SHARE * hot_kg, 1)]
        return fields


def typed_as(kind: Kind, fields: dict[str, Any], *, hot_typed: str) -> dict[str, Any]:
    """A kind as it would be typed; a weight that was not said stays empty."""
    earliest, target, latest = kind.hang_days
    return {"name": kind.name, "like": fields["like"], "species": kind.species, "rib_pairs": kind.rib_pairs,
            "ribbed_behind": kind.ribbed_between[0], "earliest": earliest, "target": target, "latest": latest,
            "hot_weight": hot_typed if "hot_kg" in fields else ""}  # fmt: skip
