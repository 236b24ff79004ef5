"""The scale card as PDF, 1:1: what is printed, laminated and laid beside the eye."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from gambrel.files.sheets.typeset import typeset
from gambrel.ribface.light import PATCH_LEFT_MM, PATCH_SIDE_MM, PATCH_TOP_MM, PATCH_VALUES
from gambrel.ribface.markers import MARKER_AT_MM, MARKER_MM
from gambrel.ribface.plane import BAR_AT_MM, CARD_MM

BAR_THICK_MM = 0.5

PAGE_WIDTH_MM = {"letter": 215.9, "a4": 210.0}
CARDS_A_PAGE = 2
TOPS_MM = (18.0, 104.0)
WORDS_TOP_MM = 190.0
MOST_CARDS = 100

TITLE = "Scale card"
STEPS = (
    "Print at 100 %, on plain white paper, matt if there is a choice. “Fit to page” makes every reading wrong.",
    "Lay a ruler on the black bar. It must be 50 mm long (1 31/32 in), no more than a quarter millimetre off; if "
    "it is not, set the printer to 100 % and print again.",
    "Cut along the inside of the thin line. Leave the white around the four corner squares as it is.",
    "Laminate it, matt film for least glare, and keep it flat: a bent card is refused.",
    "Wash and sanitise it between carcasses, as everything that touches meat. Throw it away when it is scratched, "
    "stained or yellow.",
    "Lay it flat beside the eye, in the plane of the cut face, not on the fat cover and not leaning; hands off "
    "the corners.",
)
NOTE = (
    "The grey squares tell the light, the corner squares the scale. Follow your own food-safety plan and the "
    "inspector in charge for what may touch a carcass."
)


def card_pdf(*, paper: str, count: int, made_on: date) -> bytes:
    """PDF bytes with `count` cards, two to a page, on `paper` (letter or a4)."""
    if not 1 <= count <= MOST_CARDS:
        raise ValueError(f"from 1 to {MOST_CARDS} cards, not {count}")
    left = (PAGE_WIDTH_MM[paper] - CARD_MM[0]) / 2
    places = [(left, TOPS_MM[number % CARDS_A_PAGE]) for number in range(count)]
    data = {
        "title": TITLE,
        "card": CARD_MM,
        "marker_mm": MARKER_MM,
        "markers": [{"x": x, "y": y, "white": list(white_cells(marker))} for marker, (x, y) in MARKER_AT_MM.items()],
        "patches": [
            {"x": x, "y": PATCH_TOP_MM, "side": PATCH_SIDE_MM, "level": level}
            for x, level in zip(PATCH_LEFT_MM, PATCH_VALUES, strict=True)
        ],
        "bar": {"left": BAR_AT_MM[0], "right": BAR_AT_MM[1], "y": BAR_AT_MM[2], "thick": BAR_THICK_MM},
        "pages": [places[start : start + CARDS_A_PAGE] for start in range(0, count, CARDS_A_PAGE)],
        "words": {"x": 25.0, "y": WORDS_TOP_MM, "width": PAGE_WIDTH_MM[paper] - 50.0},
        "steps": STEPS,
        "note": NOTE,
    }  # fmt: skip
    return typeset("card", data, {}, paper=paper, made_on=made_on)


def white_cells(marker_number: int) -> Iterator[tuple[float, float, float, float]]:
    """White boxes (x, y, width, height in mm) of a marker within its black square, a run of cells each.

    The pattern is that of the open ArUco dictionary DICT_4X4_50: 4 x 4 cells in a border of one.
    """
    import cv2

    words: Any = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    bits = cv2.aruco.generateImageMarker(words, marker_number, 6)
    side = MARKER_MM / 6
    for row, line in enumerate(bits > 127):
        column = 0
        while column < 6:
            length = 0
            while column + length < 6 and line[column + length]:
                length += 1
            if length:
                yield column * side, row * side, length * side, side
            column += max(1, length)
