"""Every check of the tree finds the fault it is for, and the shipped tree has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gambrel.catalog.check import PRIMAL_PIECES, check_tree
from gambrel.catalog.ways import LOSS, Tree, Way, read_tree
from gambrel.measures import Findings


def with_way(tree: Tree, way: Way) -> Tree:
    return replace(tree, ways={**tree.ways, way.piece: {**tree.ways.get(way.piece, {}), way.name: way}})


def without(tree: Tree, piece: str, *names: str) -> Tree:
    kept = {name: way for name, way in tree.ways[piece].items() if name not in names}
    return replace(tree, ways={**tree.ways, piece: kept})


def house(piece: str, shares: dict[str, float], species: str = "any") -> Way:
    return Way(piece, "house", shares, {"knife": 1.0}, species, "shop", "the shop's own figure")


def said(tree: Tree, cuts) -> str:
    return "\n".join(finding.sentence() for finding in check_tree(tree, cuts))


def test_the_shipped_tree_is_in_order(tree, cuts):
    assert check_tree(tree, cuts) == []


def test_a_way_that_does_not_balance(tree, cuts):
    bad = with_way(tree, house("top-round", {"top-round-steak": 0.9, LOSS: 0.05}))
    assert said(bad, cuts).startswith("top-round: house: given shares that add to 0.9500")


def test_a_share_below_nothing(tree, cuts):
    bad = with_way(tree, house("top-round", {"top-round-steak": 1.1, "trim-90": -0.1}))
    assert "the least -0.1000" in said(bad, cuts)


def test_minutes_below_nothing(tree, cuts):
    way = replace(house("top-round", {"top-round-steak": 1.0}), minutes_per_100kg={"knife": -2.0})
    assert said(with_way(tree, way), cuts).startswith("top-round: house: given -2 minutes of knife")


def test_a_circle(tree, cuts):
    bad = with_way(tree, house("strip-loin", {"full-loin": 1.0}))
    assert "a circle among full-loin" in said(bad, cuts)
    assert "strip-loin" in said(bad, cuts)


def test_a_piece_that_nothing_gives(tree, cuts):
    bad = with_way(tree, house("liver", {"liver-sliced": 1.0}))
    assert "ways of liver: given a piece that nothing gives" in said(bad, cuts)


def test_a_slug_that_is_not_in_the_catalogue(tree, cuts):
    bad = with_way(tree, house("top-round", {"top-rond-steak": 1.0}))
    assert said(bad, cuts) == (
        "top-round: house: given top-rond-steak; wanted a slug of the cut catalogue. "
        "Mend its name, or add the cut."
    )


def test_a_leaf_that_is_no_use_to_anyone(tree, cuts):
    bad = with_way(tree, house("round-primal", {"round-diamond": 1.0}))
    assert "round-diamond: given no way to break it (cattle)" in said(bad, cuts)


@pytest.mark.parametrize("piece", PRIMAL_PIECES)
@pytest.mark.parametrize("word", ["boneless", "bone-in"])
def test_a_primal_without_a_bone_in_or_a_boneless_way(tree, cuts, piece, word):
    """Take out every bison way of the primal that leads that way: the check must miss it."""
    kept = {name: way for name, way in tree.ways[piece].items() if way.species != "bison" or way.is_whole}
    leaf = "mixed-soup-bones" if word == "boneless" else "stew-beef"
    other = "shank-cross-cut" if word == "boneless" else "trim-85"
    kept = {name: way for name, way in kept.items() if way.species == "cattle"}
    kept["house"] = house(piece, {leaf: 0.5, other: 0.5}, "bison")
    bad = replace(tree, ways={**tree.ways, piece: kept})
    assert f"ways of {piece}: given no {word} way for bison" in said(bad, cuts)
    assert f"no {word} way for cattle" not in said(bad, cuts)


def test_a_bison_without_its_extra_rib(tree, cuts):
    way = replace(
        tree.ways["forequarter"]["primals with hump"], ribs={"chuck-square-cut": 5, "rib-primal": 7}
    )
    assert "quarters of bison: given 13 in the ribs fields; wanted 14 rib pairs" in said(
        with_way(tree, way), cuts
    )


def test_cattle_with_a_rib_too_many(tree, cuts):
    way = replace(tree.ways["hindquarter"]["full loin"], ribs={"full-loin": 2})
    assert "quarters of cattle: given 13, 14 in the ribs fields" in said(with_way(tree, way), cuts)


def test_ribs_not_counted_at_all(tree, cuts):
    way = replace(tree.ways["forequarter"]["rib and triangle"], ribs={})
    assert "quarters of cattle: given 1, 13 in the ribs fields" in said(with_way(tree, way), cuts)


def test_a_bison_without_its_hump(tree, cuts):
    old = tree.ways["forequarter"]["primals with hump"]
    shares = {slug: share for slug, share in old.shares.items() if slug != "bison-hump"}
    shares["chuck-square-cut"] += old.shares["bison-hump"]
    assert "forequarter: primals with hump: given no bison-hump" in said(
        with_way(tree, replace(old, shares=shares)), cuts
    )


def test_a_bison_s_cut_out_of_cattle(tree, cuts):
    bad = with_way(tree, house("chuck-roll", {"bison-hump-roast": 1.0}))
    assert "chuck-roll: house: given bison-hump-roast out of cattle" in said(bad, cuts)
    good = with_way(tree, house("chuck-roll", {"bison-hump-roast": 1.0}, "bison"))
    assert said(good, cuts) == ""


def test_a_cut_of_cattle_out_of_a_bison(tree, cuts):
    bad = with_way(tree, house("chuck-roll", {"ground-beef-85": 1.0}))
    assert "chuck-roll: house: given ground-beef-85 out of bison" in said(bad, cuts)


@pytest.mark.parametrize(
    ("chosen", "sentence"),
    [
        ({"top-rond": ("steaks",)}, "style mine: given top-rond, which has no ways"),
        ({"top-round": ("stakes",)}, "style mine, top-round: given stakes"),
        ({"side": ("quarters", "quarters, 14 ribs"), "forequarter": ("whole",), "hindquarter": ("whole",)},
         ""),
        ({"side": ("quarters", "quarters, 14 ribs"), "forequarter": ("whole",)},
         "style mine (cattle): given hindquarter left as it is"),
        ({"side": ("quarters",), "forequarter": ("whole",), "hindquarter": ("whole",)},
         "style mine (bison): given side left as it is"),
    ],
)  # fmt: skip
def test_styles(tree, cuts, chosen, sentence):
    told = said(replace(tree, styles={"mine": chosen}), cuts)
    assert told.startswith(sentence) if sentence else told == ""


def test_everything_is_told_at_once(tree, cuts):
    bad = with_way(tree, house("top-round", {"top-round-steak": 0.9}))
    bad = with_way(bad, house("liver", {"liver-sliced": 1.0}))
    assert len(check_tree(bad, cuts)) == 2


def test_a_shop_s_own_file_is_checked_like_the_rest(tree, cuts):
    findings = Findings()
    tables = {"way": [{"piece": "heel", "name": "shanks", "out": {"hindshank": 0.5, "tri-tipp": 0.5}}]}
    own = read_tree([("own.toml", tables)], findings, base=tree)
    assert not findings
    assert "tri-tipp" in said(own, cuts)
