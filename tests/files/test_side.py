"""The drawing of the side: regions named with their weights, ribs counted, nothing over anything else."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from gambrel.files.drawing.inputs import Region
from gambrel.files.drawing.side import SHADES, SHEET_HEIGHT, SHEET_WIDTH, pair_svg, side_svg
from gambrel.files.drawing.side_labels import ANCHORS, spread
from gambrel.files.drawing.side_shape import HEIGHT, WIDTH, areas, outline, rib_lines, shape_of, vertebrae
from gambrel.measures.estimate import Estimate
from gambrel.measures.units import lb_from_kg


@pytest.mark.parametrize("species", ["cattle", "bison"])
def test_every_drawn_region_has_name_kg_lb_and_share(species, cattle_side, bison_side, drawn):
    side = bison_side if species == "bison" else cattle_side
    picture = drawn(side_svg(side))
    text = " | ".join(picture.texts)
    for region in side.regions:
        assert region.name in text
        assert f"{region.kg.mean:.1f} kg · {lb_from_kg(region.kg.mean):.1f} lb" in text
        if region.slug in ANCHORS:
            assert f"{100 * region.kg.mean / side.hung_kg.mean:.1f} % (" in text
            assert f"({region.kg.p05:.1f}–{region.kg.p95:.1f} kg)" in text


@pytest.mark.parametrize(("species", "pairs", "in_rib"), [("cattle", 13, 7), ("bison", 14, 8)])
def test_ribs_are_counted(species, pairs, in_rib, cattle_side, bison_side, drawn):
    """Cattle have 13 pairs and bison 14 [Beef Research Progress Report 3:26, USDA-ARS, 1988].

    The rib primal of cattle holds ribs 6 to 12 [IMPS 100, item 103, USDA AMS, 2014]; bison parted between
    13 and 14 has one more (common practice).
    """
    picture = drawn(side_svg(bison_side if species == "bison" else cattle_side))
    bones = [node for node in picture.of_class("rib") if "region" not in node.get("class", "")]
    assert len(bones) == pairs
    assert len(picture.of_class("rib-of-rib")) == in_rib
    assert len(picture.of_class("rib-of-chuck")) == 5
    assert len(picture.of_class("rib-of-loin")) == pairs - 5 - in_rib


def test_only_bison_has_a_hump(cattle_side, bison_side, drawn):
    assert len(drawn(side_svg(bison_side)).of_class("hump")) == 1
    assert drawn(side_svg(cattle_side)).of_class("hump") == []


def test_every_number_in_a_label_has_its_unit(cattle_side, drawn):
    picture = drawn(side_svg(cattle_side, shade="value"))
    for text in picture.texts:
        if text == cattle_side.title:
            continue
        for figure in re.finditer(r"\$?\d[\d,]*\.?\d*", text):
            after = text[figure.end() :]
            assert re.match(r"( kg| lb| %|/lb|/kg| ribs|–\d|/\d+$)", after) or "ribbed" in text, (
                text,
                figure[0],
            )


def test_the_description_tells_the_weights(cattle_side, drawn):
    desc = drawn(side_svg(cattle_side)).desc
    assert "left side" in desc
    assert "chuck 47.2 kg · 104.0 lb, 26.8 %" in desc
    assert "estimates" in desc


def test_shading_by_value_shows_prices_and_says_when_there_is_none(cattle_side, drawn):
    text = " | ".join(drawn(side_svg(cattle_side, shade="value")).texts)
    assert "$18.60/lb · $41.00/kg" in text
    assert "no price" in text
    assert "price of the region" in text


def test_shading_follows_the_figures(cattle_side, drawn):
    picture = drawn(side_svg(cattle_side))

    def fill(slug: str) -> str:
        return next(node.get("fill") for node in picture.of_class(slug))

    assert fill("chuck") != fill("flank")
    assert fill("foreshank") == fill("hindshank")  # the sample gives both the same weight


def test_a_left_side_is_the_mirror_of_a_right_one(cattle_side, drawn):
    left = drawn(side_svg(cattle_side)).of_class("round")[0].get("d")
    right = drawn(side_svg(replace(cattle_side, hand="right"))).of_class("round")[0].get("d")

    def xs(path: str) -> list[float]:
        return [float(x) for x in re.findall(r"(-?[\d.]+) -?[\d.]+", path)]

    assert [WIDTH - x for x in xs(left)] == pytest.approx(xs(right), abs=0.02)


def test_loin_and_shank_may_come_whole(cattle_side, drawn):
    regions = [
        r for r in cattle_side.regions if r.slug not in ("short-loin", "sirloin", "hindshank", "foreshank")
    ]
    regions += [Region("loin", "loin", Estimate.exact(28.0)), Region("shank", "shank", Estimate.exact(11.0))]
    picture = drawn(side_svg(replace(cattle_side, regions=tuple(regions))))
    assert {"loin", "shank"} <= set(picture.texts)
    fills = {slug: picture.of_class(slug)[0].get("fill") for slug in ("sirloin", "short-loin")}
    assert fills["sirloin"] == fills["short-loin"]


def test_what_cannot_be_drawn_is_told(cattle_side, drawn):
    text = " ".join(drawn(side_svg(cattle_side)).texts)
    assert "Not on the drawing: cutting loss" in text


def test_a_region_without_figures_is_grey_but_there(cattle_side, drawn):
    picture = drawn(side_svg(replace(cattle_side, regions=())))
    assert len(picture.of_class("region")) >= 10
    assert all(node.get("fill") == "#c3c9cd" for node in picture.of_class("region"))


@pytest.mark.parametrize("shade", SHADES)
def test_labels_do_not_overlap_and_stay_on_the_sheet(shade, cattle_side, bison_side, drawn):
    for side in (cattle_side, bison_side):
        picture = drawn(side_svg(side, shade=shade))
        places: dict[tuple[str, str], list[float]] = {}
        for node in picture.root.iter("{http://www.w3.org/2000/svg}text"):
            key = (node.get("x"), node.get("text-anchor", "start"))
            places.setdefault(key, []).append(float(node.get("y")))
            assert 0 < float(node.get("x")) < SHEET_WIDTH
            assert 0 < float(node.get("y")) < SHEET_HEIGHT
        for heights in places.values():
            ordered = sorted(heights)
            assert all(b - a >= 19 for a, b in pairwise(ordered))


def test_two_sides_fit_on_one_sheet(cattle_side, bison_side, drawn):
    picture = drawn(pair_svg(cattle_side, bison_side))
    assert picture.box() == (2 * SHEET_WIDTH + 24, SHEET_HEIGHT)
    assert cattle_side.title in picture.texts and bison_side.title in picture.texts
    assert len(picture.of_class("rib")) >= 27


def test_hostile_names_are_only_shown(cattle_side, drawn):
    evil = replace(
        cattle_side,
        title='<script>"&',
        note="</svg><image/>",
        regions=(Region("rib", "<b>rib</b>", Estimate.exact(5.0)),),
    )
    picture = drawn(side_svg(evil))
    assert "<b>rib</b>" in picture.texts
    assert not picture.tags() & {"script", "image", "b"}


@pytest.mark.parametrize("change", [{"hand": "upper"}, {"hung_kg": Estimate.exact(0.0)}])
def test_a_side_that_cannot_be_drawn_is_refused(change, cattle_side):
    with pytest.raises(ValueError, match=r"hand|weigh"):
        side_svg(replace(cattle_side, **change))


def test_an_unknown_shade_is_refused(cattle_side):
    with pytest.raises(ValueError, match="share or value"):
        side_svg(cattle_side, shade="taste")


@pytest.mark.parametrize("species", ["cattle", "bison"])
def test_regions_close_and_lie_on_the_sheet(species):
    shape = shape_of(species)
    for slug, curve in areas(shape).items():
        places = [curve.start, *(bend[2] for bend in curve.bends)]
        assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in places), slug
    edge = outline(shape)
    assert edge.start == pytest.approx(edge.end)


@pytest.mark.parametrize("species", ["cattle", "bison"])
def test_the_regions_cover_the_outline_without_gap_or_overlap(species):
    """Areas by the shoelace formula over the hand-laid points; hump, fat and foreshank lie over or beside."""
    shape = shape_of(species)

    def area(curve) -> float:
        places = [curve.start, *(bend[2] for bend in curve.bends)]
        return (
            abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(places, [*places[1:], places[0]], strict=True)))
            / 2
        )

    parts = sum(
        area(curve) for slug, curve in areas(shape).items() if slug not in ("hump", "kidney-fat", "foreshank")
    )
    assert parts == pytest.approx(area(outline(shape)), rel=1e-6)


def test_bison_is_heavier_in_front_than_cattle():
    def front_share(species: str) -> float:
        places = [bend[2] for bend in outline(shape_of(species)).bends]
        widest_front = max(x for x, y in places if y > 600) - min(x for x, y in places if y > 600)
        widest_round = max(x for x, y in places if 250 < y < 350) - min(x for x, y in places if 250 < y < 350)
        return widest_front / widest_round

    assert front_share("bison") > 1.2 * front_share("cattle")


@pytest.mark.parametrize(("pairs", "last"), [(13, 12), (14, 13), (13, 10)])
def test_ribs_keep_their_order_from_neck_to_loin(pairs, last):
    heights = [curve.start[1] for _, curve in rib_lines(shape_of("cattle"), pairs, last)]
    assert heights == sorted(heights, reverse=True)
    assert len(heights) == pairs


def test_the_backbone_runs_down_the_side():
    heights = [y for _, y in vertebrae(shape_of("bison"))]
    assert heights == sorted(heights)
    assert len(heights) == 30


def test_labels_are_spread_without_leaving_the_foot():
    tops = spread([10, 12, 14], [20, 20, 20], 100)
    assert tops == [10, 30, 50]
    assert spread([90, 95], [20, 20], 100) == [60, 80]
