"""The cut catalogue: rows that hang together, and numbers of the public specifications."""

from __future__ import annotations

import re

import pytest

from gambrel.catalog.cuts import CUT_USES, FOUR_PRIMALS
from gambrel.catalog.kinds import MARKS

USES = {"break", "grind", "bone", "fat", "offal", *CUT_USES}

IMPS_100 = "Institutional Meat Purchase Specifications, Fresh Beef Series 100; USDA AMS, 2014"


def test_every_row_is_whole(cuts):
    assert len(cuts) >= 339
    for slug, cut in cuts.items():
        assert slug == cut.slug and re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", slug)
        assert cut.name and cut.primal
        assert cut.use in USES, slug
        assert cut.bone in ("in", "out")
        assert cut.srm in ("none", "30m", "any")
        assert cut.species in ("any", "cattle", "bison")
        assert cut.mark in MARKS
        assert cut.source


def test_what_keeps_backbone_falls_under_the_rule_on_older_cattle(cuts):
    """9 CFR 310.22(a)(1): the vertebral column is specified risk material from 30 months."""
    for cut in cuts.values():
        if cut.contains_vertebra:
            assert cut.srm == "30m", cut.slug
            assert cut.bone == "in", cut.slug


def test_parents_are_in_the_catalogue(cuts):
    known = set(cuts) | {cut.imps for cut in cuts.values()}
    assert {cut.parent for cut in cuts.values() if cut.parent} - known == set()


@pytest.mark.parametrize(
    ("imps", "slug"),
    [("101", "side"), ("103", "rib-primal"), ("112A", "ribeye-roll-lip-on"), ("113", "chuck-square-cut"),
     ("114D", "top-blade"), ("116B", "mock-tender"), ("120", "brisket-whole"), ("121C", "outside-skirt"),
     ("140", "hanging-tender"), ("158", "round-primal"), ("169", "top-round"), ("171C", "eye-of-round"),
     ("174", "short-loin-short-cut"), ("180", "strip-loin"), ("184", "top-sirloin"),
     ("185D", "tri-tip-defatted"), ("189A", "tenderloin-psmo"), ("193", "flank-steak"),
     ("1174", "t-bone-steak"), ("1173", "porterhouse-steak")],
)  # fmt: skip
def test_numbers_are_those_of_the_specification(cuts, imps, slug):
    """Institutional Meat Purchase Specifications, Fresh Beef Series 100; USDA AMS, 2014."""
    assert cuts[slug].imps == imps, IMPS_100


@pytest.mark.parametrize(
    ("slug", "lean_pct"),
    [("trim-50", 50), ("trim-85", 85), ("trim-94", 94), ("bison-trim", None), ("trim-fat", None)],
)
def test_lean_points(cuts, slug, lean_pct):
    assert cuts[slug].lean_pct == lean_pct


def test_the_four_primals_have_boneless_cuts(cuts):
    for primal in FOUR_PRIMALS:
        assert any(
            cut.primal == primal and cut.bone == "out" and cut.use in CUT_USES for cut in cuts.values()
        )


@pytest.mark.parametrize("slug", ["jerky-strips", "flank-primal", "brisket-roast-bone-in", "soup-bones"])
def test_house_rows_say_that_they_are_practice(cuts, slug):
    assert (cuts[slug].imps, cuts[slug].mark, cuts[slug].source) == ("", "memory", "common practice")
