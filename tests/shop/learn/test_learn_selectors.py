"""What the learn pages are made of: own shares by hand, which sides teach, which weighing tells the chill, races."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from gambrel.catalog.animal import Animal as Carcass
from gambrel.catalog.kinds import shipped_kinds
from gambrel.learn.block import BlockTest
from gambrel.learn.mistakes import Cause, Explanation, Line, Mistake
from gambrel.shop.pages.learn import words
from gambrel.shop.records import shop_yields
from gambrel.shop.records.models import Cutting, ScaleWeight, Weighing
from gambrel.shop.records.selectors import learn_yields
from gambrel.shop.records.selectors.learn_balance import (
    SideBalancePage,
    SideChain,
    learn_page,
    side_balance_page,
)
from gambrel.shop.records.services import rail
from gambrel.shop.records.services.lessons import learn_from

Cut = Callable[..., Cutting]


def block_test(**weighed_kg: float) -> BlockTest:
    kind = shipped_kinds()["bison"]
    return BlockTest(Carcass(kind=kind, sex=kind.sexes[0], hot_kg=250.0), {}, weighed_kg, "", "", 1.0)


def test_the_usual_carcass_is_the_mean_of_what_is_known_of_those_cut() -> None:
    kind = shipped_kinds()["bison"]
    seen = [
        Carcass(kind=kind, sex="bull", hot_kg=300.0, fat_mm=8.0, kph_pct=2.0),
        Carcass(kind=kind, sex="bull", hot_kg=340.0, kph_pct=3.0),
    ]
    usual = learn_yields.usual_carcass(kind, seen)
    assert (usual.hot_kg, usual.fat_mm, usual.ribeye_cm2, usual.kph_pct) == (320.0, 8.0, None, 2.5)
    nobody = learn_yields.usual_carcass(kind, [])
    assert (nobody.hot_kg, nobody.kph_pct) == (kind.hot_kg.mean, None)


def test_own_shares_by_hand() -> None:
    """Shares 0.10, 0.12, 0.14: mean 0.12, s = 0.02, t(0.95, 2) = 2.920 [Student's table], sqrt(4/3) = 1.1547:
    half = 2.920 x 0.02 x 1.1547 = 0.06743."""
    tests = [
        block_test(loin=10.0, rest=90.0),
        block_test(loin=6.0, rest=44.0),
        block_test(loin=28.0, rest=172.0),
    ]
    own, count = learn_yields._own("loin", tests)
    assert own is not None and count == 3
    assert own.mean == pytest.approx(0.12)
    assert (own.p05, own.p95) == (pytest.approx(0.05257, abs=1e-5), pytest.approx(0.18743, abs=1e-5))


def test_two_sides_have_a_mean_and_no_interval() -> None:
    own, count = learn_yields._own("loin", [block_test(loin=1.0, rest=9.0), block_test(loin=3.0, rest=7.0)])
    assert own is not None and count == 2
    assert own.mean == own.p05 == own.p95 == pytest.approx(0.2)


def test_a_cut_that_was_not_weighed_on_a_side_leaves_that_side_out() -> None:
    """1 of 10 and 3 of 10; the side without it is none of nought, and does not pull the mean down."""
    tests = [block_test(loin=1.0, rest=9.0), block_test(rest=10.0), block_test(loin=3.0, rest=7.0)]
    own, count = learn_yields._own("loin", tests)
    assert own is not None and (own.mean, count) == (pytest.approx(0.2), 2)
    assert learn_yields._own("tongue", tests) == (None, 0)


def test_an_interval_of_shares_does_not_go_below_nothing() -> None:
    tests = [
        block_test(loin=0.1, rest=99.9),
        block_test(loin=0.1, rest=99.9),
        block_test(loin=9.0, rest=91.0),
    ]
    own, _ = learn_yields._own("loin", tests)
    assert own is not None and own.p05 == 0.0 and own.p95 > own.mean > 0


@pytest.mark.parametrize("df", [2, 3, 11, 14, 16, 29, 31, 59, 61, 500])
def test_between_two_rows_of_the_table_the_wider_is_taken(df: int) -> None:
    """Student's t by its own integral, half-way by bisection: the table's entry is never narrower."""
    norm = math.exp(math.lgamma((df + 1) / 2) - math.lgamma(df / 2)) / math.sqrt(df * math.pi)

    def inside(t: float) -> float:
        steps = 2000
        at = [(t * number / steps) for number in range(steps + 1)]
        heights = [norm * (1 + one * one / df) ** (-(df + 1) / 2) for one in at]
        return t / steps * (sum(heights) - (heights[0] + heights[-1]) / 2)

    low, high = 1.0, 4.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle) < 0.45 else (low, middle)
    assert low - 0.0006 <= learn_yields._t95(df) <= low + 0.16


def weighed_kg(cutting: Cutting) -> Decimal:
    lines = ScaleWeight.objects.filter(cutting=cutting, taken_out=False, corrected_by__isnull=True)
    return sum((line.weight_kg for line in lines), Decimal(0))


def weighed_in_all(cutting: Cutting, wanted_kg: Decimal) -> None:
    """The heaviest piece is put right so that the whole side was weighed at `wanted_kg`."""
    heavy = ScaleWeight.objects.filter(cutting=cutting).order_by("-weight_kg")[0]
    ScaleWeight.objects.create(cutting=cutting, slug=heavy.slug, typed="put right", at=heavy.at, corrects=heavy,
                               weight_kg=heavy.weight_kg + wanted_kg - weighed_kg(cutting))  # fmt: skip
    learn_from(cutting)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("share", "teaches"),
    [("0.9740", False), ("0.9760", True), ("1.0000", True), ("1.0040", True), ("1.0060", False)],
)
def test_only_a_side_that_balances_teaches(demo_shop: Any, cut_side: Cut, share: str, teaches: bool) -> None:
    """From 97.5 % to 100.5 % of what came off the rail."""
    cutting = cut_side()
    weighed_in_all(cutting, Decimal(share) * cutting.begun_kg)
    known = shop_yields.taught(demo_shop.profile)
    assert (len(known.tests), known.left_out_count) == ((1, 0) if teaches else (0, 1))
    assert (known.edition == "book") is not teaches
    if teaches:
        assert sum(known.tests[0].weighed_kg.values()) == pytest.approx(
            float(cutting.begun_kg) * float(share), abs=0.002
        )


@pytest.mark.django_db
def test_an_edition_follows_the_lines_and_not_the_order_they_are_read_in(
    demo_shop: Any, cut_side: Cut
) -> None:
    cut_side()
    one = shop_yields.taught(demo_shop.profile).edition
    second = cut_side()
    two = shop_yields.taught(demo_shop.profile).edition
    assert len({one, two}) == 2 and all(len(name) == shop_yields.EDITION_LETTERS for name in (one, two))
    line = ScaleWeight.objects.filter(cutting=second).order_by("weight_kg")[0]
    ScaleWeight.objects.create(cutting=second, slug=line.slug, weight_kg=line.weight_kg, typed=line.typed, at=line.at,
                               corrects=line)  # fmt: skip
    assert learn_from(second) is None
    assert (
        shop_yields.taught(demo_shop.profile).edition == two
    )  # put right to the same weight: nothing was learned
    shop = demo_shop.profile
    shop.trim = "light" if shop.trim != "light" else "usual"
    assert shop_yields.taught(shop).edition != two  # lines of another trim are other models


def test_two_readers_at_once_learn_one_edition(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server answers in several threads: who comes second waits for the first and breaks nothing."""
    learned: list[str] = []

    class Slow:
        @staticmethod
        def none(_: object) -> Slow:
            return Slow()

        def learned(self, _: object) -> str:
            time.sleep(0.05)
            learned.append("once more")
            return "models"

    monkeypatch.setattr(shop_yields, "ShopYields", Slow)
    known = shop_yields.Taught((block_test(loin=1.0),), "usual", f"test {uuid4()}", 0)
    begin, got = threading.Barrier(6), []

    def read() -> None:
        begin.wait()
        try:
            got.append(shop_yields.yields_of(known))
        except BaseException as error:  # noqa: BLE001  told by the test below
            got.append(error)

    readers = [threading.Thread(target=read) for _ in range(6)]
    for reader in readers:
        reader.start()
    for reader in readers:
        reader.join()
    shop_yields._learned.cache_clear()
    assert got == ["models"] * 6
    assert len(learned) == 1


def without_weighings(cutting: Cutting) -> Cutting:
    """The side as if it had not been weighed between the hot scale and the block."""
    for line in Weighing.objects.filter(
        side=cutting.side, at__lt=cutting.begun_at, corrected_by__isnull=True
    ):
        rail.weigh(cutting.side, weight_kg=line.weight_kg, typed=line.typed, at=line.at, by=None, key=uuid4(),
                   corrects=line, taken_out=True, why="for this test")  # fmt: skip
    return cutting


@pytest.mark.django_db
def test_a_weighing_of_the_second_day_tells_the_chill(demo_shop: Any, cut_side: Cut) -> None:
    """The last one within forty hours of hanging; a later one is hanging, and one taken out is none."""
    cutting = without_weighings(cut_side())
    side, hot_kg = cutting.side, float(cutting.side.hot_kg)
    assert not learn_page(demo_shop.profile).sides[0].chain.chill_weighed  # type: ignore[union-attr]

    def weigh(share: float, hours: int, **more: Any) -> Any:
        kg = Decimal(f"{hot_kg * share:.2f}")
        return rail.weigh(side, weight_kg=kg, typed=f"{kg} kg", at=side.hung_at + timedelta(hours=hours), by=None,
                          key=uuid4(), **more)  # fmt: skip

    weigh(0.990, 20)
    weigh(0.985, 39)
    weigh(0.975, 41)
    wrong = weigh(0.999, 40)
    weigh(0.999, 40, corrects=wrong, taken_out=True, why="another side")
    chain = side_balance_page(cutting, demo_shop.profile).side.chain
    assert chain is not None and chain.chill_weighed
    assert chain.chill_kg == pytest.approx(0.015 * hot_kg, abs=0.006)
    assert chain.hanging_kg == pytest.approx(hot_kg - float(cutting.begun_kg) - chain.chill_kg)


@pytest.mark.django_db
def test_a_side_heavier_off_the_rail_than_chilled_has_no_chain_and_is_open(
    demo_shop: Any, cut_side: Cut, owner_client: Client
) -> None:
    cutting = without_weighings(cut_side())
    kg = cutting.begun_kg - Decimal("0.5")
    rail.weigh(cutting.side, weight_kg=kg, typed=f"{kg} kg", at=cutting.side.hung_at + timedelta(hours=20), by=None,
               key=uuid4())  # fmt: skip
    page = learn_page(demo_shop.profile)
    assert page.sides[0].chain is None and page.open == page.sides and page.total is None and page.days == ()
    for address in (reverse("learn"), reverse("side_balance", args=[cutting.pk])):
        assert owner_client.get(address).status_code == 200


CAUSED = Line("left", "short-ribs", 9.0, 0.01, key="41")


def cause(mistake: Mistake, probability: float = 0.3, line: Line | None = CAUSED) -> Cause:
    return Cause(mistake, probability, probability, line, 4.082, "short-ribs", "left")


def page_with(cutting: Cutting, *causes: Cause) -> SideBalancePage:
    side = SideChain(cutting, "grain-finished", None)
    return SideBalancePage(
        side, Explanation(0.1, causes) if causes else None, (), {"left": cutting.pk, "right": 77}
    )


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_slip_has_a_sentence_and_a_way_to_put_it_right(language: str, cut_side: Cut) -> None:
    """9 kg are 9 / 0.45359237 = 19.84 lb, and 4.082 kg are 9.00 lb."""
    cutting, sentences = cut_side(), {}
    for mistake in Mistake:
        bare = mistake in (Mistake.NEVER_WEIGHED, Mistake.UNKNOWN)
        with translation.override(language):
            (told,) = words.causes_said(
                page_with(cutting, cause(mistake, line=None if bare else CAUSED)), unit="lb"
            )
        assert "%(" not in told.sentence and all(way.do for way in told.ways)
        sentences[mistake] = told.sentence
        address = told.ways[0].address
        if bare:
            assert f"/{cutting.pk}/" in address
        else:
            assert address.startswith(reverse("correct_weight", args=[41])) and "19.84 lb" in told.sentence
        if mistake in (
            Mistake.POUNDS,
            Mistake.KILOGRAMS,
            Mistake.DECIMAL,
            Mistake.TARE,
            Mistake.NEVER_WEIGHED,
        ):
            assert "9.00 lb" in told.sentence
    assert len(set(sentences.values())) == len(Mistake)  # no two slips are told alike
    assert ("pounds taken" in sentences[Mistake.POUNDS]) is (language == "en")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("mistake", "filled_in"),
    [
        (Mistake.POUNDS, {"typed": "9.00 lb"}),  # 4.082 kg / 0.45359237
        (Mistake.KILOGRAMS, {"typed": "4.08 kg"}),
        (Mistake.DECIMAL, {"typed": "4.08 kg"}),
        (Mistake.TARE, {"typed": "9.00 kg", "tare": "4.92 kg"}),  # 9.00 on the scale, 4.082 without the tub
        (Mistake.OTHER_CUT, {"slug": "short-ribs"}),
        (Mistake.TWICE, {}),
        (Mistake.OTHER_SIDE, {}),
    ],
)
def test_the_form_that_puts_a_slip_right_is_filled_in(
    cut_side: Cut, owner_client: Client, mistake: Mistake, filled_in: dict[str, str]
) -> None:
    cutting = cut_side()
    line = ScaleWeight.objects.filter(cutting=cutting).order_by("-weight_kg")[0]
    found = cause(mistake, line=Line("left", line.slug, 9.0, 0.01, key=str(line.pk)))
    (told,) = words.causes_said(page_with(cutting, found), unit="kg")
    answer = owner_client.get(told.ways[0].address)
    form = answer.context["form"]
    shown = {name: form[name].value() for name in ("slug", "typed", "tare", "why")}
    assert shown == {"slug": line.slug, "typed": line.typed, "tare": "", "why": told.sentence} | filled_in
    assert told.ways[0].address.endswith("#out") is (mistake in (Mistake.TWICE, Mistake.OTHER_SIDE))


