"""What a person wants to see forecast: another style, ways piece by piece, another day."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from gambrel.shop.records.selectors.forecast import Wish

PREFIX = "way-"
"""What stands before a piece's slug in the name of its field."""

LONGEST_AWAY_DAYS = 120


class DayForm(forms.Form):
    """The day the side would be cut on."""

    on = forms.DateField(
        label=_("Cut on"), required=False, widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_on(self) -> date | None:
        on: date | None = self.cleaned_data["on"]
        if on is not None and abs((on - self.today).days) > LONGEST_AWAY_DAYS:
            raise forms.ValidationError(_("Give a day within 120 days of today."))
        return on


def wish_of(data: QueryDict | Mapping[str, str], on: date | None) -> Wish:
    """The style and ways asked for; what is no way of the tree is left out further on."""
    items: Iterable[tuple[str, str]] = [(name, str(data.get(name))) for name in data]
    ways = {name.removeprefix(PREFIX): way for name, way in items if name.startswith(PREFIX) and way}
    return Wish(style=data.get("style") or None, ways=ways, on=on)
