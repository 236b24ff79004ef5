"""What is typed about stock: what became of a pack, where it was laid, and the codes of a count."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.pages.packs.words import EVENT_NAMES, PLACE_NAMES
from gambrel.shop.records.models import PackEnd

LEAVES = (PackEnd.SPOILED, PackEnd.EATEN, PackEnd.MISSING)
LONGEST_COUNT = 20_000


class BecameForm(KeyedForm):
    """Moved, thrown away, eaten, not found, or found again. What left without money needs its reason."""

    what = forms.ChoiceField(label=gettext_lazy("What became of it"))
    place = forms.ChoiceField(label=gettext_lazy("Where it lies now"), required=False,
                              choices=[("", "–"), *PLACE_NAMES.items()])  # fmt: skip
    why = forms.CharField(label=gettext_lazy("Why"), max_length=200, required=False)

    def __init__(self, *args: Any, is_here: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = (PackEnd.MOVED, *LEAVES) if is_here else (PackEnd.FOUND,)
        self.fields["what"].choices = [(str(one), EVENT_NAMES[one]) for one in words]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("what") == PackEnd.MOVED and not data.get("place"):
            self.add_error("place", _("Say where it lies now."))
        if data.get("what") in LEAVES and not data.get("why"):
            self.add_error("why", _("Write down why, so that next month knows."))
        if data.get("what") in LEAVES:
            data["place"] = ""
        return data


class CountForm(KeyedForm):
    """What was found in one place: a code a line, as a scanner types them."""

    place = forms.ChoiceField(label=gettext_lazy("Place"), choices=list(PLACE_NAMES.items()))
    slug = forms.ChoiceField(label=gettext_lazy("Product"), required=False)
    codes = forms.CharField(
        label=gettext_lazy("What was found: scan every pack, one a line"), required=False, max_length=LONGEST_COUNT,
        widget=forms.Textarea(attrs={"rows": 8, "autocomplete": "off", "spellcheck": "false"}), strip=False,
    )  # fmt: skip
    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, products: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["slug"].choices = [("", _("every product")), *products]  # type: ignore[attr-defined]