@pytest.mark.django_db
def test_a_tub_that_was_taken_off_with_none_there_is_put_back(cut_side: Cut) -> None:
    """9 kg net with 2 kg taken off; 11 kg were meat: the scale's 11 stand, and no tare."""
    from dataclasses import replace

    line = Line("left", "short-ribs", 9.0, 0.01, tare_kg=2.0, key="41")
    of = replace(cause(Mistake.TARE, line=line), right_kg=11.0)
    assert words._filled_in(of, line, "kg") == {"typed": "11.00 kg", "tare": ""}
    pounds = replace(cause(Mistake.POUNDS, line=line), right_kg=4.0)
    assert words._filled_in(pounds, line, "kg") == {"typed": "13.23 lb"}  # 6 kg with the tub


@pytest.mark.django_db
def test_a_piece_of_the_other_side_is_taken_out_here_and_weighed_there(cut_side: Cut) -> None:
    from dataclasses import replace

    cutting = cut_side()
    of = replace(cause(Mistake.OTHER_SIDE), right_side="right")
    (told,) = words.causes_said(page_with(cutting, of), unit="kg")
    assert [way.address for way in told.ways][1] == f"{reverse('cutting', args=[77])}?piece=short-ribs#weigh"
    missing = replace(cause(Mistake.NEVER_WEIGHED, line=None), right_side="right")
    (told,) = words.causes_said(page_with(cutting, missing), unit="kg")
    assert told.ways[0].address == f"{reverse('cutting', args=[77])}?piece=short-ribs#weigh"


@pytest.mark.django_db
def test_only_the_likeliest_causes_are_shown_and_none_where_nothing_was_looked_for(cut_side: Cut) -> None:
    cutting = cut_side()
    many = [cause(Mistake.TWICE, probability) for probability in (0.4, 0.2, 0.1, 0.05, 0.04)]
    said = words.causes_said(page_with(cutting, *many), unit="kg")
    assert [one.probability_share for one in said] == [0.4, 0.2, 0.1, 0.05]
    few = page_with(cutting, cause(Mistake.TWICE, 0.3), cause(Mistake.DECIMAL, 0.019))
    assert len(words.causes_said(few, unit="kg")) == 1
    assert words.causes_said(page_with(cutting), unit="kg") == []
