"""The SVG helper: what people type is shown and never becomes part of the drawing."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.drawing import colours
from gambrel.files.drawing.svg import (
    box,
    element,
    label,
    number,
    paragraph,
    picture,
    polygon,
    polyline,
    shortened,
    words,
    wrapped,
)

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = [
    "<script>alert(1)</script>",
    '"><image href="http://example.invalid/x.png"/>',
    "]]>&lt;!-- -->",
    "&#x0;&bogus;",
    "Señor Gómez & Söhne <Ltd>",
    "牛 🥩 שלום",
    "\x00\x07\x1b[31m\x7f\x85\ufffe",
    "' onload='x'",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text):
    svg = picture(100, 50, label(5, 20, text), title=text, desc=text)
    root = ElementTree.fromstring(svg)
    assert {node.tag.removeprefix(SVG) for node in root.iter()} == {"svg", "title", "desc", "rect", "text"}
    kept = "".join(c if ord(c) >= 32 and c not in "\x7f\x85\ufffe" else " " for c in text)
    assert root.findtext(f"{SVG}text") == kept
    assert root.findtext(f"{SVG}title") == kept


@given(st.text(max_size=200))
def test_any_text_gives_xml_that_parses(text):
    svg = picture(10, 10, element("g", words(text), class_=text), title=text, desc=text)
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"


def test_a_picture_has_its_own_paper_title_and_desc_and_no_script():
    svg = picture(200, 100, title="a title", desc="what it shows")
    root = ElementTree.fromstring(svg)
    assert root.get("viewBox") == "0 0 200 100"
    assert root.get("role") == "img"
    assert root[0].tag == f"{SVG}title" and root[0].text == "a title"
    assert root[1].tag == f"{SVG}desc" and root[1].text == "what it shows"
    paper = root[2]
    assert (paper.get("fill"), paper.get("width"), paper.get("height")) == (colours.PAPER, "200", "100")
    assert root.get("font-family") == "sans-serif"


def test_attributes_are_written_with_hyphens_and_none_is_left_out():
    assert element("g", class_="rib", stroke_width=2, fill=None) == '<g class="rib" stroke-width="2"/>'


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (1.0, "1"),
        (0.0, "0"),
        (-0.001, "0"),
        (12.345, "12.35"),
        (-7.5, "-7.5"),
        (1e6, "1000000"),
        (100, "100"),
    ],
)
def test_coordinates_are_short(value, written):
    assert number(value) == written


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_coordinate_that_is_no_number_is_refused(value):
    with pytest.raises(ValueError, match="finite"):
        number(value)
    with pytest.raises(ValueError, match="finite"):
        box(0, value, 1, 1, fill="#ffffff")


def test_a_box_is_never_narrower_than_nothing():
    assert 'width="0"' in box(0, 0, -3, 5, fill="#ffffff")


def test_lines_of_points():
    assert 'points="0,0 1,2"' in polyline([(0, 0), (1, 2)])
    assert 'points="0,0 1,2 3,4"' in polygon([(0, 0), (1, 2), (3, 4)])


def test_text_is_shortened_with_an_ellipsis_to_fit():
    assert shortened("chuck roll", 500, 16) == "chuck roll"
    cut = shortened("a very long name of a piece of meat", 100, 16)
    assert cut.endswith("…")
    assert len(cut) <= 100 / (0.56 * 16)


@given(st.text(alphabet="abc de", max_size=80), st.floats(20, 400))
def test_wrapped_lines_fit_and_keep_the_words(text, width):
    lines = wrapped(text, width, 16, most=100)
    room = max(1, int(width / (0.56 * 16)))
    assert all(len(line) <= max(room, 2) for line in lines)
    if all(len(word) <= room for word in text.split()):
        assert " ".join(lines).split() == text.split()


def test_wrapping_stops_at_the_most_lines():
    lines = wrapped("word " * 60, 120, 16, most=3)
    assert len(lines) == 3
    assert lines[-1].endswith("…")


def test_a_paragraph_steps_down():
    drawing = ElementTree.fromstring(paragraph(10, 20, ["one", "two"], size=10))
    heights = [float(node.get("y")) for node in drawing]
    assert heights == [20.0, 33.5]


def test_a_halo_clears_the_paper_behind_letters():
    assert 'paint-order="stroke"' in label(0, 0, "x", halo=True)
    assert "paint-order" not in label(0, 0, "x")


def test_text_colours_are_readable_on_paper():
    """4.5 to 1 is the least for text [WCAG 2.1, criterion 1.4.3, W3C, 2018]."""
    for name in ("INK", "QUIET", "OVER", "TARGET", "CUT", "CURVE"):
        assert colours.contrast(getattr(colours, name), colours.PAPER) >= 4.5, name
    assert colours.contrast(colours.PAPER, colours.CUT) >= 4.5
    assert colours.contrast(colours.INK, colours.READY) >= 4.5
    assert colours.contrast(colours.INK, colours.FAINT) >= 4.5


def test_contrast_of_black_on_white_is_the_published_21():
    """Black on white is 21 to 1 [the same guidelines, definition of contrast ratio]."""
    assert colours.contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert colours.contrast("#777777", "#777777") == pytest.approx(1.0)


def test_the_ramp_darkens_all_the_way_and_is_clipped():
    darkness = [colours.contrast(colours.ramp(step / 20), "#ffffff") for step in range(21)]
    assert darkness == sorted(darkness)
    assert colours.ramp(-1) == colours.ramp(0)
    assert colours.ramp(2) == colours.ramp(1)
