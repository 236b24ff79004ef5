"""Weekdays, closed days, overtime, blocks and the freezer as the owner said them: what the plan makes of each."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from gambrel.plan import solve_week
from gambrel.plan.questions.relax import Eased
from gambrel.plan.questions.week_changes import WeekChange, week_changes
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.pages.plan.sayings import easing_said, week_change_said
from gambrel.shop.records.models import (
    Demand,
    Lot,
    OnHand,
    Order,
    Person,
    PlanState,
    PriceList,
    ShopProfile,
    Side,
    SideState,
)
from gambrel.shop.records.selectors.plan import planned
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.services.packs import pack
from gambrel.shop.records.week import week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

DAYS = 7
SLUG = "ribeye-steak"


@pytest.fixture(autouse=True)
def _one_side_cut_on_friday() -> None:
    """One grain-finished side hangs, settled for the fifth day and boneless at the rib; nothing is promised."""
    Side.objects.exclude(animal__tag="C1", half="left").update(state=SideState.GONE)
    Order.objects.all().delete()
    OnHand.objects.all().delete()
    side = Side.objects.get(animal__tag="C1", half="left")
    service.pin(side, day=today() + timedelta(days=4), ways={"rib-primal": "boneless"}, by=None)


def sold_frozen(*, upto_kg: float, dollars_per_kg: float, kept: float = 0.0) -> Demand:
    """What the freezer sells of the ribeye steaks of grain-finished cattle, beside what the counter takes."""
    demand = Demand.objects.get(slug=SLUG, group="grain-finished")
    demand.frozen_upto_kg, demand.frozen_price_cents_per_kg = upto_kg, 100 * dollars_per_kg
    demand.frozen_kept_cents_per_kg = 100 * kept
    demand.save()
    return demand


def said(**changes: object) -> Week:
    ShopProfile.objects.update(**changes)
    return week_of(ShopProfile.objects.get(), start=today(), days=DAYS)


def solved(**changes: object) -> PlanResult:
    return solve_week(said(**changes), gap=1e-4, seconds=30)


def knife_min(plan: PlanResult) -> float:
    (day,) = [one for one in plan.days if one.sides]
    return day.minutes["knife"]


def test_overtime_makes_a_plan_where_the_hours_make_none() -> None:
    """Half an hour of knife is too short for a side; what is over costs 36 - 24 dollars an hour more than the wage."""
    assert solved(minutes_a_day={"knife": 30.0}).status == "no-plan"
    plan = solved(minutes_a_day={"knife": 30.0}, overtime_minutes_a_day={"knife": 180.0})
    assert plan.has_plan and knife_min(plan) > 30.0
    assert plan.money.overtime_cents == pytest.approx(-(knife_min(plan) - 30.0) * 20.0, abs=0.5)
    dear = solved(overtime_cents_per_hour=5400)  # 30 dollars more than the wage
    assert dear.money.overtime_cents == pytest.approx(-(knife_min(dear) - 30.0) * 50.0, abs=0.5)
    assert dear.profit_cents < plan.profit_cents


def test_the_hours_of_the_weekday_go_before_those_of_every_cutting_day() -> None:
    """The side is settled for a Friday; half an hour of knife is too short for it."""
    assert solved(minutes_a_day={"knife": 30.0}, minutes_on={"fri": {"knife": 180.0}}).has_plan
    assert not solved(minutes_on={"thu": {"knife": 180.0}}).has_plan
    assert not solved(minutes_a_day={"knife": 180.0}, minutes_on={"fri": {"knife": 30.0}}).has_plan


def test_on_a_closed_day_nothing_is_cut_nor_in_overtime(owner_client: Client) -> None:
    """Not settled for any day, the side goes on Friday at first; with that day closed it goes on another."""
    side = Side.objects.get(animal__tag="C1", half="left")
    service.pin(side, day=None, ways={}, by=None)
    ShopProfile.objects.update(overtime_minutes_a_day={"knife": 180.0})
    (free,) = solved(minutes_a_day={"knife": 180.0}).sides
    open_days = [day for day in said().shop.calendar() if said().shop.is_cutting_day(day)]
    assert free.day in open_days and len(open_days) > 1
    ShopProfile.objects.update(closed_on=[str(free.day)])
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=DAYS, seconds=30, by=None)
    plan = service.solve(asked.pk)
    found = planned(plan)
    assert found is not None
    (moved,) = found[1].sides
    assert moved.day != free.day and (moved.day is None or moved.day in open_days)
    page = owner_client.get(reverse("plan"), follow=True).content.decode()
    assert re.search(rf"{free.day}</th>\s*<td>closed</td>", page)


def test_a_side_that_is_settled_for_a_day_that_was_closed_since_is_told() -> None:
    friday = today() + timedelta(days=4)
    ShopProfile.objects.update(closed_on=[str(friday)])
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=DAYS, seconds=30, by=None)
    plan = service.solve(asked.pk)
    told = json.dumps(plan.answer)
    assert plan.state == PlanState.NO_PLAN and "C1, pin day" in told and str(friday) in told


def test_overtime_of_work_whose_hours_were_taken_out_later_changes_nothing() -> None:
    """Without a limit there is nothing to go beyond, and nothing dearer is paid."""
    free = solved(minutes_a_day={})
    over = solved(overtime_minutes_a_day={"knife": 60.0})
    assert over.money.overtime_cents == 0 and over.profit_cents == pytest.approx(free.profit_cents, rel=2e-4)


def test_a_second_block_makes_a_plan_where_one_makes_none() -> None:
    """Knife work of the side takes between one and two hours; the room is open for one."""
    free = solved(minutes_a_day={})
    assert 60.0 < knife_min(free) < 120.0
    assert solved(open_min=60.0, at_once={"knife": 1}).status == "no-plan"
    two = solved(at_once={"knife": 2})
    assert two.has_plan and two.profit_cents == pytest.approx(free.profit_cents, rel=2e-4)


def test_with_little_time_at_the_saw_the_side_is_cut_otherwise() -> None:
    """Free, more than a quarter of an hour of saw is taken; where there is no more than that, other ways are."""
    free = solved(minutes_a_day={})
    (day,) = [one for one in free.days if one.sides]
    assert day.minutes["saw"] > 15.0
    short = solved(open_min=15.0, at_once={"saw": 1})
    assert short.has_plan and short.profit_cents < free.profit_cents
    (day,) = [one for one in short.days if one.sides]
    assert day.minutes["saw"] <= 15.0 + 1e-6
    assert short.sides[0].ways != free.sides[0].ways


def test_meat_that_is_worth_more_frozen_goes_through_the_freezer_as_far_as_it_holds() -> None:
    sold_frozen(upto_kg=50.0, dollars_per_kg=5.0, kept=90.0)
    free = solved(minutes_a_day={})
    assert free.freezer[-1] > 3.0, "kept at 90 dollars a kilogram, dearer than any step of the counter"
    small = solved(freezer_holds_kg=2.0)
    assert small.freezer[-1] == pytest.approx(2.0, abs=1e-6)
    assert small.profit_cents < free.profit_cents
    dear = solved(freezer_holds_kg=None, freezer_cost_cents_per_kg=500.0)
    assert dear.money.freezing_cents == pytest.approx(-500.0 * dear.freezer[-1], abs=1)


def test_without_a_price_for_it_nothing_is_frozen() -> None:
    plan = solved(minutes_a_day={}, freezer_holds_kg=500.0)
    assert plan.money.freezing_cents == 0 and not any(plan.freezer)


def test_what_lies_in_the_freezer_is_sold_out_of_it() -> None:
    lot = Lot.objects.create(
        code="F1", made_on=today(), kind="grain-finished", species="cattle", inspected="federal"
    )
    before = solved(minutes_a_day={}).profit_cents
    pack(lot, SLUG, net_kg=Decimal("4.5"), key=uuid4(), at=now(), by=None, place="freezer", packing="vacuum",
         use_by=today() - timedelta(days=1))  # fmt: skip
    assert said().stock == () and solved().profit_cents == pytest.approx(before, rel=2e-4)
    sold_frozen(upto_kg=3.0, dollars_per_kg=20.0, kept=1.0)
    (line,) = said().stock
    assert (line.slug, line.weight_kg, line.frozen, line.use_by) == (SLUG, 4.5, True, None)
    # Three kilograms are sold at $20.00; the rest stays, worth a dollar a kilogram.
    assert solved().profit_cents - before >= 3.0 * 2000 + 1.5 * 100 - 2e-4 * before


def test_the_page_of_a_plan_tells_overtime_and_freezer(owner_client: Client) -> None:
    sold_frozen(upto_kg=50.0, dollars_per_kg=5.0, kept=90.0)
    said(minutes_a_day={"knife": 30.0}, overtime_minutes_a_day={"knife": 180.0}, freezer_holds_kg=2.0)
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=DAYS, seconds=30, by=None)
    plan = service.solve(asked.pk)
    assert plan.state == PlanState.DONE
    page = owner_client.get(reverse("plan"), follow=True).content.decode()
    assert "overtime: knife" in page and "Overtime</th>" in page
    assert "In the freezer at the end of each week, of what is sold out of it:" in page
    Person.objects.filter(role="owner").update(language="es")
    page = owner_client.get(reverse("plan"), follow=True).content.decode()
    assert "horas extra: cuchillo" in page and "En el congelador al final de cada semana" in page


def test_the_list_of_prices_leaves_what_the_freezer_sells_alone(owner_client: Client) -> None:
    """One line a product, with what the counter takes fresh; the freezer sells three kilograms more."""
    sold_frozen(upto_kg=3.0, dollars_per_kg=80.0)
    said(minutes_a_day={}, target_margin_pct=45.0)
    plan = service.solve(
        service.ask(ShopProfile.objects.get(), start=today(), days=DAYS, seconds=30, by=None).pk
    )
    service.accept(plan, by=None)
    found = planned(plan)
    assert found is not None
    week, result = found
    sold_kg = {
        frozen: sum(one.kg for one in result.sales if (week.demands[one.demand].slug, week.demands[one.demand].frozen)
                    == (SLUG, frozen))
        for frozen in (False, True)
    }  # fmt: skip
    assert sold_kg[True] == pytest.approx(3.0) and sold_kg[False] > 0.1
    page = owner_client.get(reverse("prices")).context["page"]
    (line,) = [one for one in page.lines if one.slug == SLUG and one.group == "grain-finished"]
    assert line.kg == pytest.approx(sold_kg[False])
    assert line.today_cents_per_kg == Demand.objects.get(pk=line.pk).steps[0]["price_cents_per_kg"]
    (frozen_line,) = [one for one in page.worked_out.lines if one.slug.endswith(", frozen)")]
    assert frozen_line.new_cents_per_kg == pytest.approx(8000.0, abs=1.2), "to the cent a pound"
    owner_client.post(reverse("set_prices"), {"shown_plan": str(plan.key), "plan_with_it": "on"})
    assert PriceList.objects.count() == 1
    assert Demand.objects.get(pk=line.pk).frozen_price_cents_per_kg == 8000.0


def test_what_changed_is_told_in_the_words_of_the_page() -> None:
    before = said(minutes_a_day={"knife": 480.0})
    after = said(overtime_minutes_a_day={"knife": 60.0}, at_once={"saw": 2}, open_min=540.0)
    told = [week_change_said(one) for one in week_changes(before, after)]
    assert told == [
        "hours knife, overtime is new: 1.0 h a day at $36.00 an hour",
        "hours saws is new: 2 for 9.0 h a day",
    ]
    days = said(overtime_minutes_a_day={}, at_once={}, open_min=None, minutes_on={"sat": {"knife": 240.0}},
                closed_on=["2026-03-12", "2026-12-25"])  # fmt: skip
    assert [week_change_said(one) for one in week_changes(before, days)] == [
        "hours knife on sat is new: 4.0 h", "days closed is new: 2026-03-12"]  # fmt: skip
    with override("es"):
        told = [week_change_said(one) for one in week_changes(before, after)]
        assert "cuchillo el sáb" in week_change_said(week_changes(before, days)[0])
    assert told[0].endswith("1.0 h al día a $36.00 la hora") and "cuchillo, horas extra" in told[0]
    assert "sierras" in told[1] and told[1].endswith("2 durante 9.0 h al día")


@pytest.mark.parametrize("what", ["share", "stock"])
def test_a_share_or_a_pack_that_came_since_is_told(what: str) -> None:
    assert "is new: 2.0 kg" in week_change_said(WeekChange(what, "ribs", None, "2.0 kg"))


@pytest.mark.parametrize(
    ("work", "english", "spanish"),
    [("knife", "one block more", "una mesa de corte más"), ("saw", "one band saw more", "una sierra cinta más"),
     ("grinder", "one grinder more", "un molino más"), ("packer", "one packing bench more", "una mesa de empaque más")],
)  # fmt: skip
def test_one_more_of_a_place_is_said(work: str, english: str, spanish: str) -> None:
    one = Eased("places", work, "", None)
    assert easing_said(one) == english
    with override("es"):
        assert easing_said(one) == spanish
