"""What could not be done, told in the reader's words: every finding at once, above a form or on the next page."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms
from django.contrib import messages
from django.http import HttpRequest
from django.utils.translation import gettext as _

from gambrel.measures import Finding
from gambrel.shop.core_words import finding_in_words_of_page


def sentence_of(finding: Finding) -> str:
    """A finding as one sentence: in English, the one that the core says."""
    said = finding_in_words_of_page(finding)
    return _("%(where)s: given %(given)s; wanted %(wanted)s. %(do)s") % said.as_json()


def add_findings(form: forms.Form, found: Iterable[Finding], *, field: str | None = None) -> None:
    """Each finding beside the field, or above the form where it belongs to none."""
    for finding in found:
        form.add_error(field, sentence_of(finding))


def tell_findings(request: HttpRequest, found: Iterable[Finding]) -> None:
    """Each finding as a message on the page that is shown next."""
    for finding in found:
        messages.error(request, sentence_of(finding))
