"""The price pages as owner, counter and customer meet them: cost, what if, the list set, the board, the steps."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures.units import KG_PER_LB
from gambrel.plan.market import Origin
from gambrel.plan.result import Money, Move, PlanResult, Sale, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import today
from gambrel.shop.records.models import AuditLine, Demand, Person, Plan, Price, PriceList, ShopProfile
from gambrel.shop.records.selectors.prices import WhatIf, prices_page
from gambrel.shop.records.services import plan as plan_service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

KIND = "grain-finished"
WAGES_CENTS = 60_000


def sells_three_cuts(week: Week, **asked: Any) -> PlanResult:
    """One animal cut, 20 kg of each of three of its products sold at their first price, and 600.00 of wages."""
    (animal,) = (one for one in week.animals if one.id == "C1")
    sides = tuple(SidePlan(animal.side_id(half), animal.id, half, KIND, today(), 190.0, {})
                  for half in animal.side_hot_kg)  # fmt: skip
    numbers = [
        number for number, one in enumerate(week.demands) if one.group.name == KIND and not one.is_ground
    ][:3]
    origin = Origin(KIND, frozenset((KIND,)), "federal")
    moves, sales = [], []
    for number in numbers:
        price = week.demands[number].steps[0].price_cents_per_kg
        moves.append(Move(week.demands[number].slug, origin, (today(),), "counter", 20.0, number, 1))
        sales.append(Sale(number, 1, 0, 20.0, price, round(20 * price)))
    money = Money(counter_cents=sum(sale.cents for sale in sales), wages_cents=-WAGES_CENTS)
    return PlanResult("optimal", money.profit_cents, 0.0, 0.1, money, sides, tuple(sales), moves=tuple(moves))


@pytest.fixture
def accepted() -> Plan:
    owner = Person.objects.get(role="owner")
    asked = plan_service.ask(ShopProfile.objects.get(), start=today(), days=7, seconds=5, by=owner)
    return plan_service.accept(plan_service.solve(asked.pk, solver=sells_three_cuts), by=owner)


def lines_sold() -> list[Any]:
    return [line for line in prices_page(ShopProfile.objects.get(), WhatIf()).lines if line.kg]


def test_without_a_plan_the_page_says_so_and_shows_what_sells(owner_client: Client) -> None:
    text = owner_client.get(reverse("prices")).content.decode()
    assert "there is none yet" in text
    assert "Set the list" in text


def test_the_cost_is_the_bill_the_fees_and_the_wages(owner_client: Client, accepted: Plan) -> None:
    page = owner_client.get(reverse("prices")).context["page"]
    bill = ShopProfile.objects.get()
    animal = Plan.objects.get(pk=accepted.pk).sides.first()
    assert animal is not None
    paid = animal.side.animal.bill
    assert page.worked_out.cost_cents == pytest.approx(
        paid.paid_cents + paid.kill_fee_cents + bill.overhead_cents_per_head + WAGES_CENTS
        + 60 * bill.packing_cents_per_kg, abs=3
    )  # fmt: skip


def test_what_if_a_margin_and_a_wage(owner_client: Client, accepted: Plan) -> None:
    """Sales needed are cost over one less the margin; wages follow the wage."""
    before = owner_client.get(reverse("prices")).context["page"].worked_out
    wage = ShopProfile.objects.get().wage_cents_per_hour
    answer = owner_client.get(reverse("prices"), {"margin": "50", "wage": f"{2 * wage / 100:.2f}"})
    after = answer.context["page"].worked_out
    assert after.cost_cents == before.cost_cents + WAGES_CENTS
    assert after.needed_cents == 2 * after.cost_cents
    assert not PriceList.objects.exists()


def test_a_price_by_hand_stays_and_is_a_whole_cent_by_the_pound(owner_client: Client, accepted: Plan) -> None:
    line = lines_sold()[0]
    answer = owner_client.get(reverse("prices"), {f"price-{line.pk}": "12.345"})
    tried = next(one for one in answer.context["page"].lines if one.pk == line.pk)
    assert tried.by_hand
    assert tried.new_cents_per_kg * KG_PER_LB == pytest.approx(1234, abs=0.6)
    assert f"price-{line.pk}" in dict(answer.context["tried"])


@pytest.mark.parametrize("asked", [{"margin": "100"}, {"margin": "much"}, {"wage": "-1"}, {"ending": "150"},
                                   {"packing": "1/stone"}])  # fmt: skip
def test_what_cannot_be_is_told_by_its_field(owner_client: Client, asked: dict[str, str]) -> None:
    answer = owner_client.get(reverse("prices"), asked)
    assert answer.status_code == 400
    assert set(answer.context["form"].errors) == set(asked)
    assert next(iter(asked.values())) in answer.content.decode()


def test_what_was_shown_is_what_is_set(owner_client: Client, accepted: Plan) -> None:
    shown = owner_client.get(reverse("prices"), {"margin": "40"}).context["page"]
    owner_client.post(
        reverse("set_prices"), {"margin": "40", "shown_plan": str(accepted.key), "plan_with_it": "on"}
    )
    rows = {(row.slug, row.group): row for row in Price.objects.all()}
    assert len(rows) == len(shown.lines)
    for line in shown.lines:
        row = rows[line.slug, line.group]
        assert row.price_cents_per_kg == pytest.approx(line.new_cents_per_kg)
        assert row.cost_cents_per_kg == pytest.approx(line.cost_cents_per_kg)
    assert PriceList.objects.get().by == Person.objects.get(role="owner")


def test_steps_move_with_the_list_when_it_is_planned_with(owner_client: Client, accepted: Plan) -> None:
    line = lines_sold()[0]
    before = Demand.objects.get(pk=line.pk)
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key), "plan_with_it": "on"})
    after = Demand.objects.get(pk=line.pk)
    ratio = line.new_cents_per_kg / line.today_cents_per_kg
    for old, new in zip(before.steps, after.steps, strict=True):
        assert new["price_cents_per_kg"] == pytest.approx(old["price_cents_per_kg"] * ratio)
        assert new["upto_kg"] == old["upto_kg"]


def test_steps_stay_when_it_is_not(owner_client: Client, accepted: Plan) -> None:
    before = list(Demand.objects.values_list("steps", flat=True))
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    assert list(Demand.objects.values_list("steps", flat=True)) == before
    assert PriceList.objects.count() == 1


def test_a_price_by_hand_needs_a_reason(owner_client: Client, accepted: Plan) -> None:
    line = lines_sold()[0]
    data = {f"price-{line.pk}": "12.49", "shown_plan": str(accepted.key)}
    answer = owner_client.post(reverse("set_prices"), data, follow=True)
    assert "a reason" in answer.content.decode() and not PriceList.objects.exists()
    assert answer.request["QUERY_STRING"] == f"price-{line.pk}=12.49"
    owner_client.post(reverse("set_prices"), {**data, "note": "the smoker pays that"})
    row = Price.objects.get(slug=line.slug, group=line.group)
    assert row.by_hand and row.price_cents_per_kg * KG_PER_LB == pytest.approx(1249)
    assert PriceList.objects.get().note == "the smoker pays that"
    assert AuditLine.objects.latest("pk").why == "the smoker pays that"


def test_prices_of_another_plan_are_not_set(owner_client: Client, accepted: Plan) -> None:
    answer = owner_client.post(reverse("set_prices"), {"shown_plan": "older"}, follow=True)
    assert "another plan" in answer.content.decode()
    assert not PriceList.objects.exists()


def test_a_missing_bill_is_told(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch, accepted: Plan
) -> None:
    from gambrel.shop.records.selectors import prices as selector

    week, result = selector.planned_by(accepted.key)
    bare = replace(week, animals=tuple(replace(one, bill=None) for one in week.animals))
    monkeypatch.setattr(selector, "planned_by", lambda key: (bare, result))
    selector._worked_out.cache_clear()
    text = owner_client.get(reverse("prices")).content.decode()
    selector._worked_out.cache_clear()
    assert "animal C1, bill" in text


def test_the_counter_sees_the_list_without_costs_and_sets_nothing(
    owner_client: Client, counter_client: Client, accepted: Plan
) -> None:
    assert "No list was set yet" in counter_client.get(reverse("prices")).content.decode()
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    text = counter_client.get(reverse("prices")).content.decode()
    line = lines_sold()[0]
    assert f"${line.new_cents_per_kg * KG_PER_LB / 100:.2f}/lb" in text
    assert "Costs" not in text and "Margin" not in text
    assert counter_client.post(reverse("set_prices"), {}).status_code == 403
    assert counter_client.get(reverse("price_list_sheet")).status_code == 403


def test_the_board_is_shown_to_a_customer_only_where_the_owner_says_so(
    owner_client: Client, visitor_client: Client, accepted: Plan
) -> None:
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    assert visitor_client.get(reverse("price_board")).status_code == 302
    owner_client.post(reverse("price_board_public"), {"public": "1"})
    text = visitor_client.get(reverse("price_board")).content.decode()
    assert "/lb" in text and "/kg" in text
    assert "Back to the prices" not in text
    owner_client.post(reverse("price_board_public"), {"public": "0"})
    assert visitor_client.get(reverse("price_board")).status_code == 302


def test_the_board_goes_round_its_groups_until_it_is_held(owner_client: Client, accepted: Plan) -> None:
    url = reverse("price_board")
    assert owner_client.get(url).headers["Refresh"] == f"30; url={url}?show=0"  # no list yet: it looks again
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    groups = [name for name, _ in owner_client.get(url).context["board"].groups]
    seen, following = [], f"{url}?show=0"
    for _ in groups:
        answer = owner_client.get(following)
        ((name, _lines),) = answer.context["shown"]
        seen.append(name)
        following = answer.headers["Refresh"].partition("url=")[2]
    assert seen == groups and following == f"{url}?show=0"
    held = owner_client.get(url, {"show": "all", "hold": "1"})
    assert "Refresh" not in held.headers and len(held.context["shown"]) == len(groups)


@pytest.mark.parametrize("show", ["-1", "99999", "²", "x", ""])
def test_a_board_that_is_asked_for_oddly_shows_the_first_group(
    owner_client: Client, accepted: Plan, show: str
) -> None:
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    assert owner_client.get(reverse("price_board"), {"show": show}).context["turn"] == 0


def test_no_bison_on_the_board_is_called_beef(owner_client: Client, accepted: Plan) -> None:
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    groups = dict(owner_client.get(reverse("price_board")).context["board"].groups)
    assert groups["bison"]
    assert not [line.name for line in groups["bison"] if "beef" in line.name]


def test_board_and_list_as_documents(owner_client: Client, accepted: Plan) -> None:
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    pdfium = pytest.importorskip("pypdfium2")
    line = lines_sold()[0]
    said = f"${line.new_cents_per_kg * KG_PER_LB / 100:.2f}"
    cost = f"${line.cost_cents_per_kg * KG_PER_LB / 100:.2f}"
    texts = {}
    for name in ("price_board_sheet", "price_list_sheet"):
        answer = owner_client.get(reverse(name), {"paper": "a4"})
        assert answer["Content-Type"] == "application/pdf"
        document = pdfium.PdfDocument(answer.content)
        texts[name] = "".join(page.get_textpage().get_text_range() for page in document)
        document.close()
        assert said in texts[name]
    assert cost in texts["price_list_sheet"]


def test_few_questions_and_a_light_page(
    owner_client: Client, accepted: Plan, queries: list[dict[str, str]]
) -> None:
    owner_client.post(reverse("set_prices"), {"shown_plan": str(accepted.key)})
    for name in ("prices", "price_board", "price_steps"):
        queries.clear()
        answer = owner_client.get(reverse(name))
        assert len(queries) <= 15, name
        assert len(answer.content) < 120_000, name


def test_spanish(owner_client: Client, accepted: Plan) -> None:
    Person.objects.filter(role="owner").update(language="es")
    text = owner_client.get(reverse("prices")).content.decode()
    assert "Lo que deben dejar las medias canales planeadas" in text and "Salario por hora" in text
    assert "What if" not in text


def test_a_counter_that_sells_nothing_yet(owner_client: Client) -> None:
    Demand.objects.all().delete()
    text = owner_client.get(reverse("prices")).content.decode()
    assert "sells nothing yet" in text and "Set the list" not in text
    answer = owner_client.post(reverse("set_prices"), {"shown_plan": ""}, follow=True)
    assert "at least one" in answer.content.decode()
    assert owner_client.get(reverse("price_steps")).status_code == 200
    assert "No list was set yet" in owner_client.get(reverse("price_board")).content.decode()


def test_prices_can_be_set_by_hand_without_a_plan(owner_client: Client) -> None:
    demand = Demand.objects.filter(lean_pct=None).first()
    assert demand is not None
    data = {f"price-{demand.pk}": "$14.25/lb", "shown_plan": "", "note": "first list"}
    owner_client.post(reverse("set_prices"), data)
    row = Price.objects.get(slug=demand.slug, group=demand.group)
    assert row.by_hand and row.cost_cents_per_kg is None
    assert row.price_cents_per_kg * KG_PER_LB == pytest.approx(1425)
    assert Price.objects.count() == Demand.objects.count()


@pytest.mark.parametrize("typed", ["\x00", "9" * 400, "1e309/lb", "💲5/lb", "0/lb", "-1/kg", "1/lb; drop"])
def test_hostile_prices_are_told_and_never_an_error_of_ours(
    owner_client: Client, accepted: Plan, typed: str
) -> None:
    line = lines_sold()[0]
    answer = owner_client.get(reverse("prices"), {f"price-{line.pk}": typed, "group": typed})
    assert answer.status_code == 400
    assert owner_client.post(reverse("set_prices"), {f"price-{line.pk}": typed}).status_code == 302
    assert not PriceList.objects.exists()
