"""The line of the plan page that says what its money counts names every line that the planner adds up."""

from __future__ import annotations

import html
import re
from dataclasses import fields
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.plan.result import COUNTS, Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import today
from gambrel.shop.records.models import Person, ShopProfile
from gambrel.shop.records.services import plan as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

NAMED = {  # each line of the profit: its word in the note and its row of the table, in both languages
    "counter_cents": {"en": ("the counter", "Counter"), "es": ("del mostrador", "Mostrador")},
    "orders_cents": {"en": ("orders", "Orders"), "es": ("los pedidos", "Pedidos")},
    "surplus_cents": {"en": ("surplus", "Surplus"), "es": ("el sobrante", "Sobrante")},
    "hauling_cents": {"en": ("hauling", "Hauling"), "es": ("acarreo", "Acarreo")},
    "wages_cents": {"en": ("wages", "Wages"), "es": ("salarios", "Salarios")},
    "hanging_on_cents": {"en": ("on the rail at its worth", "Sides that hang on"),
                         "es": ("en el riel", "Medias canales que siguen colgadas")},
    "overtime_cents": {"en": ("overtime", "Overtime"), "es": ("horas extra", "Horas extra")},
    "freezing_cents": {"en": ("freezing", "Freezing"), "es": ("congelación", "Congelar")},
    "shares_cents": {"en": ("shares of an animal", "Shares"), "es": ("las partes de un animal", "Partes")},
}  # fmt: skip
SPENT = ("hauling_cents", "wages_cents", "overtime_cents", "freezing_cents")
# Powers of two: no two sums of them are alike, so that a line left out or counted twice shows in the total.
AMOUNTS = {name: 100 * 2**place * (-1 if name in SPENT else 1) for place, name in enumerate(NAMED)}


def earns(week: Week, **_: Any) -> PlanResult:
    sides = tuple(
        SidePlan(one.side_id(half), one.id, half, one.kind.slug, week.shop.start + timedelta(days=1), 150.0, {})
        for one in week.animals for half in one.side_hot_kg
    )  # fmt: skip
    money = Money(**AMOUNTS)
    return PlanResult("optimal", money.profit_cents, 0.0, 0.1, money, sides=sides)


@pytest.fixture(params=["en", "es"])
def page(request: pytest.FixtureRequest, owner_client: Client) -> tuple[str, str]:
    """The language, and the page of a plan in it."""
    owner = Person.objects.get(role="owner")
    Person.objects.update(language=request.param)
    plan = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5, by=owner)
    service.solve(plan.pk, solver=earns)
    return request.param, html.unescape(owner_client.get(reverse("plan")).content.decode())


def note(text: str) -> str:
    start = {"en": "Money from", "es": "Dinero del"}
    found = next(one for one in re.findall(r'<p class="note">([^<]+)</p>', text)
                 if one.startswith(tuple(start.values())))  # fmt: skip
    return " ".join(found.split())


def rows(text: str) -> dict[str, int]:
    """The table of the money: its heads and cents."""
    found = re.findall(r'<tr><th scope="row">([^<]+)</th><td class="number">(.*?)</td></tr>', text)
    plain = {head: re.sub(r"<[^>]+>", "", cell) for head, cell in found}
    return {head: round(100 * float(re.sub(r"[^\d.-]", "", cell.replace("−", "-"))))
            for head, cell in plain.items() if "$" in cell}  # fmt: skip


def test_no_line_of_the_profit_is_forgotten_here() -> None:
    assert set(NAMED) == {one.name for one in fields(Money)}
    assert Money(**AMOUNTS).profit_cents == sum(AMOUNTS.values())


def test_the_note_names_every_line_of_the_profit(page: tuple[str, str]) -> None:
    language, text = page
    said = note(text)
    for name, words in NAMED.items():
        assert words[language][0] in said, name


def test_what_is_spent_stands_after_less_and_what_comes_in_before_it(page: tuple[str, str]) -> None:
    language, text = page
    comes_in, goes_out = note(text).split({"en": ", less ", "es": ", menos "}[language])
    for name, words in NAMED.items():
        assert words[language][0] in (goes_out if name in SPENT else comes_in), name


def test_the_table_has_every_line_and_adds_up(page: tuple[str, str]) -> None:
    language, text = page
    shown = rows(text)
    for name, words in NAMED.items():
        assert shown[words[language][1]] == AMOUNTS[name], name
    assert shown[{"en": "Earns", "es": "Gana"}[language]] == sum(AMOUNTS.values())


def test_the_terminal_names_shares_and_freezing_too() -> None:
    for word in ("counter", "orders", "shares", "kept frozen", "wages", "overtime", "freezing", "hauling"):
        assert word in COUNTS
