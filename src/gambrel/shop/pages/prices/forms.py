"""What is tried on the prices, what is set, and what the counter takes at which price."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.catalog.cuts import shipped_cuts
from gambrel.price.what_if import WhatIf
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.fields import MoneyField, PriceField, WeightField, in_units_of
from gambrel.shop.records.models import Demand, ShopProfile
from gambrel.shop.records.services.prices import whole_cents
from gambrel.shop.records.sold_pieces import ground_pieces, off_the_side

STEPS = 4
DEAREST_CENTS_PER_KG = 100_000_00.0


class WhatIfForm(forms.Form):
    """Another margin, wage, packing or ending; empty leaves it. Prices by hand are fields of their own, by product."""

    margin = forms.FloatField(
        label=gettext_lazy("Margin wanted (%)"), min_value=0, max_value=95, required=False
    )
    wage = MoneyField(label=gettext_lazy("Wage by the hour"), low=0, high=100_000, required=False)
    packing = PriceField(label=gettext_lazy("Packing"), low=0, high=DEAREST_CENTS_PER_KG, required=False)
    ending = forms.IntegerField(
        label=gettext_lazy("Prices end in (cents)"), min_value=0, max_value=99, required=False
    )

    def __init__(
        self, *args: Any, shop: ShopProfile, unit: str, products: Sequence[Demand], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.shop, self.products = shop, {f"price-{one.pk}": one for one in products}
        for name, product in self.products.items():
            self.fields[name] = PriceField(
                label=_("Price by hand of %(product)s") % {"product": cut_said(product.slug, "cattle")},
                low=0.01, high=DEAREST_CENTS_PER_KG, required=False,
            )  # fmt: skip
            self.fields[name].widget.attrs.update({"class": "by-hand", "size": 9})
        in_units_of(self, unit, "packing", *self.products)
        for name in self.products:
            self.fields[name].help_text = ""

    def what_if(self) -> WhatIf:
        """What was asked; prices by hand to the whole cent that a sign can say."""
        data = self.cleaned_data
        hand = {str(one): whole_cents(data[name], sold_by=self.shop.weight_unit)
                for name, one in self.products.items() if data.get(name) is not None}  # fmt: skip
        return WhatIf(data.get("margin"), data.get("wage"), data.get("packing"), data.get("ending"), hand)

    def tried(self) -> list[tuple[str, str]]:
        """Everything that is not empty, as it was typed."""
        return [(name, str(self.data[name])) for name in self.fields if self.is_bound and self.data.get(name)]

    def general(self) -> list[forms.BoundField]:
        return [self[name] for name in ("margin", "wage", "packing", "ending")]


class SetForm(forms.Form):
    """The list that was shown is set, with a note. What it was worked out from comes with it and is worked out anew."""

    note = forms.CharField(
        label=gettext_lazy("Note, or why a price is by hand"), max_length=200, required=False
    )
    plan_with_it = forms.BooleanField(
        label=gettext_lazy("Plan with these prices from now on"), required=False, initial=True
    )
    shown_plan = forms.CharField(required=False, widget=forms.HiddenInput, max_length=40)


class StepsForm(forms.Form):
    """What the counter takes of one product in a week: up to so much at one price, more only at a lower one."""

    slug = forms.ChoiceField(label=gettext_lazy("Product"))
    kinds = forms.MultipleChoiceField(label=gettext_lazy("From"), widget=forms.CheckboxSelectMultiple)
    lean_pct = forms.FloatField(
        label=gettext_lazy("Lean (%), for a ground product"), min_value=0, max_value=100, required=False
    )
    shelf_days = forms.IntegerField(label=gettext_lazy("Keeps (days)"), min_value=0, max_value=365)
    salvage = PriceField(
        label=gettext_lazy("Any more of it brings"), low=0, high=DEAREST_CENTS_PER_KG, required=False
    )

    def __init__(self, *args: Any, unit: str, kinds: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sold = [slug for slug in shipped_cuts() if slug in off_the_side() | ground_pieces()]
        self.fields["slug"].choices = [(slug, cut_said(slug, "cattle")) for slug in sold]  # type: ignore[attr-defined]
        self.fields["kinds"].choices = list(kinds)  # type: ignore[attr-defined]
        for number in range(1, STEPS + 1):
            first = number == 1
            upto = WeightField(
                label=_("Step %(n)s: up to, in all") % {"n": number}, low=0.001, required=first
            )
            price = PriceField(
                label=_("Step %(n)s: at") % {"n": number}, low=0, high=DEAREST_CENTS_PER_KG, required=first
            )
            self.fields[f"upto-{number}"], self.fields[f"price-{number}"] = upto, price
        self.fields["frozen_upto"] = WeightField(
            label=_("Out of the freezer: up to, in all"), low=0.001, required=False
        )
        for name, label in (("frozen_price", _("Out of the freezer: at")),
                            ("frozen_kept", _("Worth of what the plan leaves in the freezer"))):  # fmt: skip
            self.fields[name] = PriceField(label=label, low=0, high=DEAREST_CENTS_PER_KG, required=False)
        in_units_of(
            self, unit, "salvage", "frozen_upto", "frozen_price", "frozen_kept",
            *(f"{name}-{n}" for n in range(1, STEPS + 1) for name in ("upto", "price")),
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        steps = []
        for number in range(1, STEPS + 1):
            upto_kg, price = data.get(f"upto-{number}"), data.get(f"price-{number}")
            if (upto_kg is None) != (price is None) and not self.errors:
                self.add_error(f"price-{number}", _("A step has both: how much, and at which price."))
            elif upto_kg is not None and price is not None:
                steps.append((float(upto_kg), float(price)))
        data["steps"] = steps
        upto_kg, price = data.get("frozen_upto"), data.get("frozen_price")
        wrong = {"frozen_upto", "frozen_price"} & set(self.errors)
        if (upto_kg is None) != (price is None) and not wrong:
            self.add_error("frozen_price" if price is None else "frozen_upto",
                           _("A step has both: how much, and at which price."))  # fmt: skip
        elif data.get("frozen_kept") is not None and upto_kg is None and not wrong:
            self.add_error(
                "frozen_upto", _("Only what the freezer sells is worth something in it: say how much a week.")
            )
        return data

    def figures(self) -> dict[str, Any]:
        """What was typed, as the service takes it."""
        data = self.cleaned_data
        upto_kg = data["frozen_upto"]
        return {"slug": data["slug"], "steps": data["steps"], "shelf_days": data["shelf_days"],
                "salvage_cents_per_kg": data["salvage"] or 0.0, "lean_pct": data["lean_pct"],
                "frozen_upto_kg": None if upto_kg is None else float(upto_kg),
                "frozen_price_cents_per_kg": data["frozen_price"],
                "frozen_kept_cents_per_kg": data["frozen_kept"] or 0.0}  # fmt: skip


def initial_of(demand: Demand, unit: str) -> dict[str, Any]:
    """A product's steps as they would be typed in this unit."""
    kg = Decimal("0.45359237") if unit == "lb" else Decimal(1)
    initial: dict[str, Any] = {"slug": demand.slug, "kinds": demand.kinds, "lean_pct": demand.lean_pct,
                               "shelf_days": demand.shelf_days,
                               "salvage": _price(demand.salvage_cents_per_kg, kg, unit)}  # fmt: skip
    for number, step in enumerate(demand.steps[:STEPS], 1):
        initial[f"upto-{number}"] = f"{float(Decimal(repr(float(step['upto_kg']))) / kg):.4g} {unit}"
        initial[f"price-{number}"] = _price(float(step["price_cents_per_kg"]), kg, unit)
    if demand.frozen_upto_kg is not None and demand.frozen_price_cents_per_kg is not None:
        initial["frozen_upto"] = f"{float(Decimal(repr(demand.frozen_upto_kg)) / kg):.4g} {unit}"
        initial["frozen_price"] = _price(demand.frozen_price_cents_per_kg, kg, unit)
        initial["frozen_kept"] = _price(demand.frozen_kept_cents_per_kg, kg, unit)
    return initial


def _price(price_cents_per_kg: float, kg: Decimal, unit: str) -> str:
    return f"${float(Decimal(repr(price_cents_per_kg)) * kg / 100):.2f}/{unit}"
