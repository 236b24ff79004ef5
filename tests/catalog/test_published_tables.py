"""Published cutout tables: their own sums hold as printed, and the ways that lean on them say the same.

The rows are typed in `published/carcass_lines.csv`; titles, publishers and years stand in
`published/sources.csv`.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from gambrel.catalog.check import RIB_PAIRS
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.tree_totals import leaf_shares, primal_shares

PUBLISHED = Path(__file__).parent / "published"


def test_every_table_has_its_source():
    with (PUBLISHED / "sources.csv").open(encoding="utf-8", newline="") as file:
        sources = {row["table"]: row for row in csv.DictReader(file)}
    with (PUBLISHED / "carcass_lines.csv").open(encoding="utf-8", newline="") as file:
        tables = {row["table"] for row in csv.DictReader(file)}
    assert tables == set(sources)
    assert all(row["title"] and row["publisher"] and row["year"] for row in sources.values())


def test_oklahoma_pounds_are_its_percentages_of_the_cut_weight(printed):
    """How Much Meat?; Oklahoma Department of Agriculture, Food and Forestry."""
    weights = printed("oklahoma", "weights")
    percents, pounds = printed("oklahoma", "percent of cut and wrapped"), printed("oklahoma", "pounds")
    assert round(100 * weights["cut and wrapped"] / weights["rail"], 1) == 70.5
    assert sum(percents.values()) == 100
    for primal, percent in percents.items():
        assert weights["cut and wrapped"] * percent / 100 == pytest.approx(pounds[primal], abs=0.1)


def test_indiana_adds_to_the_carcass(printed):
    """How Much Eating Meat Will a Carcass Yield?; Indiana Board of Animal Health."""
    retail, totals = printed("indiana", "retail"), printed("indiana", "totals")
    assert len(retail) == 8
    assert sum(retail.values()) == totals["retail"] == 465
    assert totals["retail"] + totals["bones fat waste shrink"] == totals["carcass"] == 590
    assert round(100 * totals["retail"] / totals["carcass"], 1) == 78.8


@pytest.mark.parametrize("primal", ["chuck", "round", "thin cuts", "loin", "rib"])
def test_the_primals_of_the_trade_table_close(printed, primal):
    """Beef Cut Yield Per Steer, 715-lb carcass; widely reprinted trade table."""
    assert sum(printed("trade-715", primal).values()) == pytest.approx(
        printed("trade-715", "printed totals")[primal], abs=0.05
    )


def test_the_totals_of_the_trade_table(printed):
    """Beef Cut Yield Per Steer: five primals 682.2 lb, 563.8 of it saleable, 243.2 ground and stew."""
    primals = [printed("trade-715", name) for name in ("chuck", "round", "thin cuts", "loin", "rib")]
    assert sum(printed("trade-715", "printed totals").values()) == pytest.approx(682.2, abs=0.1)
    assert sum(
        amount for lines in primals for line, amount in lines.items() if line != "fat and bone"
    ) == pytest.approx(563.8, abs=0.1)
    assert sum(lines["ground and stew"] for lines in primals) == pytest.approx(243.2, abs=0.1)


def test_the_chuck_of_the_booklet(printed):
    """Primal and Subprimal Weights and Yields; national producer programme, 2013."""
    chuck = printed("booklet-806", "chuck")
    saleable = sum(chuck.values()) - chuck["fat and bone"]
    assert saleable == pytest.approx(198.7, abs=0.1)
    assert sum(chuck.values()) == pytest.approx(233.7, abs=0.1)
    assert round(100 * sum(chuck.values()) / 806, 1) == 29.0


def test_k_state_primals_add_to_100(printed):
    """Beef Processing Options for Consumers, MF3395; Kansas State University."""
    assert sum(printed("k-state", "primals").values()) == 100


def test_the_cow_percentages_are_its_weights_over_the_carcass(printed):
    """Concentrate-finished cull cows, hot carcass 369.2 kg; Journal of Animal Science (Hodgen et al.)."""
    for line, weight_kg in printed("cow-369", "sides").items():
        assert 100 * weight_kg / 369.2 == pytest.approx(printed("cow-369", "percent")[line], abs=0.02)


def test_the_topside_weighs_what_its_percentage_says(printed):
    """Primal Cut Weight Range Guide, carcass 160-180 kg; Australian guide."""
    each_kg = 170 * printed("australia-170", "percent")["topside"] / 100 / 2
    limits = printed("australia-170", "weight range each")
    assert each_kg == pytest.approx(5.27, abs=0.005)
    assert limits["low"] <= each_kg <= limits["high"]


@pytest.mark.parametrize(("table", "total_kg"), [("striploin-4190", 4.19), ("rib-3940", 3.94)])
def test_portion_tests_close(printed, table, total_kg):
    """Portion Cutting Preparation and Yield Guide; Australian guide."""
    lines, percents = printed(table, "lines"), printed(table, "percent")
    assert sum(lines.values()) == pytest.approx(total_kg, abs=0.001)
    for line, weight_kg in lines.items():
        assert 100 * weight_kg / total_kg == pytest.approx(percents[line], abs=0.06)


def test_bison_has_fourteen_rib_pairs():
    """Bison, Hereford, Brahman; Beef Research Progress Report 3:26, USDA-ARS, 1988."""
    assert RIB_PAIRS == {"cattle": 13, "bison": 14}
    for kind in shipped_kinds().values():
        assert kind.rib_pairs == RIB_PAIRS[kind.species]


# ---- the ways that lean on these tables ----


@pytest.mark.parametrize(
    ("table", "piece", "way", "outputs"),
    [
        ("striploin-4190", "strip-loin", "portions with a long tail",
         {"strip-steak": "steaks", "stir-fry-beef": "cube", "diced-beef": "diced"}),
        ("rib-3940", "rib-export-style", "portions",
         {"cowboy-steak": "steaks", "kabob-beef": "barbecue", "diced-beef": "diced", "trim-85": "trim"}),
    ],
)  # fmt: skip
def test_the_ways_marked_as_read_are_the_portion_tests(tree, printed, table, piece, way, outputs):
    """Portion Cutting Preparation and Yield Guide; Australian guide."""
    read = tree.ways[piece][way]
    assert read.mark == "read"
    for slug, line in outputs.items():
        assert 100 * read.shares[slug] == pytest.approx(printed(table, "percent")[line], abs=0.05)


def test_the_light_trimmed_chuck_is_that_of_the_booklet(tree, printed):
    """Primal and Subprimal Weights and Yields; national producer programme, 2013: shares of its chuck."""
    chuck = printed("booklet-806", "chuck")
    total = sum(chuck.values())
    way = tree.ways["chuck-square-cut"]["light trim"]
    lines = {"chuck-roll": "chuck roll", "under-blade-roast": "under blade edge roast",
             "chuck-short-ribs": "chuck short ribs", "mock-tender": "mock tender",
             "top-blade": "clod top blade", "clod-heart": "clod heart", "shoulder-tender": "teres major",
             "trim-80": "stew and ground trim"}  # fmt: skip
    for slug, line in lines.items():
        assert way.shares[slug] == pytest.approx(chuck[line] / total, abs=0.001)


@pytest.mark.parametrize(
    ("primal", "line"),
    [("chuck", "chuck"), ("rib", "rib"), ("round", "round"), ("brisket", "brisket"), ("plate", "plate"),
     ("flank", "flank"), ("foreshank", "shank"), ("suet", "kidney fat")],
)  # fmt: skip
def test_primals_lie_within_a_point_and_a_half_of_k_state(tree, printed, primal, line):
    """Beef Processing Options for Consumers, MF3395; Kansas State University."""
    shares = primal_shares(tree, tree.style("boneless", "cattle"), "cattle")
    assert 100 * shares[primal] == pytest.approx(printed("k-state", "primals")[line], abs=1.5)


def test_the_loin_is_short_loin_and_sirloin_of_k_state(tree, printed):
    """Beef Processing Options for Consumers, MF3395; Kansas State University: 10 and 7 %."""
    lines = printed("k-state", "primals")
    chosen = {**tree.style("bone-in", "cattle"), "short-loin": "whole", "sirloin-bone-in": "whole"}
    amounts = leaf_shares(tree, chosen, "cattle")
    assert 100 * amounts["short-loin"] == pytest.approx(lines["short loin"], abs=1.5)
    assert 100 * amounts["sirloin-bone-in"] == pytest.approx(lines["sirloin"], abs=1.5)


@pytest.mark.parametrize(
    ("primal", "percent"), [("chuck", 26), ("rib", 9), ("loin", 17), ("round", 22), ("flank", 4)]
)
def test_primals_lie_within_a_point_and_a_half_of_indiana(tree, primal, percent):
    """How Much Eating Meat Will a Carcass Yield?; Indiana Board of Animal Health (chuck printed 6,
    26 forced by its total and pounds).
    """
    shares = primal_shares(tree, tree.style("boneless", "cattle"), "cattle")
    assert 100 * shares[primal] == pytest.approx(percent, abs=1.5)
