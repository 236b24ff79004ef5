"""The tree as one animal's choices: what adds up, what is folded, what is pooled, what is left out."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.plan import Hanging, Week
from gambrel.plan.lawful import lawful_names
from gambrel.plan.places import NO_LOSSES, Losses, Options
from gambrel.plan.rules_pieces import most_reaching
from gambrel.plan.shares import book_shares
from gambrel.plan.walk import Walk, open_ways

Read = Callable[[str], Week]


@pytest.fixture
def steer(read: Read, parts: dict[str, str]) -> Hanging:
    return read(parts["shop"] + parts["steer"]).animals[0]


def walk(
    steer: Hanging, tree: Tree, sold: Callable[[str], bool] = lambda slug: True, *, prune: bool = False,
    losses: Losses = NO_LOSSES,
) -> Walk:  # fmt: skip
    return Walk(
        steer, tree, book_shares(steer.animal, tree), sellable=sold, lawful={}, losses=losses, prune=prune
    )


def outcomes(options: Options, place: int = 0) -> list[tuple[float, dict[str, str]]]:
    """Every full set of choices below a place that is not pooled, with the share of the side it accounts for."""
    below = options.below()
    found = []
    for number in options.places[place].choices:
        choice = options.choices[number]
        share = sum(choice.leaves.values()) + choice.waste_share
        sets = [(share, dict(choice.ways))]
        for child, part in below.get(number, ()):
            if options.places[child].pooled:
                sets = [(total + part, ways) for total, ways in sets]
            else:
                sets = [
                    (total + more, {**ways, **other})
                    for total, ways in sets
                    for more, other in outcomes(options, child)
                ]
        found += sets
    return found


def test_whatever_is_chosen_accounts_for_the_side_but_for_the_losses(
    steer: Hanging, small_tree: Tree
) -> None:
    options = walk(steer, small_tree).options()
    shares = [share for share, _ in outcomes(options)]
    assert len(shares) == 3 * (1 + 2)
    # The side loses 2 %; each quarter between nothing and 2 % of itself, a strip 2 % of itself.
    assert max(shares) <= 0.98 + 1e-9
    assert min(shares) >= 0.98 * (1 - 0.02) - 0.002


def test_fat_that_comes_from_both_quarters_is_pooled(steer: Hanging, small_tree: Tree) -> None:
    made = walk(steer, small_tree)
    assert made.pooled() == {"trim-fat"}
    options = made.options()
    (fat,) = (number for number, place in enumerate(options.places) if place.pooled)
    # 8 % of the forequarter and 10 % of the hindquarter at most.
    assert most_reaching(options)[fat] == pytest.approx(0.5 * 0.08 + 0.48 * 0.10)


def test_a_piece_on_a_path_is_a_fixed_share_and_a_way_with_no_choice_is_folded(
    steer: Hanging, small_tree: Tree
) -> None:
    settled = dataclasses.replace(
        steer, ways_allowed={"forequarter": ("boneless",), "hindquarter": ("boneless",)}
    )
    options = walk(settled, small_tree).options()
    top = options.choices[options.places[0].choices[0]]
    assert top.ways == {"side": "quarters", "forequarter": "boneless", "hindquarter": "boneless"}
    assert top.leaves["chuck-roll"] == pytest.approx(0.5 * 0.40)
    # Minutes a kilogram of side: knife 40 and 45 minutes a 100 kg of the quarters.
    assert top.minutes_per_kg["knife"] == pytest.approx((0.5 * 40 + 0.48 * 45) / 100)
    assert [place.piece for place in options.places] == ["side", "strip-loin", "trim-fat"]


def test_a_way_that_sells_nothing_is_left_out_and_one_that_does_worse(
    steer: Hanging, small_tree: Tree
) -> None:
    bone_in_only = walk(
        steer, small_tree, lambda slug: slug in ("short-ribs", "t-bone-steak"), prune=True
    ).options()
    taken = {
        place.piece: {options_way(bone_in_only, n, place.piece) for n in place.choices}
        for place in bone_in_only.places
    }
    # Nobody buys fat or tallow: rendering leaves less to haul away, leaving it whole is less work, so both stay.
    assert taken == {"side": {"quarters"}, "trim-fat": {"whole", "rendered"}}
    assert bone_in_only.choices[0].ways["forequarter"] == "bone-in"
    assert bone_in_only.choices[0].ways["hindquarter"] == "bone-in"


def options_way(options: Options, number: int, piece: str) -> str:
    return options.choices[number].ways[piece]


def test_losses_add_up_down_the_tree_and_cut_off_what_costs_too_much(
    steer: Hanging, small_tree: Tree
) -> None:
    losses = Losses(
        {("forequarter", "whole"): (100.0, 300.0), ("hindquarter", "boneless"): (50.0, 50.0),
         ("strip-loin", "whole"): (400.0, 0.0)},
        (0.0, 10.0), {}, limit_cents=60.0,
    )  # fmt: skip
    options = walk(steer, small_tree, losses=losses).options()
    by_path = {choice.path: choice.loss_cents for choice in options.choices if choice.loss_cents}
    whole = next(path for path in by_path if path[-2:] == ("forequarter", "whole"))
    # The forequarter is half the side: 50 cents on the first day, 150 and the day's own 10 on the second.
    assert by_path[whole] == pytest.approx((50.0, 160.0))
    number = next(n for n, choice in enumerate(options.choices) if choice.path == whole)
    assert options.looked_at(options.choices[number], 0)
    assert not options.looked_at(options.choices[number], 1)
    strip = next(path for path in by_path if path[-2:] == ("strip-loin", "whole"))
    assert by_path[strip] == pytest.approx((0.48 * 50 + 0.48 * 0.20 * 400, 10 + 0.48 * 50))


def test_a_circle_of_ways_is_refused(steer: Hanging, small_tree: Tree) -> None:
    way = small_tree.ways["strip-loin"]["steaks"]
    round_about = dataclasses.replace(way, name="back", shares={"hindquarter": 0.9, "loss": 0.1})
    tree = Tree({**small_tree.ways, "strip-loin": {**small_tree.ways["strip-loin"], "back": round_about}}, {})
    with pytest.raises(ValueError, match="circle"):
        walk(steer, tree)


def test_pins_and_what_is_allowed_narrow_the_ways(steer: Hanging, small_tree: Tree) -> None:
    free = open_ways(steer, small_tree, "forequarter", {})
    assert set(free) == {"whole", "bone-in", "boneless"}
    barred = dataclasses.replace(steer, ways_forbidden={"forequarter": ("whole",)})
    assert set(open_ways(barred, small_tree, "forequarter", {})) == {"bone-in", "boneless"}
    styled = dataclasses.replace(steer, style={"forequarter": "boneless"})
    assert set(open_ways(styled, small_tree, "forequarter", {})) == {"boneless"}
    assert set(open_ways(styled, small_tree, "forequarter", {"forequarter": ("bone-in",)})) == {"bone-in"}


@pytest.mark.parametrize(("kind", "age"), [("bison", 26), ("bison", 31), ("wagyu", 28), ("wagyu", 36)])
def test_the_shipped_tree_adds_up_on_every_path_for_every_kind(
    kind: str, age: int, read: Read, parts: dict[str, str]
) -> None:
    text = parts["steer"].replace("grain-finished", kind).replace("age_months = 18", f"age_months = {age}")
    week = read(parts["shop"] + text.replace('"steer"', '"heifer"'))
    tree = shipped_tree()
    hanging = week.animals[0]
    made = Walk(hanging, tree, book_shares(hanging.animal, tree), sellable=lambda slug: True,
                lawful=lawful_names(tree, hanging, week.shop), prune=False)  # fmt: skip
    options = made.options(pool_all=True)
    for choice in options.choices:
        given = sum(share for place in options.places for above, share in place.above.items()
                    if options.choices[above] is choice)  # fmt: skip
        accounted = sum(choice.leaves.values()) + choice.waste_share + given
        assert 0.5 < accounted <= 1.0 + 1e-9, choice.ways
    assert len(options.places) > 40
