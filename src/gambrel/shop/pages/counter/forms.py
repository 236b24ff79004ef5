"""What is scanned or typed at the counter."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.shop.pages.base.fields import MoneyField
from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.records.models import Customer
from gambrel.shop.records.selectors.scan import LONGEST

LONGEST_DAYS = 92
EARLIEST, LATEST = date(2000, 1, 1), date(2100, 1, 1)


class ScanForm(KeyedForm):
    """One pack; who takes it where that is known; another sum than the label's, with the reason."""

    code = forms.CharField(label=gettext_lazy("Pack: scan it or type its number"), max_length=LONGEST)
    customer = forms.ModelChoiceField(Customer.objects.order_by("name"), label=gettext_lazy("Customer, where known"),
                                      required=False)  # fmt: skip
    price = MoneyField(label=gettext_lazy("Another sum than the label's"), required=False)
    why = forms.CharField(label=gettext_lazy("Why another sum"), max_length=200, required=False)
    ticket = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"ticket": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.fields["code"].widget.attrs.update({"autofocus": True, "autocomplete": "off", "class": "scale"})


class BackForm(KeyedForm):
    """A pack that comes back."""

    code = forms.CharField(label=gettext_lazy("Pack: scan it or type its number"), max_length=LONGEST)
    why = forms.CharField(label=gettext_lazy("Why it came back"), max_length=200)
    becomes = forms.ChoiceField(label=gettext_lazy("What becomes of it"), choices=[
        ("thrown", gettext_lazy("thrown away")), ("again", gettext_lazy("back into the case"))])  # fmt: skip
    ticket = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"ticket": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.fields["code"].widget.attrs.update({"autofocus": True, "autocomplete": "off"})


class ShopDayField(forms.DateField):
    """A day on which there may have been a shop."""

    def clean(self, value: Any) -> date:
        day: date = super().clean(value)
        if not EARLIEST <= day <= LATEST:
            raise forms.ValidationError(_("Look at the year."))
        return day


class DayForm(forms.Form):
    on = ShopDayField(label=gettext_lazy("Day"), widget=forms.DateInput(attrs={"type": "date"}))


class TillForm(forms.Form):
    first = ShopDayField(label=gettext_lazy("From"), widget=forms.DateInput(attrs={"type": "date"}))
    last = ShopDayField(label=gettext_lazy("to"), widget=forms.DateInput(attrs={"type": "date"}))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if first and last and not 0 <= (last - first).days < LONGEST_DAYS:
            raise forms.ValidationError(
                _("Give two days in order, at most %(days)s days from the first to the last."),
                params={"days": LONGEST_DAYS},
            )
        return data
