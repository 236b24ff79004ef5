"""What is asked before a bid: the kind, live or on the rail, the price that somebody asks, and who brings it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.shop.names import kind_said
from gambrel.shop.pages.base.fields import PriceField


class BidForm(forms.Form):
    kind = forms.ChoiceField(label=_("Kind"), required=False)
    on = forms.ChoiceField(
        label=_("Paid by"),
        required=False,
        choices=[("rail", _("hot weight on the rail")), ("live", _("live weight"))],
    )
    offer = PriceField(label=_("Price asked (may be left empty)"), required=False)

    supplier = forms.ChoiceField(label=_("Supplier"), required=False)

    def __init__(
        self, *args: Any, kinds: tuple[tuple[str, str], ...], suppliers: tuple[str, ...], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [(slug, kind_said(name)) for slug, name in kinds]  # type: ignore[attr-defined]
        if suppliers:
            named = [("", _("whoever brings it")), *((name, name) for name in suppliers)]
            self.fields["supplier"].choices = named  # type: ignore[attr-defined]
        else:
            del self.fields["supplier"]
