"""On pages and sheets in Spanish nothing is left that the lists of the core's sentences could put into Spanish."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import page_times
import pypdfium2
import pytest
from django.test import Client
from django.utils.translation import override

from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.records.models import Person

TYPED_OR_TECHNICAL = {
    "exchange": "the names of a table's columns are typed so",
    "label_rules": "a rule is known by the same word everywhere",
    "label": "a label speaks the language of the law",
    "lot_labels": "so do all labels of a lot",
    "compare": "the published source of the nutrition is cited as printed",
}
"""Pages on which English words stand on purpose."""
_TEXT = re.compile(r">([^<>]+)<")
_SHOWN = re.compile(r'(?:aria-label|title|alt|placeholder)="([^"]+)"')


def texts_of(answer: Any) -> list[str]:
    """What a person reads or hears of a page; of a PDF, line by line."""
    body = page_times.body_of(answer)
    kind = answer.headers["content-type"]
    if kind.startswith("application/pdf"):
        pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(body)]
        return [line.strip() for page in pages for line in page.splitlines()]
    if not kind.startswith("text/html"):
        return []
    text = re.sub(r"<(script|style)\b.*?</\1>", "", body.decode(), flags=re.DOTALL)
    return [" ".join(unescape(one).split()) for one in (*_TEXT.findall(text), *_SHOWN.findall(text))]


def left_in_english(texts: list[str]) -> set[str]:
    with override("es"):
        return {text for text in texts if in_words_of_page(text) != text}


@pytest.mark.parametrize(
    ("text", "left"),
    [("no rail", False), ("the newest line", True), ("bison", True), ("bisonte", False), ("Marta", False),
     ("12.5 lb · 5.7 kg", False), ("30.0 h without a reading", True)],
)  # fmt: skip
def test_what_is_left_in_english_is_seen(text: str, left: bool) -> None:
    assert (text in left_in_english([text])) == left


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
def test_no_page_in_spanish_shows_a_sentence_of_the_core_in_english(owner_client: Client) -> None:
    Person.objects.filter(role="owner").update(language="es")
    looked_at, left = 0, {}
    for name, path, roles in page_times.addresses():
        if "owner" not in roles or name in TYPED_OR_TECHNICAL:
            continue
        answer = owner_client.get(path)
        if answer.status_code == 200:
            texts = texts_of(answer)
            looked_at += bool(texts)
            left |= dict.fromkeys(left_in_english(texts), name)
    assert looked_at > 70
    assert left == {}
