"""Where a side's weight went: the links add up to the hot weight, and a planted slip is named and put right."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.learn.mistakes import Mistake
from gambrel.shop.records.models import Cutting, ScaleWeight
from gambrel.shop.records.selectors.learn_balance import learn_page, side_balance_page

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]


def text_of(answer: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def test_a_side_weighed_to_the_last_piece_closes(demo_shop: Any, cut_side: Cut) -> None:
    cutting = cut_side()
    page = side_balance_page(cutting, demo_shop.profile)
    chain = page.side.chain
    assert chain is not None and chain.closes
    weighed_kg = sum(float(line.weight_kg) for line in ScaleWeight.objects.filter(cutting=cutting))
    links = chain.step_kg
    assert sum(links.values()) == pytest.approx(float(cutting.side.hot_kg), abs=1e-9)
    assert sum(links[one] for one in ("cuts", "trim", "bone", "fat")) == pytest.approx(weighed_kg)
    assert links["chill"] + links["hanging"] == pytest.approx(float(cutting.side.hot_kg - cutting.begun_kg))
    assert page.explanation is not None and page.explanation.right_probability > 0.5


def slip_of(cutting: Cutting, demo_shop: Any) -> Mistake:
    explanation = side_balance_page(cutting, demo_shop.profile).explanation
    assert explanation is not None and explanation.likeliest is not None
    return explanation.likeliest.mistake


def test_a_weight_stored_twice_is_named_and_put_right(
    demo_shop: Any, cut_side: Cut, owner_client: Client
) -> None:
    cutting = cut_side()
    heavy = (
        ScaleWeight.objects.filter(cutting=cutting).exclude(slug__startswith="trim").order_by("-weight_kg")[0]
    )
    ScaleWeight.objects.create(cutting=cutting, slug=heavy.slug, weight_kg=heavy.weight_kg, typed=heavy.typed,
                               at=heavy.at)  # fmt: skip
    assert slip_of(cutting, demo_shop) is Mistake.TWICE
    page = learn_page(demo_shop.profile)
    assert cutting in [side.cutting for side in page.open]
    answer = owner_client.get(reverse("side_balance", args=[cutting.pk]))
    assert "was stored twice: take one line out" in text_of(answer)
    cause = answer.context["causes"][0]
    address = cause.ways[0].address
    assert owner_client.get(address).status_code == 200
    number = int(address.split("?")[0].rstrip("/").rsplit("/", 1)[1])
    taken = owner_client.post(reverse("take_out_weight", args=[number]), {"why": "stored twice"})
    assert taken.status_code == 302
    assert side_balance_page(cutting, demo_shop.profile).side.chain.closes  # type: ignore[union-attr]


def test_pounds_taken_for_kilograms_are_named_with_the_right_weight(
    demo_shop: Any, cut_side: Cut, owner_client: Client
) -> None:
    cutting = cut_side()
    heavy = (
        ScaleWeight.objects.filter(cutting=cutting).exclude(slug__startswith="trim").order_by("-weight_kg")[3]
    )
    wrong = f"{float(heavy.weight_kg) * 2.20462:.2f}"
    ScaleWeight.objects.create(cutting=cutting, slug=heavy.slug, weight_kg=wrong, typed=f"{wrong} kg", at=heavy.at,
                               corrects=heavy)  # fmt: skip
    assert slip_of(cutting, demo_shop) is Mistake.POUNDS
    cause = owner_client.get(reverse("side_balance", args=[cutting.pk])).context["causes"][0]
    pounds = f"{float(heavy.weight_kg) / 0.45359237:.1f}"  # the owner reads pounds
    assert pounds in cause.sentence


def test_the_page_says_what_does_not_close_and_adds_days_up(
    demo_shop: Any, cut_side: Cut, owner_client: Client, queries: list[dict[str, str]]
) -> None:
    cut_side()
    cut_side()
    queries.clear()
    answer = owner_client.get(reverse("learn"))
    assert len(queries) <= 25
    page = answer.context["page"]
    assert page.total.sides == 2 and len(page.days) == 1
    assert page.total.hot_kg == pytest.approx(sum(float(side.cutting.side.hot_kg) for side in page.sides))
    assert page.total.step_share["chill"] == pytest.approx(page.total.chill_kg / page.total.hot_kg)


def test_before_anything_was_cut_the_page_says_what_to_do(owner_client: Client, demo_shop: Any) -> None:
    assert "No side was cut yet" in text_of(owner_client.get(reverse("learn")))


def test_only_those_who_cut_and_the_owner_see_it(counter_client: Client, cutter_client: Client) -> None:
    assert counter_client.get(reverse("learn")).status_code == 403
    assert "Lo que enseñó la báscula" in text_of(cutter_client.get(reverse("learn")))


def test_a_side_still_on_the_block_has_no_page(owner_client: Client, demo_shop: Any) -> None:
    assert owner_client.get(reverse("side_balance", args=[987654])).status_code == 404
