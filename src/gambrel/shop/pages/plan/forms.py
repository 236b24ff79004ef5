"""What a person says to the planner: how far ahead, how long it may think, what is settled."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.shop.clock import today
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.records.services.plan import LONGEST_DAYS, LONGEST_SECONDS

UNTOUCHED = ""


class AskForm(forms.Form):
    """From which day, over how many days, and how many seconds it may take."""

    start = forms.DateField(label=_("First day"), widget=forms.DateInput(attrs={"type": "date"}))
    days = forms.IntegerField(label=_("Days ahead"), min_value=1, max_value=LONGEST_DAYS)
    seconds = forms.IntegerField(
        label=_("Longest time to think (seconds)"), min_value=1, max_value=LONGEST_SECONDS
    )

    safety = forms.ChoiceField(
        label=_("Promises must hold"),
        required=False,
        choices=[("", _("for the mean weights")), ("0.8", _("8 times in 10")), ("0.9", _("9 times in 10")),
                 ("0.95", _("19 times in 20"))],
        help_text=_("On draws of what may really come off. Safer plans keep a reserve and earn less by the mean; "
                    "they may take several times as long."),
    )  # fmt: skip

    def clean_safety(self) -> float | None:
        """The share, or None for the mean."""
        return float(self.cleaned_data["safety"]) if self.cleaned_data["safety"] else None

    def clean_start(self) -> date:
        start: date = self.cleaned_data["start"]
        if abs((start - today()).days) > LONGEST_DAYS:
            raise forms.ValidationError(_("Give a day within 60 days of today."))
        return start


class PinForm(forms.Form):
    """The day that is settled for a side, and one way a piece; empty: the planner is free."""

    day = forms.DateField(
        label=_("Cutting day"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    alone = forms.BooleanField(label=_("For this side alone; its fellow stays as it is"), required=False)
    why = forms.CharField(label=_("Why"), required=False, max_length=200)

    def __init__(
        self, *args: Any, choices: dict[str, tuple[str, tuple[tuple[str, str], ...]]], **kwargs: Any
    ) -> None:
        """`choices`: piece to its name and its ways, each with a name."""
        super().__init__(*args, **kwargs)
        self.pieces = tuple(choices)
        for piece, (name, ways) in choices.items():
            said = [(way, in_words_of_page(one)) for way, one in ways]
            self.fields[f"way-{piece}"] = forms.ChoiceField(
                label=in_words_of_page(name),
                required=False,
                choices=[(UNTOUCHED, _("the planner chooses")), *said],
            )

    def ways(self) -> dict[str, str]:
        """Piece to the way that was settled."""
        chosen = {piece: str(self.cleaned_data[f"way-{piece}"]) for piece in self.pieces}
        return {piece: way for piece, way in chosen.items() if way != UNTOUCHED}


class WhyForm(forms.Form):
    """Another way of one piece, or another day: one of the two."""

    way = forms.ChoiceField(label=_("Another way"), required=False)
    day = forms.DateField(
        label=_("or another day"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    def __init__(
        self, *args: Any, choices: dict[str, tuple[str, tuple[tuple[str, str], ...]]], taken: dict[str, str],
        days: tuple[date, date], **kwargs: Any,
    ) -> None:  # fmt: skip
        """`choices`: piece to its name and its ways; `taken` what the plan does; `days` the first and last."""
        super().__init__(*args, **kwargs)
        self.days = days
        groups = [
            (
                in_words_of_page(name),
                [(f"{piece}={way}", in_words_of_page(said)) for way, said in ways if taken.get(piece) != way],
            )
            for piece, (name, ways) in choices.items()
        ]
        field = self.fields["way"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "–"), *groups]

    def clean_day(self) -> date | None:
        day: date | None = self.cleaned_data["day"]
        if day is not None and not self.days[0] <= day <= self.days[1]:
            raise forms.ValidationError(_("Give a day of this plan."))
        return day

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and bool(found.get("way")) == bool(found.get("day")):
            raise forms.ValidationError(_("Choose a way or a day, one of the two."))
        return found

    def question(self, side: str) -> tuple[str, dict[str, str]]:
        """What is asked, and of what."""
        if self.cleaned_data["day"]:
            return "day", {"side": side, "day": self.cleaned_data["day"].isoformat()}
        piece, _, way = self.cleaned_data["way"].partition("=")
        return "way", {"side": side, "piece": piece, "way": way}
