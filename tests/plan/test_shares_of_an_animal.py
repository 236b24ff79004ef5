"""Shares: a side goes to its owners, cut as they wish, and never to the counter."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.catalog.animal import Animal
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.portions import PORTIONS
from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo, Findings
from gambrel.plan import Hanging, PlanResult, Share, Week
from gambrel.plan.check import BadPlan, check_plan
from gambrel.plan.owners import with_owners
from gambrel.plan.questions.clash_set import promises_of
from gambrel.plan.questions.week_changes import week_changes
from gambrel.plan.questions.why import Solver
from gambrel.plan.shares import book_shares
from gambrel.plan.tell import to_json
from gambrel.price.week_costs import costs_by_kind

Read = Callable[[str], Week]


def share(name: str = "S1", portion: str = "half", more: str = "") -> str:
    return (f'\n[[share]]\nid = "{name}"\nanimal = "C1"\nportion = "{portion}"\nowner = "Rowan Ash"\n'
            f'price = "9.00/kg"\n{more}\n')  # fmt: skip


@pytest.fixture
def herd(read: Read, parts: dict[str, str]) -> Callable[[str], Week]:
    """C1, two sides of 180 kg hot, with the shares that are given."""
    return lambda more: read(parts["shop"] + parts["steer"] + parts["counter"] + more)


def test_a_half_is_one_side_cut_as_its_owner_wishes(
    herd: Callable[[str], Week], solve: Solver, small_tree: Tree
) -> None:
    """Bone-in is what nobody would choose here; 180 kg hot at 9.00 is 1,620.00."""
    week = herd(share(more='ways = { forequarter = "bone-in", hindquarter = "bone-in" }'))
    plan = solve(week)
    left, right = plan.sides
    assert (left.ways["forequarter"], left.ways["hindquarter"]) == ("bone-in", "bone-in")
    assert plan.money.shares_cents == 162_000
    sold_kg = sum(move.kg for move in plan.moves if move.to != "ground" or move.origin.ground is not None)
    ground_kg = sum(move.kg for move in plan.moves if move.to == "ground")
    ground_sold_kg = sum(move.kg for move in plan.moves if move.origin.ground is not None)
    assert ground_kg == pytest.approx(ground_sold_kg)
    assert sold_kg <= right.weight_kg, "nothing of the left side is sold"
    told = to_json(week, plan)["shares"]
    assert told == [{"id": "S1", "animal": "C1", "owner": "Rowan Ash", "part_of_animal": 0.5,
                     "sides": [{"id": "C1-left", "day": str(left.day)}]}]  # fmt: skip


def test_a_share_is_as_good_as_an_owners_own_animal(
    herd: Callable[[str], Week], read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """The same two sides as two animals, one of them killed for its owner, cost the same work and sell the same."""
    right = parts["steer"] + 'sides = ["right"]\n'
    left = (
        parts["steer"].replace('"C1"', '"C2"')
        + 'sides = ["left"]\ninspected = "custom"\nowner = "Rowan Ash"\n'
    )
    hours = '[hours]\nknife = "75min"\n'
    apart = solve(read(parts["shop"] + hours + right + left + parts["counter"]))
    together = solve(read(parts["shop"] + hours + parts["steer"] + parts["counter"] + share()))
    assert together.profit_cents == pytest.approx(apart.profit_cents + 162_000, abs=30)
    assert together.money.counter_cents == pytest.approx(apart.money.counter_cents, abs=30)


@pytest.mark.parametrize(
    ("more", "cents", "owned"),
    [
        ("", 0, {}),
        (share(portion="whole"), 324_000, {"left": 1.0, "right": 1.0}),
        (share() + share("S2"), 324_000, {"left": 1.0, "right": 1.0}),
        (share(portion="quarter") + share("S2", "quarter"), 162_000, {"left": 1.0}),
        (share(portion="eighth") + share("S2", "quarter"), 121_500, {"left": 0.75}),
        (
            share(portion="quarter") + share("S2", "half") + share("S3", "quarter"),
            324_000,
            {"left": 1.0, "right": 1.0},
        ),
        (
            share(portion="quarter") + share("S2", "quarter", "by = 2026-03-20"),
            162_000,
            {"left": 0.5, "right": 0.5},
        ),
    ],
)
def test_shares_fill_sides(
    more: str, cents: int, owned: dict[str, float], herd: Callable[[str], Week], solve: Solver
) -> None:
    week = herd(more)
    (animal,) = week.animals
    assert {half: side.part_share for half, side in animal.owned.items()} == owned
    plan = solve(week)
    assert plan.money.shares_cents == cents
    assert bool(plan.money.counter_cents) == (len(owned) < 2)
    told = [finding for finding in plan.findings if "is sold in shares" in finding.given]
    assert len(told) == sum(1 for part in owned.values() if part < 1.0)


def test_an_owners_day_is_kept(herd: Callable[[str], Week], solve: Solver) -> None:
    """Ready from the 9th on; without the promise the side may wait for its best day."""
    early = date(2026, 3, 13)
    week = herd(share(more=f"by = {early}"))
    left = next(side for side in solve(week).sides if side.half == "left")
    assert left.day is not None and left.day <= early
    (promise,) = [one for one in promises_of(week) if one.what == "share"]
    assert promise.given_way(week).animals[0].owned["left"].by is None
    late = replace(week, animals=tuple(replace(one, hang_days=(16, 17, 20)) for one in week.animals))
    with pytest.raises(CannotDo) as refused:
        solve(late)
    assert [finding.where for finding in refused.value.findings] == ["side C1-left, by"]


def test_the_check_keeps_owners_meat_apart(
    herd: Callable[[str], Week], solve: Solver, small_tree: Tree
) -> None:
    week = herd(share())
    boneless = replace(herd(""), animals=tuple(replace(one, style_name="boneless") for one in week.animals))
    plan, all_sold = solve(week), solve(replace(boneless, animals=tuple(
        replace(one, owned={}) for one in boneless.animals)))  # fmt: skip
    shares = {one.id: book_shares(one.animal, small_tree) for one in week.animals}
    check_plan(_styled(week, small_tree), small_tree, shares, plan)

    def wrong(sentence: str, other: PlanResult, in_week: Week = week) -> None:
        with pytest.raises(BadPlan, match=sentence):
            check_plan(_styled(in_week, small_tree), small_tree, shares, other)

    wrong(
        "an animal it may be sold from",
        replace(all_sold, money=replace(all_sold.money, shares_cents=162_000)),
    )
    wrong("shares are hot weight", replace(plan, money=replace(plan.money, shares_cents=161_999)))
    left, right = plan.sides
    swapped = replace(left, ways={**left.ways, "hindquarter": "bone-in"})
    wrong("as its owners wish", replace(plan, sides=(swapped, right)))
    wrong("by its owners' day", plan, herd(share(more="by = 2026-03-09")))


def _styled(week: Week, tree: Tree) -> Week:
    """The owners' ways filled in, as planning does."""
    animals = tuple(replace(one, owned={half: replace(side, style=tree.style(side.style_name, "cattle"))
                                        for half, side in one.owned.items()}) for one in week.animals)  # fmt: skip
    return replace(week, animals=animals)


