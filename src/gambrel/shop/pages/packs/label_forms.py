"""What stands on every label, and somebody's word on a rule."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.files.sheets.label_sizes import SIZES
from gambrel.sell.price_code import LAYOUTS
from gambrel.sell.rules import shipped_rules
from gambrel.shop.core_words import in_words_of_page_lazy

COUNTRY_NAMES = {
    "us": gettext_lazy("United States"),
    "ca": gettext_lazy("Canada"),
    "eu": gettext_lazy("European Union"),
}


STOCK_NAMES = {
    "safe-handling": gettext_lazy("the safe handling block"),
    "maker": gettext_lazy("the shop's name and place"),
    "legend": gettext_lazy("the inspection legend"),
}
"""What label stock may bring printed already, by the rules' own words for it."""


class LabelShopForm(forms.Form):
    """One form for what the shop says on all its labels."""

    address = forms.CharField(
        label=gettext_lazy("Place of business, as it stands on the label"), max_length=160
    )
    country = forms.ChoiceField(
        label=gettext_lazy("Whose rules of labels hold"), choices=list(COUNTRY_NAMES.items())
    )
    label_size = forms.ChoiceField(
        label=gettext_lazy("Labels in the printer"),
        choices=[(slug, in_words_of_page_lazy(one.words)) for slug, one in SIZES.items()],
    )
    establishment = forms.CharField(
        label=gettext_lazy("Number of the establishment, where packs are made under inspection"), max_length=20,
        required=False,
    )  # fmt: skip
    label_stock = forms.MultipleChoiceField(
        label=gettext_lazy("On the roll already, and left out of print"), required=False,
        choices=list(STOCK_NAMES.items()), widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("The legend stands only on stock that the inspector has approved."),
    )  # fmt: skip
    code_layout = forms.ChoiceField(
        label=gettext_lazy("The shop's own code, as its till reads it"), required=False,
        choices=[("", gettext_lazy("none")), *((slug, slug) for slug in LAYOUTS)],
    )  # fmt: skip
    gs1_prefix = forms.CharField(
        label=gettext_lazy("Company prefix that GS1 gave the shop"), max_length=11, required=False
    )
    nutrition_exempt_why = forms.CharField(
        label=gettext_lazy("Why ground meat needs no nutrition facts here, where it needs none"), max_length=120,
        required=False,
    )  # fmt: skip

    def clean_gs1_prefix(self) -> str:
        given: str = self.cleaned_data["gs1_prefix"].strip()
        if given and not (given.isascii() and given.isdigit() and 6 <= len(given) <= 11):
            raise forms.ValidationError(_("A company prefix has six to eleven digits."))
        return given


class RuleForm(forms.Form):
    """Who said that a rule holds or does not, and why."""

    slug = forms.ChoiceField(label=gettext_lazy("Rule"))
    on = forms.ChoiceField(label=gettext_lazy("From now on it"),
                           choices=[("0", gettext_lazy("does not hold")), ("1", gettext_lazy("holds"))])  # fmt: skip
    who = forms.CharField(label=gettext_lazy("Who said so"), max_length=80)
    why = forms.CharField(label=gettext_lazy("Why"), max_length=200)
    since = forms.DateField(label=gettext_lazy("Since"), widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["slug"].choices = [(slug, slug) for slug in shipped_rules()]  # type: ignore[attr-defined]
