"""The period that the books are opened for: the days of the kill."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.shop.records.selectors.books import LONGEST_DAYS


class PeriodForm(forms.Form):
    first = forms.DateField(label=_("Killed from"), widget=forms.DateInput(attrs={"type": "date"}))
    last = forms.DateField(label=_("to"), widget=forms.DateInput(attrs={"type": "date"}))

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        first, last = said.get("first"), said.get("last")
        if first and last and not 0 <= (last - first).days < LONGEST_DAYS:
            raise forms.ValidationError(
                _("Give two days in order, at most %(days)s days from the first to the last."),
                params={"days": LONGEST_DAYS},
            )
        return said