def test_what_is_in_shares_has_its_costs_apart(read: Read, parts: dict[str, str], solve: Solver) -> None:
    """Half of the bill, with the half that is sold."""
    bill = 'bill = { rail = "10.00/kg" }\n'
    week = read(parts["shop"] + parts["steer"] + bill + parts["counter"] + share())
    cost = costs_by_kind(week, solve(week))["grain-finished"]
    assert cost.bills_cents == 180_000 and cost.hot_kg == pytest.approx(180.0)


def test_a_changed_share_is_told(herd: Callable[[str], Week]) -> None:
    (change,) = week_changes(
        herd(share()), herd(share(more='by = 2026-03-20\nways = { hindquarter = "bone-in" }'))
    )
    assert change.sentence() == (
        "share S1: 0.5 of C1 for Rowan Ash, boneless, hindquarter goes bone-in, by 2026-03-20, $9.00 a kg hot "
        "instead of 0.5 of C1 for Rowan Ash, boneless, $9.00 a kg hot"
    )


@pytest.mark.parametrize(
    ("more", "wrong"),
    [
        (share().replace('"C1"', '"C9"'), "animal"),
        (share(portion="third"), "portion"),
        (share().replace('owner = "Rowan Ash"\n', ""), "owner"),
        (share(more="by = 2026-04-20"), "by"),
        (share(more="ways = { forequarter = 3 }"), "ways"),
        (share(more='colour = "red"'), "colour"),
        (share() + share(), "share"),
        (share(portion="whole") + share("S2"), "share S2"),
        (
            share() + share("S2", "half", "by = 2026-03-20") + share("S3", "eighth", "by = 2026-03-18"),
            "share S3",
        ),
    ],
)
def test_shares_that_cannot_be_are_found(more: str, wrong: str, herd: Callable[[str], Week]) -> None:
    with pytest.raises(CannotDo) as refused:
        herd(more)
    assert any(finding.where.endswith(wrong) for finding in refused.value.findings), refused.value.findings


