"""What many forms have: a key of their own."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django import forms


class KeyedForm(forms.Form):
    """Sent twice by a nervous finger, it counts once."""

    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"key": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
