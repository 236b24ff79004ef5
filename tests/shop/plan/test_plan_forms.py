"""What is typed to the planner, at every edge; and what its process does with an order that is none."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from gambrel.shop import solving
from gambrel.shop.clock import today
from gambrel.shop.pages.bid.forms import BidForm
from gambrel.shop.pages.plan.forms import AskForm, PinForm
from gambrel.shop.records.models import Plan, Side
from gambrel.shop.records.services import plan as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

CHOICES = {"rib-primal": ("rib", (("boneless", "boneless"), ("bone-in", "bone in"))),
           "short-loin": ("short loin", (("whole", "whole"),))}  # fmt: skip
KINDS = (("bison", "bison"), ("wagyu", "Wagyu"))


def ask(**changes: Any) -> AskForm:
    return AskForm({"start": today().isoformat(), "days": "14", "seconds": "60", **changes})


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("days", "1"),
        ("days", str(service.LONGEST_DAYS)),
        ("seconds", "1"),
        ("seconds", str(service.LONGEST_SECONDS)),
    ],
)
def test_the_edges_are_allowed(field: str, typed: str) -> None:
    assert ask(**{field: typed}).is_valid()


@pytest.mark.parametrize(
    ("field", "typed"),
    [("days", "0"), ("days", "61"), ("days", "-3"), ("days", "1.5"), ("days", "ten"), ("days", ""), ("days", "9" * 30),
     ("seconds", "0"), ("seconds", "3601"), ("seconds", ""), ("seconds", "1e9"), ("seconds", "NaN"),
     ("start", ""), ("start", "tomorrow"), ("start", "2026-02-30"), ("start", "0001-01-01"), ("start", "9999-12-31"),
     ("start", "\x00")],
)  # fmt: skip
def test_what_cannot_be_is_told_by_its_field(field: str, typed: str) -> None:
    form = ask(**{field: typed})
    assert not form.is_valid() and list(form.errors) == [field]


@pytest.mark.parametrize("days", [-60, -1, 0, 1, 60])
def test_a_plan_may_begin_within_sixty_days(days: int) -> None:
    assert ask(start=(today() + timedelta(days=days)).isoformat()).is_valid()


@pytest.mark.parametrize("days", [-61, 61])
def test_and_not_beyond(days: int) -> None:
    assert "start" in ask(start=(today() + timedelta(days=days)).isoformat()).errors


@pytest.mark.parametrize(
    ("typed", "ways"),
    [
        ({}, {}),
        ({"way-rib-primal": ""}, {}),
        ({"way-rib-primal": "boneless"}, {"rib-primal": "boneless"}),
        (
            {"way-rib-primal": "bone-in", "way-short-loin": "whole"},
            {"rib-primal": "bone-in", "short-loin": "whole"},
        ),
        ({"way-flank": "boneless"}, {}),
    ],
    ids=["nothing", "left free", "one", "two", "a piece that was not asked"],
)
def test_what_is_settled(typed: dict[str, str], ways: dict[str, str]) -> None:
    form = PinForm(typed, choices=CHOICES)
    assert form.is_valid() and form.ways() == ways and form.cleaned_data["day"] is None


@pytest.mark.parametrize(
    "typed", [{"way-rib-primal": "sideways"}, {"day": "soon"}, {"why": "x" * 201}], ids=str
)
def test_what_cannot_be_settled(typed: dict[str, str]) -> None:
    assert not PinForm(typed, choices=CHOICES).is_valid()


def test_a_day_alone_may_be_settled() -> None:
    form = PinForm({"day": "2026-03-20", "why": "the smoker is free"}, choices=CHOICES)
    assert form.is_valid() and form.cleaned_data["day"] == date(2026, 3, 20)


@pytest.mark.parametrize(
    ("typed", "offer"),
    [
        ({}, None),
        ({"offer": "$4.40924524/lb"}, 972.0),
        ({"offer": "9.72/kg"}, 972.0),
        ({"offer": "0/kg"}, 0.0),
    ],
    ids=["no offer", "by the pound", "by the kilogram", "for nothing"],
)
def test_an_offer_is_taken_by_the_kilogram(typed: dict[str, str], offer: float | None) -> None:
    """4.40924524 $/lb x 2.20462262 lb/kg = 9.7207 $/kg, within a tenth of a cent a pound."""
    form = BidForm(typed, kinds=KINDS, suppliers=())
    assert form.is_valid(), form.errors
    assert form.cleaned_data["offer"] == (None if offer is None else pytest.approx(offer, abs=0.2))


@pytest.mark.parametrize(
    "typed", [{"kind": "unicorn"}, {"on": "hoof"}, {"offer": "four"}, {"offer": "4/stone"}], ids=str
)
def test_an_offer_that_is_none(typed: dict[str, str]) -> None:
    form = BidForm(typed, kinds=KINDS, suppliers=())
    assert not form.is_valid() and list(form.errors) == list(typed)


@pytest.mark.parametrize("name", ["one_plan", "stop_plan", "accept_plan", "plan_sheet"])
def test_a_plan_that_is_not_there(owner_client: Client, name: str) -> None:
    address = reverse(name, args=[987_654])
    answer = owner_client.post(address) if name in ("stop_plan", "accept_plan") else owner_client.get(address)
    assert answer.status_code == 404


@pytest.mark.parametrize("name", ["ask_plan", "stop_plan", "accept_plan"])
def test_nothing_is_done_by_only_looking(owner_client: Client, name: str) -> None:
    address = reverse(name) if name == "ask_plan" else reverse(name, args=[1])
    assert owner_client.get(address).status_code == 405
    assert not Plan.objects.exists()


def test_a_side_that_left_cannot_be_settled(owner_client: Client) -> None:
    side = Side.objects.first()
    assert side is not None
    Side.objects.filter(pk=side.pk).update(state="gone")
    assert owner_client.get(reverse("settle_side", args=[side.pk])).status_code == 404


def test_the_solver_is_a_process_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """It takes the number of a plan and solves that one; what it finds is in the records."""
    solved: list[int] = []
    monkeypatch.setattr(service, "solve", lambda plan_id, enough: solved.append(plan_id))
    monkeypatch.setattr(service, "keep_alive", lambda plan_id, ended, leave, enough: None)
    solving.main(17)
    assert solved == [17]


@pytest.mark.parametrize(
    ("form", "field", "label"),
    [
        (AskForm, "start", "Primer día"),
        (AskForm, "days", "Días por delante"),
        (AskForm, "seconds", "Tiempo máximo para calcular (segundos)"),
    ],
)
def test_the_boxes_are_named_in_spanish(form: type[AskForm], field: str, label: str) -> None:
    with translation.override("es"):
        assert str(form().fields[field].label) == label


@pytest.mark.parametrize(
    ("language", "said"), [("en", "the planner chooses"), ("es", "elige el planificador")]
)
def test_leaving_a_piece_free_is_a_choice_with_a_name(language: str, said: str) -> None:
    with translation.override(language):
        form = PinForm(choices=CHOICES)
        assert said in str(form["way-rib-primal"])


def test_the_page_of_a_side_names_every_piece_that_may_be_settled(owner_client: Client) -> None:
    side = Side.objects.filter(state="hanging").select_related("animal").first()
    assert side is not None
    answer = owner_client.get(reverse("settle_side", args=[side.pk]))
    form = answer.context["form"]
    text = answer.content.decode()
    assert form.pieces and all(f'name="way-{piece}"' in text for piece in form.pieces)