@pytest.mark.parametrize(("more", "where"), [('style = "in cubes"', "share S1, style"),
                                             ('ways = { forequarter = "in cubes" }', "share S1, ways")])  # fmt: skip
def test_a_wish_that_no_way_answers_is_a_slip(
    more: str, where: str, herd: Callable[[str], Week], solve: Solver
) -> None:
    with pytest.raises(CannotDo) as refused:
        solve(herd(share(more=more)))
    assert where in {finding.where for finding in refused.value.findings}


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(PORTIONS)), st.sampled_from(["boneless", "bone-in"])), max_size=9
    )
)
def test_shares_are_dealt_once_and_never_overfull(asked: list[tuple[str, str]]) -> None:
    kind = shipped_kinds()["grain-finished"]
    animal = Hanging(
        "C1", Animal(kind=kind, sex="steer", hot_kg=361.0), date(2026, 2, 27), {"left": 180.0, "right": 181.0}
    )
    shares = [Share(f"S{number}", "C1", PORTIONS[portion], "Rowan Ash", style, price_cents_per_kg=100.0)
              for number, (portion, style) in enumerate(asked)]  # fmt: skip
    findings = Findings()
    (dealt,) = with_owners((animal,), shares, findings)
    there = {name for side in dealt.owned.values() for name in side.shares}
    refused = {finding.where.removeprefix("share ") for finding in findings}
    assert there | refused == {one.id for one in shares} and not there & refused
    assert all(0.0 < side.part_share <= 1.0 for side in dealt.owned.values())
    assert sum(side.part_share for side in dealt.owned.values()) == pytest.approx(
        sum(one.sides for one in shares if one.id in there)
    )
    assert all(
        len({one.style_name for one in shares if one.id in side.shares}) == 1 for side in dealt.owned.values()
    )
    wanted = sum(
        math.ceil(sum(one.sides for one in shares if one.style_name == style))
        for style in ("boneless", "bone-in")
    )
    assert bool(refused) == (wanted > 2)


@pytest.mark.parametrize("more", ["", share(), share() + share("S2")])
def test_that_an_animal_is_late_is_said_once_whoever_owns_its_sides(
    more: str, read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """Overdue since Sunday, for the shop's side and the owner's alike."""
    steer = parts["steer"] + "hang_days = [5, 7, 9]\n"
    plan = solve(read(parts["shop"] + steer + parts["counter"] + more))
    assert [finding.given for finding in plan.findings] == ["latest day 2026-03-08"]
