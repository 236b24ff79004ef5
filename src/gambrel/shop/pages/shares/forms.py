"""What is typed of a share: whose, of which animal, the terms, how it is wanted cut, what was taken home."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import chain
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.sell.share_bill import Extra, Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.clock import today
from gambrel.shop.names import cut_said, kind_said, way_said
from gambrel.shop.pages.base.fields import LengthField, MoneyField, PriceField, WeightField, in_units_of
from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.pages.shares.words import PORTION_NAMES, STYLE_NAMES
from gambrel.shop.records.models import Animal
from gambrel.shop.records.selectors.forecast_ways import WayChoice

MOST_FAT_MM = 25.0
WAY = "way-"
"""Before the piece in the name of the field that says how it is broken."""


@dataclass(frozen=True, slots=True)
class PrimalWays:
    """The pieces of one primal that may be broken otherwise. `chosen` are those that are, and how, in words."""

    name: str
    fields: tuple[forms.BoundField, ...]

    @property
    def chosen(self) -> tuple[tuple[str, str], ...]:
        return tuple((str(field.label), way_said(way)) for field in self.fields if (way := _chosen(field)))

    @property
    def has_errors(self) -> bool:
        return any(field.errors for field in self.fields)


def _chosen(field: forms.BoundField) -> str:
    """The way as it was sent, or as it stands; none where it is not offered (any more)."""
    value = str(field.value() or "")
    offered = field.field.choices  # type: ignore[attr-defined]  # each is a ChoiceField of `offer_ways`
    return value if value in dict(offered) else ""


class WishesForm(forms.Form):
    """How the owner wants it cut."""

    by_primal: tuple[tuple[str, tuple[WayChoice, ...]], ...] = ()
    style = forms.ChoiceField(label=gettext_lazy("How it is cut"), choices=list(STYLE_NAMES.items()))
    cover = LengthField(label=gettext_lazy("Fat left on"), required=False, low=0, high=MOST_FAT_MM, bare_unit="mm",
                        help_text=gettext_lazy("With its unit; a bare number is taken as mm."))  # fmt: skip
    grind_lean_pct = forms.FloatField(label=gettext_lazy("Ground at, % lean (empty: as it falls)"), required=False,
                                      min_value=70, max_value=97)  # fmt: skip
    takes_bones = forms.BooleanField(label=gettext_lazy("Takes the bones"), required=False)
    takes_fat = forms.BooleanField(label=gettext_lazy("Takes the fat"), required=False)

    def offer_ways(self, by_primal: Iterable[tuple[str, tuple[WayChoice, ...]]], *, species: str) -> None:
        """A field for each piece that can be broken otherwise than the style says."""
        self.by_primal = tuple(by_primal)
        for one in chain.from_iterable(choices for _primal, choices in self.by_primal):
            ways = [(name, way_said(name)) for name in one.ways]
            self.fields[f"{WAY}{one.piece}"] = forms.ChoiceField(
                label=cut_said(one.piece, species),
                choices=[("", _("as the style says")), *ways],
                required=False,
            )

    @property
    def whole_fields(self) -> list[forms.BoundField]:
        """What is said of the share as a whole."""
        return [field for field in self.visible_fields() if not field.name.startswith(WAY)]

    @property
    def ways(self) -> list[PrimalWays]:
        """What is said piece by piece, by primal."""
        return [PrimalWays(primal, tuple(self[f"{WAY}{one.piece}"] for one in choices))
                for primal, choices in self.by_primal]  # fmt: skip

    def wishes(self) -> OwnerWishes:
        said = self.cleaned_data
        ways = {name.removeprefix(WAY): way for name, way in said.items() if name.startswith(WAY) and way}
        return OwnerWishes(
            style=said["style"], ways=ways, cover_mm=float(said["cover"] or 0.0), grind_lean_pct=said["grind_lean_pct"],
            takes_bones=said["takes_bones"], takes_fat=said["takes_fat"],
        )  # fmt: skip


def typed_wishes(wishes: OwnerWishes) -> dict[str, Any]:
    """Wishes as the form shows them."""
    return {"style": wishes.style, "cover": f"{wishes.cover_mm:g} mm" if wishes.cover_mm else "",
            "grind_lean_pct": wishes.grind_lean_pct, "takes_bones": wishes.takes_bones,
            "takes_fat": wishes.takes_fat,
            **{f"{WAY}{piece}": way for piece, way in wishes.ways.items()}}  # fmt: skip


class ShareForm(KeyedForm, WishesForm):
    """A new share: customer, animal, how much of it, the terms, the wishes."""

    customer = forms.CharField(label=gettext_lazy("Customer"), max_length=80)
    contact = forms.CharField(label=gettext_lazy("Telephone or mail"), max_length=120, required=False)
    animal = forms.ChoiceField(label=gettext_lazy("Animal"))
    portion = forms.ChoiceField(label=gettext_lazy("Share"), choices=list(PORTION_NAMES.items()))
    bought_on = forms.DateField(
        label=gettext_lazy("Bought on"), widget=forms.DateInput(attrs={"type": "date"})
    )
    hanging_price = PriceField(label=gettext_lazy("Price by hanging weight (empty: the meat is the owner's already)"),
                               required=False, low=0)  # fmt: skip
    charged_on = forms.ChoiceField(label=gettext_lazy("Hanging weight is"), choices=[
        ("hot", gettext_lazy("the hot weight")), ("hung", gettext_lazy("the weight on the cutting day"))])  # fmt: skip
    cut_wrap = PriceField(label=gettext_lazy("Cutting and wrapping"), required=False, low=0)
    head_fee = MoneyField(label=gettext_lazy("Kill and fees, a head"), required=False, low=0)
    deposit = MoneyField(label=gettext_lazy("Deposit"), required=False, low=0)
    extra_name = forms.CharField(label=gettext_lazy("Extra work"), max_length=60, required=False)
    extra_price = PriceField(label=gettext_lazy("Its price, by weight taken home"), required=False, low=0)
    field_order = ("customer", "contact", "animal", "portion", "bought_on", "hanging_price", "charged_on", "cut_wrap",
                   "head_fee", "deposit", "extra_name", "extra_price")  # fmt: skip

    def __init__(self, *args: Any, unit: str, animals: list[Animal], **kwargs: Any) -> None:
        kwargs["initial"] = {"bought_on": today(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        named = [(str(one.pk), f"{one.tag}, {kind_said(one.kind)}") for one in animals]
        self.fields["animal"].choices = named  # type: ignore[attr-defined]
        in_units_of(self, unit, "hanging_price", "cut_wrap", "extra_price")

    def clean_customer(self) -> str:
        return " ".join(str(self.cleaned_data["customer"]).split())

    def clean_bought_on(self) -> date:
        bought_on: date = self.cleaned_data["bought_on"]
        if bought_on > today():
            raise forms.ValidationError(_("Give a day that is past."))
        return bought_on

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if bool(data.get("extra_name")) != (data.get("extra_price") is not None):
            self.add_error("extra_name", _("Extra work needs its name and its price."))
        return data

    def terms(self) -> Terms:
        said = self.cleaned_data
        price = said["hanging_price"]
        extras = (
            (Extra(said["extra_name"], cents_per_kg=float(said["extra_price"])),)
            if said["extra_name"]
            else ()
        )
        return Terms(
            hanging_cents_per_kg=None if price is None else float(price),
            charged_on=said["charged_on"],
            cut_wrap_cents_per_kg=float(said["cut_wrap"] or 0.0),
            head_fee_cents=int(said["head_fee"] or 0),
            deposit_cents=int(said["deposit"] or 0),
            extras=extras,
        )


class HandOverForm(forms.Form):
    taken_kg = WeightField(label=gettext_lazy("Taken home, packed"), low=0.001)
    ground_kg = WeightField(label=gettext_lazy("of that ground"), low=0, required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "taken_kg", "ground_kg")

    def clean_ground_kg(self) -> Decimal:
        return self.cleaned_data["ground_kg"] or Decimal(0)


class CancelForm(forms.Form):
    why = forms.CharField(label=gettext_lazy("Why"), max_length=200)
