"""The forecast of a side on its page: it adds up, it is lawful, another way is weighed against what holds."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import CannotDo, Estimate
from gambrel.shop.records.forecasts import Broken, Piece, worth_of
from gambrel.shop.records.list_prices import ListPrices, list_prices
from gambrel.shop.records.loss import learned_loss, weighings_of
from gambrel.shop.records.models import (
    AuditLine,
    Demand,
    Person,
    Price,
    PriceList,
    ShopProfile,
    Side,
    SideState,
)
from gambrel.shop.records.selectors.forecast import ForecastPage, Wish, forecast_lines, forecast_page
from gambrel.shop.records.selectors.forecast_ways import side_on_rail
from gambrel.shop.records.services import forecast as service
from gambrel.shop.records.services.rail import weigh
from gambrel.shop.records.services.ribface import HandFigures, accept, enter_by_hand
from gambrel.shop.records.week import settled_apart, week_of

TODAY = date(2026, 3, 9)
AT = datetime(2026, 3, 9, 16, tzinfo=UTC)


@pytest.fixture
def shop(demo_shop: object) -> ShopProfile:
    return ShopProfile.objects.get()


@pytest.fixture
def owner(demo_shop: object) -> Person:
    return Person.objects.get(role="owner")


@pytest.fixture
def side(demo_shop: object) -> Side:
    return Side.objects.select_related("animal").get(animal__tag="C1", half="left")


def page_of(side: Side, shop: ShopProfile, **wish: object) -> ForecastPage:
    return forecast_page(side, shop, Wish(**wish), today=TODAY)  # type: ignore[arg-type]


def test_all_that_comes_off_is_what_hung(side: Side, shop: ShopProfile) -> None:
    page = page_of(side, shop)
    shown = page.shown
    assert shown is not None
    assert shown.balance_error_kg < 1e-6
    parts = [shown.totals[name].mean for name in ("saleable_kg", "trim_fat_kg", "bone_kg", "loss_kg")]
    assert sum(parts) == pytest.approx(shown.hung_kg.mean)
    pieces = sum(piece.kg.mean for piece in shown.pieces)
    assert pieces + shown.totals["loss_kg"].mean == pytest.approx(
        shown.hung_kg.mean, abs=0.1
    )  # crumbs are not listed
    assert shown.hung_kg.mean < float(side.hot_kg)
    listed = [line.slug for _, lines in page.groups for line in lines]
    assert sorted(listed) == sorted(piece.slug for piece in shown.pieces)


def test_a_longer_hang_weighs_less(side: Side, shop: ShopProfile) -> None:
    today, later = (page_of(side, shop, on=TODAY + timedelta(days=days)) for days in (0, 7))
    assert today.shown and later.shown
    assert later.shown.hung_kg.mean < today.shown.hung_kg.mean


def test_a_day_that_no_figure_covers_is_refused_with_a_finding(side: Side, shop: ShopProfile) -> None:
    page = page_of(side, shop, on=TODAY + timedelta(days=110))
    assert page.shown is None
    assert "day on the rail" in page.findings[-1].where


def test_weighings_move_the_forecast_and_slips_do_not(side: Side, shop: ShopProfile, owner: Person) -> None:
    before = page_of(side, shop).shown
    assert before is not None
    light_kg = Decimal(f"{before.hung_kg.mean - 3:.1f}")
    line = weigh(side, weight_kg=light_kg, typed=f"{light_kg} kg", at=AT, by=owner, key=uuid4())
    after = page_of(side, shop).shown
    assert after is not None
    assert float(light_kg) < after.hung_kg.mean < before.hung_kg.mean - 1
    wrong = Decimal(f"{float(light_kg) * 2.20462:.1f}")  # pounds kept as kilograms all the same
    weigh(
        side,
        weight_kg=wrong,
        typed=f"{wrong} kg",
        at=AT,
        by=owner,
        key=uuid4(),
        corrects=line,
        why="sure of it",
    )
    put_right = page_of(side, shop).shown
    assert put_right is not None
    assert put_right.hung_kg.mean == pytest.approx(before.hung_kg.mean, abs=0.01)


def test_only_the_newest_line_of_a_weighing_counts(side: Side, shop: ShopProfile, owner: Person) -> None:
    first = weigh(side, weight_kg=Decimal("190.0"), typed="190 kg", at=AT, by=owner, key=uuid4())
    again = weigh(
        side, weight_kg=Decimal("191.0"), typed="191 kg", at=AT, by=owner, key=uuid4(), corrects=first
    )
    standing = weighings_of([side])[side.pk]
    assert first not in standing and again in standing
    loss = learned_loss(side, side_on_rail(side, shop, []).hanging, standing)
    assert loss.weighings == len(standing)


def test_a_reading_that_counts_narrows_the_forecast(side: Side, shop: ShopProfile, owner: Person) -> None:
    def width(page: ForecastPage) -> float:
        assert page.shown is not None
        return page.shown.totals["saleable_kg"].p95 - page.shown.totals["saleable_kg"].p05

    usual = width(page_of(side, shop))
    reading = enter_by_hand(side, HandFigures(ribeye_cm2=85.0, fat_mm=11.0), by=owner, at=AT)
    assert width(page_of(side, shop)) == pytest.approx(usual)  # nobody has said yet that it counts
    accept(reading, by=owner, at=AT)
    assert width(page_of(side, shop)) < usual


def test_another_way_is_weighed_piece_by_piece(side: Side, shop: ShopProfile) -> None:
    page = page_of(side, shop, ways={"rib-primal": "bone-in"})
    proposal = page.proposal
    assert proposal is not None and proposal.side is not None and page.shown is not None
    assert dict(proposal.ways) == {"rib-primal": "bone-in"}
    boneless_kg, bone_in_kg = page.shown.kg_by_slug(), proposal.side.kg_by_slug()
    for change in proposal.pieces:
        assert change.more_kg == pytest.approx(
            bone_in_kg.get(change.name, 0) - boneless_kg.get(change.name, 0)
        )
    more = sum(change.more_kg for change in proposal.totals if change.name != "ground_kg")
    assert more == pytest.approx(0.0, abs=0.2)  # the same weight hangs, whatever is cut of it
    bone = next(change for change in proposal.totals if change.name == "bone_kg")
    assert bone.more_kg < 0  # ribs stay on the meat


def test_the_same_again_changes_nothing(side: Side, shop: ShopProfile) -> None:
    proposal = page_of(side, shop, style="boneless").proposal
    assert proposal is not None
    assert proposal.pieces == () and proposal.more_cents == 0


def test_what_is_no_way_is_left_out(side: Side, shop: ShopProfile) -> None:
    proposal = page_of(side, shop, style="<script>", ways={"rib-primal": "origami", "moon": "whole"}).proposal
    assert proposal is not None
    assert proposal.ways == {} and proposal.style == "boneless"


def test_an_older_animal_keeps_no_backbone(side: Side, shop: ShopProfile) -> None:
    """Nothing with backbone in it is food from 30 months on [9 CFR 310.22, USDA FSIS, 2024]."""
    side.animal.age_months = 40
    side.animal.save()
    page = page_of(side, shop, ways={"rib-primal": "bone-in"})
    assert page.proposal is not None and page.proposal.side is not None
    assert any("310.22" in finding.wanted for finding in page.proposal.findings)
    cuts = shipped_cuts()
    food = [piece.slug for piece in page.proposal.side.pieces if piece.use not in ("bone", "fat", "offal")]
    assert not [slug for slug in food if cuts[slug].contains_vertebra]
    taken = {choice.piece: choice for _, listed in page.choices for choice in listed}
    assert "whole" not in taken["rib-primal"].ways


def test_a_way_that_was_asked_for_outright_is_refused_by_the_law(side: Side, shop: ShopProfile) -> None:
    side.animal.age_months = 40
    side.animal.save()
    asked = {"rib-primal": "bone-in", "rib-roast-ready": "steaks, feather bone on"}
    proposal = page_of(side, shop, ways=asked).proposal
    assert proposal is not None
    assert proposal.side is None
    assert any("310.22" in finding.wanted for finding in proposal.findings)


def test_an_older_animal_in_a_bone_in_style_is_boned_and_says_so(side: Side, shop: ShopProfile) -> None:
    side.animal.age_months = 40
    side.animal.save()
    side.style = "bone-in"
    side.save()
    page = page_of(side, shop)
    assert page.shown is not None
    assert any("310.22" in finding.wanted for finding in page.findings)
    assert "t-bone-steak" not in page.shown.kg_by_slug()


def test_a_choice_is_kept_with_its_line_and_the_plan_takes_it(
    side: Side, shop: ShopProfile, owner: Person
) -> None:
    hanging = side_on_rail(side, shop, []).hanging
    service.keep_choice(
        side, hanging, shop, style="boneless", ways={"rib-primal": "bone-in"}, by=owner, why="asked"
    )
    kept = Side.objects.get(pk=side.pk)
    assert (kept.style, kept.ways) == ("boneless", {"rib-primal": "bone-in"})
    line = AuditLine.objects.latest("pk")
    assert (line.what, line.after, line.why) == (
        "ways chosen",
        {"style": "boneless", "ways": kept.ways},
        "asked",
    )
    page = page_of(kept, shop)
    assert page.held.origin == "side" and page.held.ways["rib-primal"] == "bone-in"
    animal = next(one for one in week_of(shop, start=TODAY, days=7).animals if one.id == "C1")
    assert animal.style_name == "boneless" and "rib-primal" not in animal.pin.ways, "its right side is free"
    assert settled_apart()["C1-left"].ways["rib-primal"] == "bone-in"
    assert "rib-primal" not in settled_apart()["C1-right"].ways
    service.leave_to_plan(kept, by=owner)
    assert page_of(Side.objects.get(pk=side.pk), shop).held.origin == "usual"


def test_what_cannot_be_kept_is_said_all_at_once(side: Side, shop: ShopProfile, owner: Person) -> None:
    hanging = side_on_rail(side, shop, []).hanging
    with pytest.raises(CannotDo) as refused:
        service.keep_choice(
            side, hanging, shop, style="origami", ways={"rib-primal": "x", "chuck-roll": "y"}, by=owner
        )
    assert len(refused.value.findings) == 3
    side.state = SideState.CUT
    side.save()
    with pytest.raises(CannotDo, match="does not hang"):
        service.leave_to_plan(side, by=owner)
    assert AuditLine.objects.filter(what__startswith="ways").count() == 0


def broken_into(*pieces: tuple[str, float, float | None]) -> Broken:
    made = tuple(Piece(slug, "rib", "steak", Estimate.exact(kg), lean_pct) for slug, kg, lean_pct in pieces)
    hung = Estimate.exact(sum(kg for _, kg, _ in pieces))
    return Broken(hung, made, {}, None, (), {}, 0.0)  # type: ignore[arg-type]


def test_worth_by_hand() -> None:
    """10 kg at $20, 2 kg at $5, 6 kg of trims 90 and 2 of 50 (80 % lean together) at the price of ground 80."""
    side = broken_into(("ribeye-steak", 10.0, None), ("suet", 2.0, None), ("hide", 3.0, None),
                       ("trim-90", 6.0, 90.0), ("trim-50", 2.0, 50.0))  # fmt: skip
    prices = ListPrices({"ribeye-steak": 2000.0, "suet": 500.0}, ((90.0, 1500.0), (80.0, 1000.0)))
    worth = worth_of(side, prices)
    assert worth.trim_lean_pct == pytest.approx((6 * 90 + 2 * 50) / 8)
    assert worth.cents == 10 * 2000 + 2 * 500 + 8 * 1000
    assert worth.unpriced_kg == 3.0
    assert worth_of(side, ListPrices()).unpriced_kg == 23.0


@pytest.mark.parametrize(
    ("lean_pct", "price"), [(95.0, 1500.0), (90.0, 1500.0), (85.0, 1000.0), (40.0, 1000.0)]
)
def test_trims_make_the_leanest_ground_they_can(lean_pct: float, price: float) -> None:
    assert ListPrices({}, ((90.0, 1500.0), (80.0, 1000.0))).of_trims(lean_pct) == price


def test_the_newest_list_goes_before_the_counters_first_step(demo_shop: object, owner: Person) -> None:
    demand = Demand.objects.get(slug="strip-steak", group="grain-finished")
    first = demand.steps[0]["price_cents_per_kg"]
    assert list_prices("grain-finished").cuts["strip-steak"] == pytest.approx(first)
    assert list_prices("unicorn") == ListPrices()
    newest = PriceList.objects.create(at=AT, by=owner)
    Price.objects.create(
        price_list=newest, slug="strip-steak", group="grain-finished", price_cents_per_kg=4321.0
    )
    prices = list_prices("grain-finished")
    assert prices.cuts["strip-steak"] == 4321.0
    assert [lean for lean, _ in prices.ground] == [90.0, 80.0]


def test_an_owners_own_animal_has_no_worth(side: Side, shop: ShopProfile) -> None:
    side.animal.inspected, side.animal.owner_name = "custom", "A neighbour"
    side.animal.save()
    page = page_of(side, shop)
    assert page.worth is None and not page.is_sold


def test_the_list_says_where_the_ways_come_from(side: Side, shop: ShopProfile, owner: Person) -> None:
    service.keep_choice(side, side_on_rail(side, shop, []).hanging, shop, style="roasts", ways={}, by=owner)
    lines = {str(line.side): line for line in forecast_lines(today=TODAY)}
    assert lines["C1-left"].origin == "side"
    assert lines["W1-left"].origin == "usual"
    assert lines["C1-left"].days_hung == 7  # killed on 2 March
    assert len(lines) == Side.objects.filter(state=SideState.HANGING).count()


def shown_text(content: bytes) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", content.decode()))


def test_the_page_shows_the_figures_of_the_core(cutter_client: Client, side: Side, shop: ShopProfile) -> None:
    answer = cutter_client.get(f"/forecast/{side.pk}/")
    assert answer.status_code == 200
    page = page_of(side, shop)
    text = shown_text(answer.content)
    assert page.shown is not None
    assert f"{page.shown.hung_kg.mean / 0.45359237:,.1f} lb" in text
    for _, lines in page.groups:
        for line in lines:
            assert f"{line.kg.mean:,.1f} kg" in text
    assert "cut_name" not in text and "{%" not in text


def test_looking_keeps_nothing_and_keeping_needs_a_post(owner_client: Client, side: Side) -> None:
    answer = owner_client.get(f"/forecast/{side.pk}/", {"style": "bone-in", "way-rib-primal": "boneless"})
    assert answer.status_code == 200
    assert b"What the other way changes" in answer.content
    assert Side.objects.get(pk=side.pk).style == ""
    assert owner_client.get(f"/forecast/{side.pk}/keep/").status_code == 405
    kept = owner_client.post(f"/forecast/{side.pk}/keep/", {"style": "bone-in", "way-rib-primal": "boneless"})
    assert kept.status_code == 302
    after = Side.objects.get(pk=side.pk)
    assert (after.style, after.ways) == ("bone-in", {"rib-primal": "boneless"})
    assert owner_client.post(f"/forecast/{side.pk}/leave/").status_code == 302
    assert Side.objects.get(pk=side.pk).style == ""


def test_a_refused_choice_comes_back_as_a_message(owner_client: Client, side: Side) -> None:
    answer = owner_client.post(f"/forecast/{side.pk}/keep/", {"style": "origami"}, follow=True)
    assert b"style origami" in answer.content
    assert Side.objects.get(pk=side.pk).style == ""


@pytest.mark.parametrize("on", ["2031-01-01", "yesterday", "2026-02-30"])
def test_a_day_too_far_or_none_is_said(cutter_client: Client, side: Side, on: str) -> None:
    answer = cutter_client.get(f"/forecast/{side.pk}/", {"on": on})
    assert answer.status_code == 400
    assert b'id="form-errors"' in answer.content


def test_the_sheet_is_a_document(cutter_client: Client, side: Side) -> None:
    answer = cutter_client.get(f"/forecast/{side.pk}/forecast.pdf", {"paper": "a4"})
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_a_kind_the_shop_gave_up_is_said(cutter_client: Client, side: Side) -> None:
    side.animal.kind = "gone-kind"
    side.animal.save()
    for address in (f"/forecast/{side.pk}/", f"/forecast/{side.pk}/forecast.pdf"):
        answer = cutter_client.get(address)
        assert answer.status_code == 409
        assert b"gone-kind" in answer.content
    assert cutter_client.get("/forecast/").status_code == 200


def test_few_queries(cutter_client: Client, side: Side, queries: list[dict[str, str]]) -> None:
    for address in ("/forecast/", f"/forecast/{side.pk}/?style=bone-in"):
        queries.clear()
        assert cutter_client.get(address).status_code == 200
        assert len(queries) <= 15, [query["sql"][:80] for query in queries]


def test_the_page_is_light(cutter_client: Client, side: Side) -> None:
    assert len(cutter_client.get(f"/forecast/{side.pk}/?style=steak-and-grind").content) < 150_000


def test_the_counter_may_look_and_not_choose(
    counter_client: Client, visitor_client: Client, side: Side
) -> None:
    answer = counter_client.get(f"/forecast/{side.pk}/?style=bone-in")
    assert answer.status_code == 200
    assert f"/forecast/{side.pk}/keep/".encode() not in answer.content
    assert counter_client.post(f"/forecast/{side.pk}/keep/", {"style": "bone-in"}).status_code == 403
    assert visitor_client.get(f"/forecast/{side.pk}/").status_code == 302
