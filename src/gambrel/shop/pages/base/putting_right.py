"""A line that was wrong is put right by a new one: one page and one course of things for every such line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest
from gambrel.shop.pages.base.answers import form_page


def put_right(
    request: ShopRequest, template: str, form: forms.Form, *, write: Callable[[], Any], back: tuple[str, int],
    shown: Callable[[], Mapping[str, Any]],
) -> HttpResponse:  # fmt: skip
    """The form, or once `write` has kept what was sent, `back` (a page and its number) with the word that it is kept.

    What `write` refuses (`CannotDo`) is told above the form, which keeps what was typed. `template` extends
    `base/put_right.html`; `shown` is what else stands on it, the `side` too, asked for only where it is shown.
    """
    findings: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            write()
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
        else:
            messages.success(request, _("Put right; the wrong line stays to be seen."))
            return redirect(*back)
    return form_page(request, template, {**shown(), "form": form, "findings": findings, "back": back})
