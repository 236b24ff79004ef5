"""What is traced, why a lot is held, what was found in a drill."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.records.selectors.scan import LONGEST


class TraceForm(forms.Form):
    code = forms.CharField(label=_("A pack, a lot, a batch or an animal's tag"), max_length=LONGEST)
    wide = forms.BooleanField(label=_("Everything of the animals, not only of this lot"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].widget.attrs.update({"autocomplete": "off"})


class OfWhatIsShownForm(KeyedForm, TraceForm):
    """Something to be done with what the page shows: the same code, out of sight."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("code", "wide"):
            self.fields[name].widget = forms.HiddenInput()


class HoldForm(OfWhatIsShownForm):
    why = forms.CharField(label=_("Why"), max_length=200)
    held = forms.ChoiceField(choices=[("1", "1"), ("0", "0")], widget=forms.HiddenInput)


class DrillForm(OfWhatIsShownForm):
    """A recall rehearsed."""


class FoundForm(forms.Form):
    codes = forms.CharField(
        label=_("What you hold in your hand: scan it; several, one a line"), max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off", "spellcheck": "false", "autofocus": True}),
    )  # fmt: skip


class EndForm(forms.Form):
    note = forms.CharField(label=_("What was learned"), max_length=200, required=False)
