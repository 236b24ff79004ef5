"""The pages that judge: what stands on them is what the records say, summed up here by hand from the season."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import date
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.db.models import Sum
from django.test import Client
from django.urls import reverse

from gambrel.learn.truth import SideTruth, verdict
from gambrel.shop.pages.learn.judged_words import _VERDICTS, alarms_said, verdict_said
from gambrel.shop.records.models import Bill, Cutting, PackEvent, ScaleWeight, ShopProfile, SideForecast
from gambrel.shop.records.selectors.learn_face import _beside_kind, face_page
from gambrel.shop.records.selectors.learn_hanging import hanging_lines
from gambrel.shop.records.selectors.learn_scores import BidLine, scores_page
from gambrel.shop.records.selectors.learn_truth import TruthPage, truth_page
from gambrel.shop.records.sides_learned import sides_learned, state_now, truth_of

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]
PAGES = ("truth", "scores", "coolers_learned", "rib_face_value")


def text_of(answer: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def weighed(cutting: Cutting) -> dict[str, float]:
    rows = ScaleWeight.objects.standing().filter(cutting=cutting)
    return {slug: float(kg) for slug, kg in rows.values_list("slug").annotate(Sum("weight_kg"))}


def test_coverage_is_the_share_of_pieces_between_the_kept_ends(demo_shop: Any, season: list[Cutting]) -> None:
    """Of every side, the pieces of at least 0.1 kg whose weight lies between the 5th and the 95th percentile that were
    kept; a side counts as one."""
    inside = []
    for cutting in season:
        kg = weighed(cutting)
        if not 0.975 <= sum(kg.values()) / float(cutting.begun_kg) <= 1.005:
            continue
        told = SideForecast.objects.get(side=cutting.side).told["pieces"]
        ends = {
            slug: (one["at_places"][1], one["at_places"][7])
            for slug, one in told.items()
            if one["mean"] >= 0.1
        }
        seen = [low <= kg[slug] <= high for slug, (low, high) in ends.items() if slug in kg]
        inside.append(sum(seen) / len(seen))
    page = truth_page(demo_shop.profile, None)
    ninety = page.coverages[-1]
    assert (ninety.level_pct, ninety.sides_count) == (90, len(inside))
    assert ninety.inside_share == pytest.approx(sum(inside) / len(inside))
    assert sum(month.sides_count for month in page.months) == len(inside)


def test_profit_that_came_is_sold_packs_less_the_bill(demo_shop: Any, season: list[Cutting]) -> None:
    """Of the season everything that was packed is sold, trim as well: cents of the cuts that had a price, by side."""
    page = truth_page(demo_shop.profile, None)
    assert page.animals and page.waiting_count == 0
    key, one = page.animals[-1]
    came = 0
    for cutting in Cutting.objects.filter(side__animal=key):
        priced = SideForecast.objects.get(side=cutting.side).asked["prices"]
        sold = PackEvent.objects.filter(pack__lot__cutting=cutting, what="sold", pack__slug__in=list(priced))
        came += sold.aggregate(cents=Sum("cents"))["cents"]
    bill, shop = Bill.objects.get(animal=key), ShopProfile.objects.get()
    cost = bill.paid_cents + bill.kill_fee_cents + shop.overhead_cents_per_head
    assert one.actual_cents == pytest.approx(
        came - cost, abs=2000
    )  # grams that stuck to the tub have a price too
    total = page.profits[0]
    assert total.animals == len(page.animals)
    assert total.actual_cents == pytest.approx(sum(profit.actual_cents for _, profit in page.animals))


def test_one_kind_is_judged_by_itself(demo_shop: Any, season: list[Cutting], owner_client: Client) -> None:
    every, bison = truth_page(demo_shop.profile, None), truth_page(demo_shop.profile, "bison")
    assert {side.kind for side in bison.sides} == {"bison"} and len(bison.sides) < len(every.sides)
    assert truth_page(demo_shop.profile, "no such kind") == every
    answer = owner_client.get(reverse("truth"), {"kind": "bison"})
    assert answer.context["page"].kind == "bison"
    assert verdict_said(bison) in text_of(answer)


def side_truth(place: float, name: str = "a") -> SideTruth:
    return SideTruth(name, "bison", date(2026, 3, 2), {"brisket": place}, {"brisket": 1.0})


@pytest.mark.parametrize("said", sorted(_VERDICTS))
def test_every_verdict_has_its_sentence(said: str) -> None:
    sides = {
        "too-few": [side_truth(0.5)] * 5,
        "right": [side_truth(0.5)] * 9 + [side_truth(0.99)],
        "too-narrow": [side_truth(0.5)] * 4 + [side_truth(0.99)] * 6,
        "too-wide": [side_truth(0.5)] * 60,
    }[said]
    assert verdict(sides) == said
    page = TruthPage(None, ("bison",), tuple(sides), verdict(sides))
    sentence = verdict_said(page)
    assert "%(" not in sentence and "%%" not in sentence
    assert (f"{round(100 * sum(0.05 <= one.place_share['brisket'] <= 0.95 for one in sides) / len(sides))} %"
            in sentence) or said == "too-few"  # fmt: skip


def test_an_alarm_says_the_cut_the_way_and_since_when() -> None:
    from gambrel.learn.alarm import Alarm

    heavy = Alarm("top-round", date(2026, 2, 1), True, 7, 1.5, 1.2)
    light = Alarm("brisket-whole", date(2026, 2, 8), False, 9, -1.1, 1.1)
    first, second = alarms_said([heavy, light])
    assert "heavier" in first and "2026-02-01" in first and "(7 looks)" in first
    assert "lighter" in second and "2026-02-08" in second


def test_a_cut_that_goes_on_coming_out_heavy_rings_on_the_page(
    demo_shop: Any, season: list[Cutting], owner_client: Client
) -> None:
    """Every later side of a made-up twin season lies at the very end of its forecast of one cut."""
    sides = [truth_of(side) for side in sides_learned(state_now())]
    from dataclasses import replace

    from gambrel.learn.alarm import alarms

    slug = "top-round"
    heavy = [
        replace(one, place_share={**one.place_share, slug: 0.995})
        for one in sides
        if one and slug in one.place_share
    ]
    assert [alarm.slug for alarm in alarms(heavy)][:1] == [slug]
    page = truth_page(demo_shop.profile, None)
    assert slug not in [alarm.slug for alarm in page.alarms]
    assert "No cut departs from its forecast beyond chance." in text_of(owner_client.get(reverse("truth")))


def test_a_scorecard_means_what_its_animals_gave(demo_shop: Any, season: list[Cutting]) -> None:
    """The mean meat share of a supplier's animals: cuts and trim over all that was weighed, both sides together, of
    those of which 95 to 103 % of what came off the rail was weighed."""
    from gambrel.breakdown.balance import group_of
    from gambrel.catalog.cuts import shipped_cuts

    page = scores_page(demo_shop.profile, by="supplier", figure="meat_share")
    by_animal: dict[int, list[Cutting]] = {}
    for cutting in season:
        by_animal.setdefault(cutting.side.animal_id, []).append(cutting)
    shares: dict[str, list[float]] = {}
    for cuttings in by_animal.values():
        lines = [weighed(cutting) for cutting in cuttings]
        shares_kg = [sum(kg.values()) / float(one.begun_kg) for kg, one in zip(lines, cuttings, strict=True)]
        if any(not 0.95 <= share <= 1.03 for share in shares_kg):
            continue
        meat = sum(kg for line in lines for slug, kg in line.items()
                   if group_of(shipped_cuts()[slug]) in ("cuts", "trim"))  # fmt: skip
        name = cuttings[0].side.animal.supplier.name
        shares.setdefault(name, []).append(meat / sum(sum(line.values()) for line in lines))
    assert {line.name: (line.animals_count, pytest.approx(line.usual.mean)) for line in page.lines} == {
        name: (len(of), sum(of) / len(of)) for name, of in shares.items()
    }


def test_who_alone_brings_bison_is_shown_and_not_compared(
    demo_shop: Any, season: list[Cutting], owner_client: Client
) -> None:
    page = scores_page(demo_shop.profile, by="supplier", figure="meat_share")
    cards = {line.name: line.card for line in page.lines}
    assert cards["Our own herd"] is None and cards["Larkspur Draw"] is not None
    answer = owner_client.get(reverse("scores"), {"by": "supplier", "figure": "meat_share"})
    assert "cannot be compared" in text_of(answer)


@pytest.mark.parametrize("by", ["supplier", "kind", "animal", "nothing such"])
@pytest.mark.parametrize("figure", ["meat_share", "grade", "profit_cents_per_kg", "nothing such"])
def test_every_scorecard_opens(
    demo_shop: Any, season: list[Cutting], owner_client: Client, by: str, figure: str
) -> None:
    answer = owner_client.get(reverse("scores"), {"by": by, "figure": figure})
    page = answer.context["page"]
    assert answer.status_code == 200
    assert page.by == (by if by != "nothing such" else "supplier")
    assert page.figure == (figure if figure != "nothing such" else "meat_share")
    assert all(line.name in text_of(answer) or by == "kind" for line in page.lines)


def test_without_a_plan_the_bid_says_what_to_do(
    demo_shop: Any, season: list[Cutting], owner_client: Client
) -> None:
    assert "there is none yet" in text_of(owner_client.get(reverse("scores")))


def test_a_bid_leads_to_the_bid_page_filled_in() -> None:
    from gambrel.measures import Estimate
    from gambrel.shop.pages.learn.judged_views import _bid_address

    line = BidLine("Larkspur Draw", "grass-finished", 800.0, Estimate(881.85, 820.0, 940.0))
    asked = parse_qs(urlsplit(_bid_address(line, "lb")).query)
    assert asked == {
        "kind": ["grass-finished"],
        "on": ["rail"],
        "offer": ["4.00/lb"],
    }  # 881.85 x 0.45359237 = 400.0
    assert parse_qs(urlsplit(_bid_address(line, "kg")).query)["offer"] == ["8.82/kg"]
    below = BidLine("x", "bison", -10.0, Estimate(-5.0, -9.0, 0.0))
    assert "offer" not in parse_qs(urlsplit(_bid_address(below, "kg")).query)


def test_the_coolers_take_what_the_season_says_they_take(
    demo_shop: Any, season: list[Cutting], owner_client: Client
) -> None:
    """The season was made with 0.06 % a day more than the book: by day 14 0.84 % of the hot weight."""
    lines = {line.kind: line for line in hanging_lines()}
    grain = lines["grain-finished"]
    assert grain.day == 14 and grain.sides_count == 16
    assert grain.more_share == pytest.approx(14 * 0.0006, abs=0.002) and grain.is_apart
    text = text_of(owner_client.get(reverse("coolers_learned")))
    assert "Hanging cooler" in text and "Dry-ageing room" in text and "apart from the book" in text


def test_readings_are_set_beside_their_own_kind() -> None:
    assert _beside_kind([1.0, 3.0, 10.0, 14.0], ["a", "a", "b", "b"]) == [-1.0, 1.0, -2.0, 2.0]


def test_fat_cover_tells_of_the_meat_and_marbling_does_not(demo_shop: Any, season: list[Cutting]) -> None:
    """The season's animals gave less meat the fatter they were (the book's own slope); marbling was drawn by itself."""
    page = face_page()
    values = {value.figure: value for value in page.values}
    assert page.animals_count == 14
    fat, marbling = values["fat_mm"], values["marbling_score"]
    assert fat.error_after < 0.8 * fat.error_before and fat.log_score > 0.2
    assert not marbling.helps and fat.nearer.mean > 4 * abs(marbling.nearer.mean)


@pytest.mark.parametrize("name", [*PAGES, "learn", "yields"])
def test_no_page_asks_more_than_fifteen_times(
    demo_shop: Any, season: list[Cutting], owner_client: Client, queries: list[dict[str, str]], name: str
) -> None:
    owner_client.get(reverse(name))
    queries.clear()
    assert owner_client.get(reverse(name)).status_code == 200
    assert len(queries) <= 15, [one["sql"][:90] for one in queries]


def test_the_cutter_reads_the_coolers_in_spanish_and_not_the_money(
    demo_shop: Any, season: list[Cutting], cutter_client: Client
) -> None:
    assert "Lo que se llevan las cámaras" in text_of(cutter_client.get(reverse("coolers_learned")))
    assert [
        cutter_client.get(reverse(name)).status_code for name in ("truth", "scores", "rib_face_value")
    ] == [403] * 3
