"""What visitors may see."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class ShowForm(forms.Form):
    comparison = forms.BooleanField(label=_("Visitors may see this page without signing in"), required=False)
    prices = forms.BooleanField(label=_("Visitors may see prices"), required=False)
