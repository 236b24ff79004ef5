"""The pictures read back as boxes: labels clear of each other, marks inside their axes, both hands alike."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gambrel.files.drawing.inputs import PieceInterval, Region
from gambrel.files.drawing.intervals import NAMES, PLOT_END, ROW, interval_pages
from gambrel.files.drawing.kinds import kinds_svg
from gambrel.files.drawing.lines import FOOT, LEFT, RIGHT, TOP, curve_svg
from gambrel.files.drawing.side import SHEET_HEIGHT, SHEET_WIDTH, side_svg
from gambrel.files.drawing.side_labels import ANCHORS, LABEL_WIDTH, spread
from gambrel.files.drawing.side_shape import WIDTH
from gambrel.measures.estimate import Estimate

SVG = "{http://www.w3.org/2000/svg}"
LETTER_SHARE = 0.5
"""Mean width of a letter over its size, sans-serif (common practice); the drawing allows itself 0.56."""


@dataclass(frozen=True)
class Box:
    text: str
    left: float
    right: float
    top: float
    foot: float

    def over(self, other: Box) -> bool:
        return (self.left < other.right and other.left < self.right
                and self.top < other.foot and other.top < self.foot)  # fmt: skip


def boxes(root: ElementTree.Element) -> list[Box]:
    """A box about each text that stands straight on the sheet, from baseline, anchor and letter size."""
    found = []
    for node in root.iter(f"{SVG}text"):
        text, size = node.text or "", float(node.get("font-size") or 0)
        x, y, wide = float(node.get("x") or 0), float(node.get("y") or 0), LETTER_SHARE * size * len(text)
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[node.get("text-anchor", "start")]
        found.append(Box(text, left, left + wide, y - 0.72 * size, y + 0.2 * size))
    return found


def clashes(svg: str) -> list[tuple[str, str]]:
    found = boxes(ElementTree.fromstring(svg))
    return [(one.text, other.text) for one, other in combinations(found, 2) if one.over(other)]


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("shade", ["share", "value"])
def test_no_label_of_a_side_lies_over_another(shade, hand, cattle_side, bison_side):
    for side in (cattle_side, bison_side):
        svg = side_svg(replace(side, hand=hand), shade=shade)
        assert clashes(svg) == []
        for box in boxes(ElementTree.fromstring(svg)):
            assert box.left >= 0 and box.right <= SHEET_WIDTH, box.text
            assert box.top >= 0 and box.foot <= SHEET_HEIGHT, box.text


def test_every_region_of_both_species_has_its_label_and_line(cattle_side, bison_side, drawn):
    for side in (cattle_side, bison_side):
        picture = drawn(side_svg(side))
        shown = [region for region in side.regions if region.slug in ANCHORS]
        for region in shown:
            assert picture.texts.count(region.name) == 1
        dots = [node for node in picture.root.iter(f"{SVG}circle") if node.get("r") == "4"]
        assert len(dots) == len(shown)


def test_a_line_ends_in_the_region_it_names(cattle_side, drawn):
    """The mark lies inside the region's own outline, by the box about its path."""
    picture = drawn(side_svg(cattle_side))
    for slug in ("round", "sirloin", "short-loin", "rib", "chuck", "flank", "plate", "brisket", "kidney-fat"):
        path = picture.of_class(slug)[0].get("d")
        numbers = [float(part) for part in re.findall(r"-?\d+\.?\d*", path)]
        xs, ys = numbers[::2], numbers[1::2]
        x, y, _ = ANCHORS[slug]
        assert min(xs) < WIDTH - x < max(xs), slug
        assert min(ys) < y < max(ys), slug


def test_labels_lie_outside_the_drawing(cattle_side):
    """The side takes the middle 400; names stand in the margins of 256 at either hand."""
    names = {region.name for region in cattle_side.regions if region.slug in ANCHORS}
    for box in boxes(ElementTree.fromstring(side_svg(cattle_side))):
        if box.text in names:
            assert box.right <= LABEL_WIDTH or box.left >= LABEL_WIDTH + WIDTH


@pytest.mark.parametrize("missing", ["round", "hump", "chuck", "kidney-fat", "flank"])
def test_a_missing_region_takes_only_its_label(missing, bison_side, drawn):
    regions = tuple(region for region in bison_side.regions if region.slug != missing)
    svg = side_svg(replace(bison_side, regions=regions))
    assert missing.replace("-", " ") not in drawn(svg).texts
    assert clashes(svg) == []
    assert len(drawn(svg).of_class("rib-of-rib")) == 8


