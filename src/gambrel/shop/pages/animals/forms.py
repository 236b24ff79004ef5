"""A bill that came later, and what is noted of a supplier."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.bill import BASES
from gambrel.shop.pages.base.fields import MoneyField, PriceField, WeightField, in_units_of, typed_with_unit
from gambrel.shop.records.services.animals import Paid

BASES_SAID = {"live": _("by live weight"), "rail": _("by hot weight on the rail"), "head": _("by the head"),
              "raised": _("raised at home, at what it cost")}  # fmt: skip


class PaidFields(forms.Form):
    """What was paid, on the form of a bill and on that of a new animal."""

    price = PriceField(label=_("Price by weight"), required=False, low=0)
    live_weight = WeightField(label=_("Live weight"), required=False, low=60, high=1800)
    amount = MoneyField(label=_("Amount (by the head, or raised)"), required=False, low=0)
    kill_fee = MoneyField(label=_("Kill fee"), required=False, low=0)

    def paid(self) -> Paid:
        said = self.cleaned_data
        return Paid(said["basis"], said["price"], said["amount"], said["live_weight"], said["kill_fee"] or 0,
                    typed_with_unit(self, "live_weight"))  # fmt: skip


class BillForm(PaidFields):
    basis = forms.ChoiceField(label=_("Paid"), choices=[(one, BASES_SAID[one]) for one in BASES])
    why = forms.CharField(label=_("Why it changes (where there was a bill)"), max_length=200, required=False)
    field_order = ("basis",)

    def __init__(self, *args: Any, unit: str, has_bill: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_units_of(self, unit, "price", "live_weight")
        self.fields["why"].required = has_bill


class SupplierForm(forms.Form):
    contact = forms.CharField(label=_("Telephone or mail"), max_length=120, required=False)
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )
