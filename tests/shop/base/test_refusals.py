"""What could not be done is told in the reader's words, all of it at once, and in English as the core says it."""

from __future__ import annotations

import pytest
from django import forms
from django.contrib import messages
from django.contrib.messages.storage.fallback import FallbackStorage
from django.utils.translation import override
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.speech import Speech, finding_spoken, speaking
from gambrel.measures import Finding
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.pages.base.refusals import add_findings, sentence_of, tell_findings

FOUND = (
    Finding("count", "more than 500 packs", "one product at a time", "Choose a product."),
    Finding("rule", "nobody", "who said so", "Name the inspector or owner."),
)
IN_SPANISH = (
    "recuento: se dio más de 500 paquetes; se espera un producto a la vez. Elija un producto.",
    "regla: se dio nadie; se espera quién lo dijo. Nombre al inspector o al dueño.",
)


class NameForm(forms.Form):
    name = forms.CharField()


@given(st.builds(Finding, *[st.text("ab 1{}%()", min_size=1, max_size=12)] * 4))
def test_in_english_it_is_the_sentence_of_the_core(finding: Finding) -> None:
    with override("en"):
        assert sentence_of(finding) == finding.sentence() == finding_spoken(finding)


def test_a_page_and_a_sheet_say_the_same_in_spanish() -> None:
    with override("es"), speaking(Speech("es", in_words_of_page)):
        assert tuple(map(sentence_of, FOUND)) == tuple(map(finding_spoken, FOUND)) == IN_SPANISH


@pytest.mark.parametrize("field", [None, "name"])
def test_a_form_tells_all_that_is_wrong(field: str | None) -> None:
    form = NameForm({"name": "x"})
    with override("es"):
        add_findings(form, FOUND, field=field)
        assert tuple(form.errors[field or "__all__"]) == IN_SPANISH
    assert not form.is_valid()


def test_the_next_page_tells_all_that_is_wrong(rf: object) -> None:
    request = rf.get("/")  # type: ignore[attr-defined]
    request.session = {}
    request._messages = FallbackStorage(request)
    with override("es"):
        tell_findings(request, FOUND)
    told = list(messages.get_messages(request))
    assert tuple(one.message for one in told) == IN_SPANISH
    assert {one.level for one in told} == {messages.ERROR}


def test_nothing_wrong_leaves_a_form_as_it_is() -> None:
    form = NameForm({"name": "x"})
    add_findings(form, ())
    assert form.is_valid()