def test_left_and_right_have_the_same_words(cattle_side, drawn):
    left, right = (drawn(side_svg(replace(cattle_side, hand=hand))) for hand in ("left", "right"))
    swapped = [text.replace("left side", "right side") for text in left.texts]
    assert sorted(swapped) == sorted(right.texts)
    for picture, back_at_left in ((right, True), (left, False)):
        places = {node.text: float(node.get("x")) for node in picture.root.iter(f"{SVG}text")}
        assert (places["chuck"] < SHEET_WIDTH / 2) is back_at_left
        assert (places["brisket"] > SHEET_WIDTH / 2) is back_at_left


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(weights=st.lists(st.floats(0.0, 400.0), min_size=13, max_size=13), data=st.data())
def test_no_weights_make_labels_clash(cattle_side, weights, data):
    slugs = data.draw(st.permutations([slug for slug in ANCHORS if slug not in ("loin", "shank")]))
    regions = tuple(Region(slug, slug, Estimate.normal(kg, 0.1 * kg), kg * 10)
                    for slug, kg in zip(slugs, weights, strict=False))  # fmt: skip
    assert clashes(side_svg(replace(cattle_side, regions=regions), shade="value")) == []


@given(st.lists(st.tuples(st.floats(0, 900), st.floats(10, 90)), min_size=1, max_size=9))
def test_tops_keep_their_order_and_their_room(tags):
    """Whenever the labels fit at all, each has its height to itself and none reaches below the foot."""
    tags = sorted(tags)
    wished, heights = [wish for wish, _ in tags], [height for _, height in tags]
    foot = 1000.0
    tops = spread(wished, heights, foot)
    assert all(
        top + height <= after + 1e-6 for (top, after), height in zip(pairwise(tops), heights, strict=False)
    )
    assert tops[-1] + heights[-1] <= foot + 1e-6


def test_no_figure_of_the_kinds_lies_over_another(sample_faces):
    root = ElementTree.fromstring(kinds_svg(sample_faces, title="Four kinds"))
    columns = [node for node in root.iter(f"{SVG}g") if node.get("class") == "kind"]
    assert len(columns) == 4
    for column in columns:
        found = boxes(column)
        assert [(a.text, b.text) for a, b in combinations(found, 2) if a.over(b)] == []
        assert all(box.right <= 290 for box in found)


def bars(svg: str) -> list[ElementTree.Element]:
    return [node for node in ElementTree.fromstring(svg).iter(f"{SVG}rect") if node.get("height") == "10"]


def test_bars_lie_inside_the_axis_and_about_their_dot(sample_pieces):
    (svg,) = interval_pages(sample_pieces, title="t")
    dots = list(ElementTree.fromstring(svg).iter(f"{SVG}circle"))
    assert len(bars(svg)) == len(dots) == len(sample_pieces)
    for bar, dot in zip(bars(svg), dots, strict=True):
        left, wide = float(bar.get("x")), float(bar.get("width"))
        assert left >= NAMES - 0.01
        assert left + wide <= PLOT_END + 0.01
        assert left <= float(dot.get("cx")) <= left + wide


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.01, 500), min_size=1, max_size=60))
def test_bars_are_as_long_as_their_intervals(means):
    pieces = [PieceInterval("g", str(i), Estimate.normal(mean, 0.1 * mean)) for i, mean in enumerate(means)]
    found = [bar for svg in interval_pages(pieces, title="t") for bar in bars(svg)]
    spans = [piece.kg.p95 - piece.kg.p05 for piece in sorted(pieces, key=lambda piece: -piece.kg.mean)]
    per_kg = (PLOT_END - NAMES) / (1.02 * max(piece.kg.p95 for piece in pieces))
    for bar, span in zip(found, spans, strict=True):
        assert float(bar.get("width")) == pytest.approx(span * per_kg, abs=0.02)


def test_rows_of_pieces_stand_one_below_the_other(sample_pieces):
    (svg,) = interval_pages(sample_pieces, title="t")
    heights = [float(dot.get("cy")) for dot in ElementTree.fromstring(svg).iter(f"{SVG}circle")]
    assert all(later - earlier >= ROW - 0.01 for earlier, later in pairwise(heights))


def test_the_curve_falls_as_the_weight_does(sample_curve):
    """A side only loses weight, so on the sheet the line runs right and down, never up."""
    (line,) = ElementTree.fromstring(curve_svg(sample_curve)).iter(f"{SVG}polyline")
    places = [tuple(map(float, pair.split(","))) for pair in (line.get("points") or "").split()]
    assert all(b[0] > a[0] and b[1] >= a[1] for a, b in pairwise(places))
    assert places[0][0] == pytest.approx(LEFT) and places[-1][0] == pytest.approx(RIGHT)
    assert all(TOP <= y <= FOOT for _, y in places)


def test_weighings_far_off_the_curve_still_lie_on_the_sheet(sample_curve):
    from gambrel.files.drawing.inputs import Weighing

    wild = replace(sample_curve, weighings=(Weighing(0.0, 300.0), Weighing(30.0, 20.0)))
    for dot in ElementTree.fromstring(curve_svg(wild)).iter(f"{SVG}circle"):
        assert LEFT <= float(dot.get("cx")) <= RIGHT
        assert TOP <= float(dot.get("cy")) <= FOOT
