"""What the block shows: ways by plan, side or style; what is expected; groups as the work goes; doubts in words."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from gambrel.breakdown.doubt import Doubt, Known
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import Estimate
from gambrel.measures.units import KG_PER_LB
from gambrel.shop.clock import now, today
from gambrel.shop.pages.block.forms import said_with_unit
from gambrel.shop.pages.block.words import doubt_findings
from gambrel.shop.records.models import (
    Animal,
    Cutting,
    Plan,
    PlannedSide,
    PlanState,
    ShopProfile,
    Side,
)  # fmt: skip
from gambrel.shop.records.selectors.block import block_page, cutting_page, known_of, other_pieces
from gambrel.shop.records.selectors.block_expected import (
    expected_of,
    hanging_animal,
    ways_for,
    ways_open,
)  # fmt: skip
from gambrel.shop.records.services import block as service
from gambrel.shop.records.side_forecasts import TOGETHER

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def shop() -> ShopProfile:
    return ShopProfile.objects.get()


def side(tag: str = "C1", half: str = "left") -> Side:
    return Side.objects.select_related("animal").get(animal__tag=tag, half=half)


def begun(one: Side | None = None, style: str = "boneless", kg: str = "190.0") -> Cutting:
    one = one or side()
    ways, _origin, _changed = ways_for(one, hanging_animal(one), shop(), style=style)
    return service.begin(one, weight_kg=Decimal(kg), typed=f"{kg} kg", ways=ways, by=None, key=uuid4())


def weigh(cutting: Cutting, slug: str, kg: str, typed: str = "") -> None:
    service.weigh_piece(cutting, slug, weight_kg=Decimal(kg), typed=typed or f"{kg} kg", key=uuid4(), by=None)


def accept(one: Side, ways: dict[str, str], *, in_days: int = 0) -> None:
    plan = Plan.objects.create(
        asked_at=now(), start_on=today(), days=7, state=PlanState.DONE, accepted_at=now()
    )
    day = today() + timedelta(days=in_days)
    PlannedSide.objects.create(plan=plan, side=one, day=day, weight_kg=190.0, ways=ways)


def test_the_usual_style_where_nothing_was_chosen() -> None:
    ways, origin, changed = ways_for(side(), hanging_animal(side()), shop())
    assert (origin, ways["rib-primal"], changed) == ("boneless", "boneless", ())


def test_what_was_chosen_for_the_side_comes_before_the_usual_style() -> None:
    Side.objects.filter(pk=side().pk).update(style="bone-in", ways={"brisket-bone-in": "boneless"})
    ways, origin, _changed = ways_for(side(), hanging_animal(side()), shop())
    assert (origin, ways["rib-primal"], ways["brisket-bone-in"]) == ("bone-in", "bone-in", "boneless")


def test_the_plan_comes_before_the_side_and_a_style_that_is_named_before_both() -> None:
    one = side()
    accept(one, {**shipped_tree().style("boneless", "cattle"), "rib-primal": "bone-in"})
    ways, origin, _changed = ways_for(one, hanging_animal(one), shop())
    assert (origin, ways["rib-primal"]) == ("plan", "bone-in")
    assert ways_for(one, hanging_animal(one), shop(), style="boneless")[0]["rib-primal"] == "boneless"


def test_a_way_that_the_law_closes_gives_way_and_it_is_said() -> None:
    """At 30 months and more no backbone is sold [9 CFR 310.22]: bone-in cuts with vertebrae are boned."""
    Animal.objects.filter(tag="C1").update(age_months=40, born_on=None)
    one = side()
    ways, _origin, changed = ways_for(one, hanging_animal(one), shop(), style="bone-in")
    asked = shipped_tree().style("bone-in", "cattle")
    assert changed and ways != asked
    cutting = service.begin(one, weight_kg=Decimal(190), typed="190 kg", ways=ways, by=None, key=uuid4())
    expected = expected_of(cutting, hanging_animal(one), trim=shop().trim)
    sold = [
        shipped_cuts()[slug] for slug in expected.pieces if shipped_cuts()[slug].use not in ("bone", "fat")
    ]
    assert not [cut.slug for cut in sold if cut.contains_vertebra]


def test_what_is_expected_adds_up_to_what_came_off_the_rail() -> None:
    cutting = begun()
    expected = expected_of(cutting, hanging_animal(cutting.side), trim=shop().trim)
    total_kg = sum(one.mean for one in expected.pieces.values()) + expected.loss_kg.mean
    assert total_kg == pytest.approx(190.0, abs=1e-6)
    listed = [slug for _name, slugs in expected.groups for slug in slugs]
    assert sorted(listed) == sorted(expected.pieces)


def test_groups_come_as_the_primals_do_and_bones_and_fat_last() -> None:
    cutting = begun()
    names = [name for name, _ in expected_of(cutting, hanging_animal(cutting.side), trim=shop().trim).groups]
    assert names[-3:] == ["trim", "bone", "fat"]
    assert names.index("chuck") < names.index("rib") < names.index("loin")


def test_all_bones_together_are_the_sum_of_the_bones() -> None:
    cutting = begun()
    expected = expected_of(cutting, hanging_animal(cutting.side), trim=shop().trim)
    bones = dict(expected.groups)["bone"]
    assert expected.together_kg["bone"].mean == pytest.approx(sum(expected.pieces[one].mean for one in bones))
    assert set(expected.together_kg) == set(TOGETHER)


def test_a_heavier_side_gives_more_of_everything() -> None:
    light, heavy = begun(kg="180.0"), begun(side(half="right"), kg="198.0")
    found = [expected_of(one, hanging_animal(one.side), trim=shop().trim).pieces for one in (light, heavy)]
    for slug in found[0]:
        assert found[1][slug].mean == pytest.approx(1.1 * found[0][slug].mean, rel=1e-6)


def test_the_balance_takes_its_tolerance_from_the_digits_that_were_typed() -> None:
    """190.0 kg to a tenth, and two weights to a hundredth of a pound and a tenth of a kilogram."""
    cutting = begun()
    weigh(cutting, "chuck-roll", "9.072", "20.00 lb")
    weigh(cutting, "mock-tender", "1.5")
    balance = cutting_page(cutting, shop()).balance
    assert balance.tolerance_kg == pytest.approx((0.1**2 + (0.01 * KG_PER_LB) ** 2 + 0.1**2) ** 0.5)
    assert balance.group_kg["cuts"] == pytest.approx(10.572)
    assert balance.missing_kg == pytest.approx(190.0 - 10.572)


def test_what_is_known_before_a_weight() -> None:
    cutting, other = begun(), begun(side(half="right"))
    weigh(cutting, "strip-loin", "7.0")
    page = cutting_page(cutting, shop())
    known = known_of(page, "strip-loin", at=now() + timedelta(seconds=5))
    assert (known.weighed_kg, known.last_kg, known.last_s) == (7.0, 7.0, pytest.approx(5.0))
    assert known.left_kg == pytest.approx(183.0 + page.balance.tolerance_kg)
    assert known.other_side_lacks_it
    weigh(other, "strip-loin", "7.1")
    assert not known_of(cutting_page(cutting, shop()), "strip-loin", at=now()).other_side_lacks_it
    assert known_of(page, "sirloin-flap", at=now()).last_kg is None


def test_a_piece_of_no_way_is_listed_among_the_others() -> None:
    cutting = begun()
    assert "t-bone-steak" in {cut.slug for cut in other_pieces(cutting_page(cutting, shop()))}
    weigh(cutting, "t-bone-steak", "2.0")
    name, targets = cutting_page(cutting, shop()).groups[-1]
    assert (name, [one.slug for one in targets], targets[0].expected) == ("others", ["t-bone-steak"], None)


def test_the_ways_of_pieces_that_come_up_and_no_others() -> None:
    cutting = begun()
    found = ways_open(cutting, hanging_animal(cutting.side), shop())
    assert {"boneless", "bone-in"} <= set(found["rib-primal"])
    assert all(len(names) > 1 for names in found.values())
    assert "short-loin" not in found  # the full loin is boned as one piece


def test_a_planned_side_comes_before_all_and_one_planned_for_later_does_not() -> None:
    first, later = side("W1"), side("W2")
    accept(first, {})
    PlannedSide.objects.create(
        plan=Plan.objects.get(), side=later, day=today() + timedelta(days=3), weight_kg=1.0
    )
    page = block_page(today(), day_began=now() - timedelta(hours=9))
    assert page.has_plan
    assert (page.turns[0].side, page.turns[0].why) == (first, "planned")
    assert all(turn.why != "planned" for turn in page.turns[1:])


def test_a_finished_side_is_listed_on_its_day_alone() -> None:
    service.finish(begun(), by=None)
    midnight = now() - timedelta(hours=9)
    assert [one.side for one in block_page(today(), day_began=midnight).done] == [side()]
    assert block_page(today(), day_began=now() + timedelta(hours=1)).done == ()


KNOWN = Known(Estimate(mean=6.0, p05=5.0, p95=7.0), weighed_kg=2.0, left_kg=50.0)


@pytest.mark.parametrize("doubt", list(Doubt))
def test_every_doubt_has_its_words(doubt: Doubt) -> None:
    (found,) = doubt_findings([doubt], KNOWN, name="strip loin", weight_kg=9.0, unit="kg")
    assert found.where == "strip loin" and "9.00 kg" in found.given
    assert (
        "50.00 kg" in found.wanted if doubt == Doubt.MORE_THAN_LEFT else "5.00 kg to 7.00 kg" in found.wanted
    )
    assert found.do.endswith((".", "?"))


@pytest.mark.parametrize(("typed", "kept"), [("14.2", "14.2 lb"), (" 14.2 ", "14.2 lb"), ("6.4 kg", "6.4 kg"),
                                             ("lb 14.2", "lb 14.2"), ("01906141410000153102001234",) * 2])  # fmt: skip
def test_a_line_is_kept_so_that_it_is_understood_by_itself(typed: str, kept: str) -> None:
    assert said_with_unit(typed, "lb") == kept
