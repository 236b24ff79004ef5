"""Book, own and both: worked by hand where the shop's own figures are, and moved only by sides that balance."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.demo_history import cut_and_sell
from gambrel.shop.demo_season import WEEKS, grind_and_share
from gambrel.shop.records.grinding import record_of
from gambrel.shop.records.models import Cutting, ScaleWeight
from gambrel.shop.records.selectors.learn_balance import learn_page, side_balance_page
from gambrel.shop.records.selectors.learn_yields import _T95, YieldsPage, yields_page
from gambrel.shop.records.services.lessons import learn_from
from gambrel.shop.records.services.shares import sides_left
from gambrel.shop.records.shop_yields import taught, yields_of
from gambrel.shop.records.tubs import tubs_on_hand

pytestmark = pytest.mark.django_db


def test_the_season_teaches_and_its_two_slips_are_found(demo_shop: Any, season: list[Cutting]) -> None:
    known = taught(demo_shop.profile)
    assert len(season) == 2 * WEEKS
    # the side with a line twice and the side with a piece left out do not balance, and teach nothing
    assert (len(known.tests), known.left_out_count) == (2 * WEEKS - 2, 2)
    opened = {side.cutting for side in learn_page(demo_shop.profile).open}
    assert {season[-1], season[-3]} <= opened
    explanation = side_balance_page(season[-1], demo_shop.profile).explanation
    assert explanation is not None and explanation.likeliest is not None
    assert explanation.likeliest.mistake.value == "twice"


def test_own_is_the_mean_of_the_sides_with_students_interval(demo_shop: Any, season: list[Cutting]) -> None:
    page = yields_page(demo_shop.profile, "bison")
    line = next(one for one in page.lines if one.own_count > 3)
    shares = []
    for cutting in season:
        if cutting.side.animal.kind != "bison":
            continue
        kg = [(one.slug, float(one.weight_kg)) for one in ScaleWeight.objects.filter(
            cutting=cutting, taken_out=False, corrected_by__isnull=True)]  # fmt: skip
        whole = sum(weight for _, weight in kg)
        if whole >= 0.975 * float(cutting.begun_kg):
            shares.append(sum(weight for slug, weight in kg if slug == line.slug) / whole)
    n, mean = len(shares), sum(shares) / len(shares)
    sd = math.sqrt(sum((one - mean) ** 2 for one in shares) / (n - 1))
    assert line.own is not None and line.own_count == n == page.of_kind_count
    assert line.own.mean == pytest.approx(mean)
    known = max(df for df in _T95 if df <= n - 1)
    assert line.own.p95 - mean == pytest.approx(_T95[known] * sd * math.sqrt(1 + 1 / n))


@pytest.mark.parametrize("df", sorted(_T95))
def test_the_table_of_t_leaves_a_twentieth_above(df: int) -> None:
    """The density of Student's t summed up by the trapezium rule: half a thousandth of the table's last digit."""
    norm = math.gamma((df + 1) / 2) / (math.sqrt(df * math.pi) * math.gamma(df / 2))
    steps = 4000
    width = _T95[df] / steps
    heights = [norm * (1 + (width * at) ** 2 / df) ** (-(df + 1) / 2) for at in range(steps + 1)]
    inside = width * (sum(heights) - (heights[0] + heights[-1]) / 2)
    assert 0.5 - inside == pytest.approx(0.05, abs=2e-4)


def shown(page: YieldsPage) -> dict[str, float]:
    return {line.slug: line.moved_share for line in page.lines}


def test_both_lies_between_book_and_own_where_the_shop_cuts_apart(
    demo_shop: Any, season: list[Cutting]
) -> None:
    """Grain-finished sides of the season were made with more fat trimmed by one supplier, less trim by another."""
    page = yields_page(demo_shop.profile, "grain-finished")
    assert page.of_kind_count >= 10
    far = [line for line in page.lines if line.own and line.book.mean > 0.01
           and abs(line.own.mean / line.book.mean - 1.0) > 0.02]  # fmt: skip
    assert len(far) >= 2
    moved = [(line.both.mean - line.book.mean) / (line.own.mean - line.book.mean) for line in far if line.own]
    assert sum(0.0 < share < 1.3 for share in moved) >= 0.8 * len(moved)


def test_an_edition_is_named_by_its_sides_and_comes_out_again_to_the_last_digit(
    demo_shop: Any, season: list[Cutting]
) -> None:
    first = taught(demo_shop.profile)
    again = taught(demo_shop.profile)
    assert first.edition == again.edition
    animal = first.tests[0].animal
    learned = yields_of(first).models(animal)
    from gambrel.shop.records import shop_yields

    shop_yields._learned.cache_clear()
    anew = yields_of(again).models(animal)
    assert learned.keys() == anew.keys()
    for key, model in learned.items():
        one, two = (
            each.forecast([[0.0] * len(each.covariates)], draws=50, seed=3) for each in (model, anew[key])
        )
        assert (one == two).all()
    line = ScaleWeight.objects.filter(cutting=season[0]).first()
    assert line is not None
    ScaleWeight.objects.create(cutting=line.cutting, slug=line.slug, weight_kg=line.weight_kg + 1, typed="?",
                               at=line.at, corrects=line)  # fmt: skip
    learn_from(line.cutting)
    assert taught(demo_shop.profile).edition != first.edition


def test_the_page_shows_drawing_and_table_to_the_owner_alone(
    demo_shop: Any, season: list[Cutting], owner_client: Client, cutter_client: Client
) -> None:
    answer = owner_client.get(reverse("yields"), {"kind": "bison"})
    text = answer.content.decode()
    page = answer.context["page"]
    assert page.kind.slug == "bison" and page.edition in text and text.count("<svg") >= 1
    assert text.count("<tr>") >= len(page.lines)
    assert owner_client.get(reverse("yields"), {"kind": "nothing-such"}).status_code == 200
    assert cutter_client.get(reverse("yields")).status_code == 403


def test_trim_of_the_season_is_not_offered_to_the_grinder(demo_shop: Any, season: list[Cutting]) -> None:
    trims = {line.pk for line in ScaleWeight.objects.filter(cutting__in=season, slug__startswith="trim-")}
    assert trims and not {tub.weight.pk for tub in tubs_on_hand(demo_shop.today) if tub.weight} & trims


def test_yesterdays_batch_and_share_of_the_demo_are_whole(demo_shop: Any, season: list[Cutting]) -> None:
    cut_and_sell(demo_shop.today)
    batch, share = grind_and_share(demo_shop.today)
    record = record_of(batch)
    assert record.missing() == () and batch.ended_at is not None and batch.lot.code == batch.code
    # a half of each of three tubs, fat as it was tested a point and a half above what was expected
    assert batch.lean_tests.get().fat_pct == pytest.approx(100 - (record.lean_pct or 0) + 1.5, abs=0.06)
    assert share.portion == "quarter" and sides_left(share.animal) == 1.5
