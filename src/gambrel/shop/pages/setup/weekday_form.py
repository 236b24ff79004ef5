"""What the owner says of weekdays with other hours, and of days on which nothing is cut."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.ways import WORK
from gambrel.plan.read_hours import is_day
from gambrel.plan.week import WEEKDAYS
from gambrel.shop.pages.setup.forms import DAYS_SAID, MINUTES_AN_HOUR, WORK_SAID
from gambrel.shop.records.models import ShopProfile

MOST_CLOSED = 400
"""More days than a year has are a slip."""
LONGEST_SHOWN = 30
_BETWEEN = re.compile(r"[\s,;]+")


def _box(day: str, work: str) -> str:
    return f"on-{day}-{work}"


OF_DAYS = (*(_box(day, work) for day in WEEKDAYS for work in WORK), "closed")
"""The boxes of single days, as they stand on the page."""


class WeekdaysForm(forms.Form):
    """An empty box is as on every cutting day; a box for each weekday and kind of work."""

    closed = forms.CharField(
        label=_("Closed on"), required=False, max_length=6000,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off", "spellcheck": "false"}),
        help_text=_("A day a line, such as 2026-12-25: nothing is cut on it, nor in overtime."),
    )  # fmt: skip

    def __init__(self, *args: Any, shop: ShopProfile, initial: dict[str, Any], **kwargs: Any) -> None:
        kept = {
            _box(day, work): minutes / MINUTES_AN_HOUR
            for day, each in shop.minutes_on.items()
            for work, minutes in each.items()
        }
        closed = {"closed": "\n".join(shop.closed_on)} if shop.closed_on else {}
        super().__init__(*args, **{**kwargs, "initial": {**kept, **closed, **initial}})
        self.shop = shop
        for day in WEEKDAYS:
            for work in WORK:
                self.fields[_box(day, work)] = forms.FloatField(
                    label=_("%(day)s, %(work)s (hours)") % {"day": DAYS_SAID[day], "work": WORK_SAID[work]},
                    min_value=0, max_value=1200, required=False,
                    widget=forms.NumberInput(attrs={"class": "narrow"}),
                )  # fmt: skip

    @property
    def works(self) -> list[str]:
        """The kinds of work by name, as their boxes stand beside each other."""
        return [str(WORK_SAID[work]) for work in WORK]

    def weekdays(self) -> Iterator[tuple[str, bool, list[forms.BoundField]]]:
        """Each weekday by name, whether anything is cut on it, and its boxes."""
        for day in WEEKDAYS:
            yield str(DAYS_SAID[day]), day in self.shop.cutting_days, [self[_box(day, work)] for work in WORK]

    @property
    def others(self) -> list[forms.BoundField]:
        """What is said of no single day."""
        return [field for field in self if field.name not in OF_DAYS]

    def clean_closed(self) -> list[str]:
        """Sorted, each once. Everything that is no day is named at once."""
        typed = [one for one in _BETWEEN.split(str(self.cleaned_data["closed"])) if one]
        wrong = [one[:LONGEST_SHOWN] for one in typed if not is_day(one)]
        if wrong:
            raise forms.ValidationError(
                _("No day: %(given)s. Write it like 2026-12-25.") % {"given": ", ".join(wrong[:10])}
            )
        if len(set(typed)) > MOST_CLOSED:
            raise forms.ValidationError(
                _("More than %(most)s days: leave out those that are past.") % {"most": MOST_CLOSED}
            )
        return sorted(set(typed))

    def minutes_on(self) -> dict[str, dict[str, float]]:
        """What was typed, by weekday and kind of work; 0 is none at all."""
        said = self.cleaned_data
        on = {
            day: {
                work: said[_box(day, work)] * MINUTES_AN_HOUR
                for work in WORK
                if said.get(_box(day, work)) is not None
            }
            for day in WEEKDAYS
        }
        return {day: minutes for day, minutes in on.items() if minutes}
