"""The cooler's log as a picture and as a document: places by hand arithmetic, gaps, both units, hostile words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from xml.etree import ElementTree

import pytest

from gambrel.files.drawing.colours import CURVE, CUT
from gambrel.files.drawing.cooler_log import FOOT, LEFT, RIGHT, TOP, cooler_svg
from gambrel.files.sheets.cooler_log import LogRow, cooler_log_pdf
from gambrel.files.sheets.inputs import Head

SVG = "{http://www.w3.org/2000/svg}"
START = datetime(2026, 3, 9, 6, 0)
HOLD_C = (-1.0, 3.0)
HEAD = Head("Cottonwood Bend", "Log of the north cooler", date(2026, 3, 12))


def readings(*pairs: tuple[float, float]) -> list[tuple[datetime, float]]:
    """Hours after the start, and the air [C]."""
    return [(START + timedelta(hours=hours), air_c) for hours, air_c in pairs]


def draw(*pairs: tuple[float, float], gap_hours: float = 12.0, title: str = "North cooler") -> str:
    return cooler_svg(readings(*pairs), title=title, hold_c=HOLD_C, gap_hours=gap_hours)


def all_of(svg: str, tag: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(svg).iter(f"{SVG}{tag}"))


def texts(svg: str) -> list[str]:
    return ["".join(one.itertext()) for one in all_of(svg, "text")]


def test_hours_run_across_to_scale() -> None:
    dots = all_of(draw((0, 1.0), (6, 2.0), (24, 1.0), gap_hours=24), "circle")
    across = RIGHT - LEFT
    assert [float(dot.get("cx", "")) for dot in dots] == pytest.approx(
        [LEFT, LEFT + across / 4, RIGHT], abs=0.01
    )


def test_air_runs_up_to_scale() -> None:
    """From a degree under the range (-2) to a degree over it (4): 6 degrees over the height; 1 lies in the middle."""
    dots = all_of(draw((0, -1.0), (1, 1.0), (2, 3.0)), "circle")
    height = FOOT - TOP
    assert [float(dot.get("cy", "")) for dot in dots] == pytest.approx(
        [FOOT - height / 6, FOOT - height / 2, TOP + height / 6], abs=0.01
    )


def test_air_out_of_the_range_widens_the_picture() -> None:
    """11 C: the picture then goes from -2 to 12, and the reading lies 13/14 of the way up."""
    dots = all_of(draw((0, 1.0), (1, 11.0)), "circle")
    assert float(dots[1].get("cy", "")) == pytest.approx(FOOT - (FOOT - TOP) * 13 / 14, abs=0.01)


def test_the_holding_range_is_a_band_between_its_ends() -> None:
    band = next(
        one for one in all_of(draw((0, 1.0), (1, 1.0)), "rect") if one.get("width") == f"{RIGHT - LEFT:g}"
    )
    height = FOOT - TOP
    assert float(band.get("y", "")) == pytest.approx(TOP + height / 6, abs=0.01)
    assert float(band.get("height", "")) == pytest.approx(height * 4 / 6, abs=0.01)


@pytest.mark.parametrize(
    ("air_c", "inside"),
    [(-1.0, True), (3.0, True), (-1.01, False), (3.01, False), (1.0, True), (-20.0, False), (25.0, False)],
)
def test_a_reading_out_of_the_range_has_another_colour(air_c: float, inside: bool) -> None:
    dot = all_of(draw((0, 1.0), (1, air_c)), "circle")[1]
    assert dot.get("fill") == (CURVE if inside else CUT)


@pytest.mark.parametrize(
    ("hours", "points_of_lines"),
    [
        ((0, 12, 24), [3]),  # 12 hours are allowed
        ((0, 12.01, 24), [2]),  # the first stands alone: a dot without a line
        ((0, 6, 30, 36), [2, 2]),
        ((0, 20, 40), []),
        ((0, 6, 12, 40), [3]),
    ],
)
def test_the_line_is_broken_where_a_gap_is_longer_than_allowed(
    hours: tuple[float, ...], points_of_lines: list[int]
) -> None:
    svg = draw(*((hour, 1.0) for hour in hours))
    assert [len(one.get("points", "").split()) for one in all_of(svg, "polyline")] == points_of_lines
    assert len(all_of(svg, "circle")) == len(hours), "every reading has its dot, in a line or alone"


def test_the_ends_of_the_log_are_dated_and_every_reading_is_said_in_both_units() -> None:
    """0 C is 32 F, 4 C is 39.2 F, -40 is the same in both."""
    svg = draw((0, 0.0), (6, 4.0), (12, -40.0))
    said = texts(svg)
    assert "2026-03-09 06:00" in said and "2026-03-09 18:00" in said and "North cooler" in said
    assert "°C" in said and "°F" in said
    told = "".join(all_of(svg, "desc")[0].itertext())
    assert told.split("; ") == [
        "2026-03-09 06:00: 0.0 °C (32 °F)",
        "2026-03-09 12:00: 4.0 °C (39 °F)",
        "2026-03-09 18:00: -40.0 °C (-40 °F)",
    ]


@pytest.mark.parametrize(
    "pairs",
    [(), ((0, 1.0),), ((1, 1.0), (0, 1.0)), ((0, 1.0), (0, 2.0)), ((0, 1.0), (2, 1.0), (1, 1.0))],
    ids=["none", "one", "falling", "at once", "back again"],
)
def test_a_log_is_drawn_from_two_readings_with_rising_times(pairs: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="two readings or more"):
        draw(*pairs)


@pytest.mark.parametrize(
    "title", ["<script>alert(1)</script>", "A & B", 'said "cold"', "</svg>", "Cámara fría"]
)
def test_the_name_of_a_room_is_words_and_nothing_else(title: str) -> None:
    svg = draw((0, 1.0), (1, 1.0), title=title)
    assert title in texts(svg), "it reads back whole"
    assert "<script" not in svg and "<style" not in svg and " style=" not in svg


ROWS = (
    LogRow(START, 1.0, 20.0, 35.0, 88.4, "Wren", "door was open"),
    LogRow(START + timedelta(hours=6), None, None, 10.0, None, "a program", ""),
)


def printed(pages: Callable[[bytes], list[str]], rows: tuple[LogRow, ...], **more: str) -> str:
    return " ".join(
        " ".join(pages(cooler_log_pdf(HEAD, rows, notes=["The air was warm once."], **more))).split()
    )


def test_a_printed_log_has_every_figure_in_both_units(pages_of: Callable[[bytes], list[str]]) -> None:
    """1 C is 33.8 F, 20 C 68 F, 35 C 95 F, 10 C 50 F."""
    said = printed(pages_of, ROWS)
    for words in ("1.0 °C · 34 °F", "20.0 °C · 68 °F", "35.0 °C · 95 °F", "10.0 °C · 50 °F", "88 %"):
        assert words in said
    for words in ("2026-03-09 06:00", "2026-03-09 12:00", "Wren", "a program", "door was open"):
        assert words in said
    assert "Cottonwood Bend" in said and "The air was warm once." in said and "None" not in said


@pytest.mark.parametrize(
    "note",
    ["#set page(fill: red)", "$x$ and _so_ *on*", '"] #panic()', "\\ # @ < >", "puerta abierta, ñandú"],
)
def test_what_a_person_wrote_is_printed_as_words(note: str, pages_of: Callable[[bytes], list[str]]) -> None:
    said = printed(pages_of, (LogRow(START, 1.0, None, None, None, "Wren", note),))
    assert "".join(note.split()) in "".join(said.split())


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_an_empty_log_is_a_document_too_on_either_paper(
    paper: str, pages_of: Callable[[bytes], list[str]]
) -> None:
    assert "Log of the north cooler" in printed(pages_of, (), paper=paper)


def test_the_same_log_is_the_same_document() -> None:
    assert cooler_log_pdf(HEAD, ROWS, notes=[]) == cooler_log_pdf(HEAD, ROWS, notes=[])
