"""What was learned is used: the forecast, the plan and the bid of a shop that has cut sides name their edition."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from gambrel.breakdown import forecast_side
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import shipped_tree
from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.shares import forecast_shares, learned_shares
from gambrel.plan.week import Week
from gambrel.shop.clock import today
from gambrel.shop.records.forecasts import DRAWS, SEED, broken
from gambrel.shop.records.models import Cutting, Side, SideState
from gambrel.shop.records.selectors.forecast_ways import held, side_on_rail
from gambrel.shop.records.selectors.plan import known_to
from gambrel.shop.records.services import plan as plans
from gambrel.shop.records.services.plan_checks import source_for
from gambrel.shop.records.shop_yields import BOOK, model_source, taught, taught_by, yields_of

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]
Shares = Callable[..., Any]


def hanging_side(kind: str = "grain-finished") -> Side:
    rows = Side.objects.filter(state=SideState.HANGING, animal__kind=kind, animal__owner_name="")
    return rows.select_related("animal__supplier").order_by("-pk")[0]


def test_the_forecast_of_a_side_is_by_the_yields_of_its_kind_and_supplier(
    demo_shop: Any, cut_side: Cut
) -> None:
    for _ in range(3):
        cut_side()
    on = today() + timedelta(days=3)
    on_rail = side_on_rail(hanging_side(), demo_shop.profile, [])
    asked = on_rail.asked(held(on_rail).ways, on)
    assert asked.edition == taught(demo_shop.profile).edition
    models = yields_of(taught(demo_shop.profile)).models(
        asked.carcass, supplier=on_rail.side.animal.supplier.name
    )
    day = (on - asked.killed).days
    hung_kg = asked.hot_kg * asked.loss.draw_remaining(day, DRAWS, np.random.default_rng((SEED, 3)))
    core = forecast_side(asked.carcass, dict(asked.ways), tree=shipped_tree().trimmed(asked.trim), cuts=shipped_cuts(),
                         hung_kg=hung_kg, seed=SEED, learned=models)  # fmt: skip
    learned = broken(asked)
    for piece in learned.pieces:
        assert piece.kg.mean == pytest.approx(float(np.mean(core.kg[piece.slug])))
    by_book_now = broken(replace(asked, edition=BOOK, known=taught_by(None, asked.trim)))
    assert learned.hung_kg == by_book_now.hung_kg
    assert learned.kg_by_slug() != by_book_now.kg_by_slug()


def test_what_was_learned_makes_the_interval_of_most_pieces_narrower(demo_shop: Any, cut_side: Cut) -> None:
    """Sides that fell as the book expects teach that the book is right here: less is unknown."""
    before = side_on_rail(hanging_side(), demo_shop.profile, [])
    ways, on = held(before).ways, today() + timedelta(days=3)
    by_book = {piece.slug: piece.kg for piece in broken(before.asked(ways, on)).pieces}
    for _ in range(3):
        cut_side()
    own = broken(side_on_rail(hanging_side(), demo_shop.profile, []).asked(ways, on)).pieces
    narrower = [piece.kg.p95 - piece.kg.p05 < by_book[piece.slug].p95 - by_book[piece.slug].p05
                for piece in own if piece.slug in by_book]  # fmt: skip
    assert sum(narrower) > 0.7 * len(narrower)


def test_a_plan_keeps_the_edition_it_was_asked_with_and_is_solved_by_it(
    demo_shop: Any, cut_side: Cut
) -> None:
    cut_side()
    known = taught(demo_shop.profile)
    plan = plans.ask(demo_shop.profile, start=today(), days=7, seconds=5, by=demo_shop.person("owner"))
    cut_side()
    assert plan.week["edition"] == known.edition != taught(demo_shop.profile).edition
    seen: dict[str, Any] = {}

    def solver(week: Week, *, shares: Shares, **_: Any) -> PlanResult:
        seen["shares"], seen["week"] = shares, week
        one = week.animals[0]
        side = SidePlan(one.side_id("left"), one.id, "left", one.kind.slug, week.shop.start, 150.0,
                        {"rib-primal": "boneless"})  # fmt: skip
        return PlanResult("optimal", 10_000, 0.0, 0.1, Money(counter_cents=10_000), sides=(side,))

    plans.solve(plan.pk, solver=solver)
    kind = shipped_kinds()["grain-finished"]
    animal, tree = (
        Animal(kind=kind, sex="steer", hot_kg=360.0),
        shipped_tree().trimmed(demo_shop.profile.trim),
    )
    models = yields_of(known).models(animal)
    given, book = seen["shares"](animal, tree), forecast_shares(animal, tree)
    moved = {key for key in book if given[key] != pytest.approx(book[key], abs=1e-9)}
    assert moved and moved <= models.keys()
    one = next(hanging for hanging in seen["week"].animals if hanging.kind.slug == "grain-finished")
    supplier = plan.week["suppliers"][one.id]
    assert supplier == Side.objects.filter(animal__tag=one.id)[0].animal.supplier.name
    by_supplier = learned_shares(lambda animal, _="": yields_of(known).models(animal, supplier=supplier))
    assert seen["shares"](animal, tree, one.id) == by_supplier(animal, tree) != given
    assert known_to(plan.key).edition == known.edition


def test_before_anything_was_cut_plans_are_the_books(demo_shop: Any) -> None:
    known = taught(demo_shop.profile)
    assert model_source(known) is None
    plan = plans.ask(demo_shop.profile, start=today(), days=7, seconds=5, by=None)
    assert (plan.week["edition"], plan.week["lesson"]) == ("book", None)


def test_a_side_planned_by_itself_is_of_its_animals_supplier(demo_shop: Any, cut_side: Cut) -> None:
    cut_side()
    known = taught(demo_shop.profile)
    animal = Animal(kind=shipped_kinds()["grain-finished"], sex="steer", hot_kg=360.0)
    supplier = known.tests[0].supplier
    models = model_source(known, {"C1": supplier})
    assert models is not None and supplier

    shares, tree = learned_shares(models), shipped_tree().trimmed(known.trim)
    of = {name: shares(animal, tree, name) for name in ("C1", "C1+left", "C1+right", "C2", "C2+left", "")}
    assert of["C1+left"] == of["C1"] == of["C1+right"]
    assert of["C2"] == of[""] == of["C2+left"] != of["C1"]


def test_the_plans_draws_are_by_the_edition(demo_shop: Any, cut_side: Cut) -> None:
    cut_side()
    known = taught(demo_shop.profile)
    week = plans.week_of(demo_shop.profile, start=today(), days=7)
    one = next(hanging for hanging in week.animals if hanging.kind.slug == "grain-finished")
    half = next(iter(one.side_hot_kg))
    ways = shipped_tree().style("boneless", "cattle")
    side = SidePlan(one.side_id(half), one.id, half, one.kind.slug, week.shop.start, 150.0, ways)
    own = source_for(week, model_source(known))(one, side, 200, 3)
    book = source_for(week, model_source(taught_by(None, demo_shop.profile.trim)))(one, side, 200, 3)
    assert any(not np.array_equal(own.kg[slug], book.kg[slug]) for slug in book.kg)
    assert sum(own.kg.values()) == pytest.approx(sum(book.kg.values()), rel=5e-3)


def test_the_page_names_the_edition(demo_shop: Any, cut_side: Cut, owner_client: Client) -> None:
    address = reverse("forecast", args=[hanging_side().pk])
    assert "the book alone" in owner_client.get(address).content.decode()
    cut_side()
    page = owner_client.get(address).content.decode()
    assert f"put right by 1 side cut here (edition {taught(demo_shop.profile).edition})" in page
