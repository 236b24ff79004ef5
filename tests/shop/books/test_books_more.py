"""The period of the books at its edges, the page and its table in both languages, and who opens them."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from urllib.parse import unquote

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import Person
from gambrel.shop.records.selectors.books import LONGEST_DAYS

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]
FIRST = date(2026, 1, 1)
BOTH = pytest.mark.parametrize("name", ["books", "books_table"])


@BOTH
@pytest.mark.parametrize(
    ("days", "status"), [(0, 200), (1, 200), (LONGEST_DAYS - 1, 200), (LONGEST_DAYS, 400), (-1, 400)]
)
def test_a_period_in_order_and_not_too_long(owner_client: Client, name: str, days: int, status: int) -> None:
    asked = {"first": FIRST.isoformat(), "last": (FIRST + timedelta(days=days)).isoformat()}
    answer = owner_client.get(reverse(name), asked)
    assert answer.status_code == status
    if status == 400:
        assert list(answer.context["form"].errors) == ["__all__"]


@BOTH
@pytest.mark.parametrize("box", ["first", "last"])
@pytest.mark.parametrize(
    "value",
    ["", "2026-02-30", "soon", "\x00", "x" * 10_000, "\u0662\u0660", "\U0001f4c5", "20260101T00", "-1"],
)
def test_a_day_that_is_none(owner_client: Client, name: str, box: str, value: str) -> None:
    answer = owner_client.get(reverse(name), {"first": "2026-01-01", "last": "2026-02-01", box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert "text/html" in answer["Content-Type"], "never half a table"


def test_the_table_is_named_by_its_days_and_has_one_head(owner_client: Client) -> None:
    asked = {"first": "2026-02-01", "last": "2026-03-09"}
    answer = owner_client.get(reverse("books_table"), asked)
    assert 'filename="books-2026-02-01-2026-03-09.csv"' in answer["Content-Disposition"]
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert len({len(row) for row in rows}) == 1, "every line has as many cells as the head"
    assert len(rows) - 1 == len(owner_client.get(reverse("books"), asked).context["page"].animals) > 0


def test_days_long_gone_hold_no_animal(owner_client: Client) -> None:
    answer = owner_client.get(reverse("books"), {"first": "2001-01-01", "last": "2001-02-01"})
    assert answer.status_code == 200 and not answer.context["page"].animals


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("unit", ["lb", "kg"])
def test_the_page_in_each_language_and_unit(owner_client: Client, language: str, unit: str) -> None:
    Person.objects.filter(role="owner").update(language=language, weight_unit=unit)
    text = owner_client.get(reverse("books")).content.decode()
    assert f'<html lang="{language}"' in text and ("Killed from" in text) == (language == "en")


@BOTH
def test_a_visitor_is_led_to_the_sign_in(visitor_client: Client, name: str) -> None:
    assert (
        unquote(visitor_client.get(reverse(name))["Location"]) == f"{reverse('sign_in')}?next={reverse(name)}"
    )
