"""The printed card read back: rendered, its markers found, every corner, patch and the bar where the layout says.

The layout is typed here from the card's description, not taken from the code that draws it.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner

from gambrel.cli.main import main
from gambrel.files.scale_card import card_pdf
from gambrel.ribface.plane import Card, find_card

DPI = 300
PX_PER_MM = DPI / 25.4
MADE_ON = date(2026, 3, 9)
CORNERS_MM = {10: (4, 4, 20, 20), 11: (85, 4, 101, 20), 12: (85, 54, 101, 70), 13: (4, 54, 20, 70)}
PATCHES = {22.5: 243, 32.5: 200, 42.5: 160, 52.5: 122, 62.5: 85, 72.5: 52}
FIRST_CARD_MM = {"letter": ((215.9 - 105) / 2, 18.0), "a4": ((210 - 105) / 2, 18.0)}
SIZES_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}


def rendered(data: bytes, page: int = 0) -> np.ndarray:
    """A page as grey values at 300 dots an inch."""
    document = pypdfium2.PdfDocument(data)
    picture = document[page].render(scale=DPI / 72).to_numpy()
    return np.ascontiguousarray(picture[:, :, :3])


def upper_card(paper: str) -> tuple[np.ndarray, np.ndarray]:
    """The first card with 5 mm of page around it, and where its corner lies in that piece [px]."""
    page = rendered(card_pdf(paper=paper, count=1, made_on=MADE_ON))
    x, y = FIRST_CARD_MM[paper]
    left, top = round((x - 5) * PX_PER_MM), round((y - 5) * PX_PER_MM)
    piece = page[top : top + round(84 * PX_PER_MM), left : left + round(115 * PX_PER_MM)]
    return np.ascontiguousarray(piece), np.array([x * PX_PER_MM - left, y * PX_PER_MM - top])


def markers(picture: np.ndarray) -> dict[int, np.ndarray]:
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    finder = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), settings)
    corners, names, _ = finder.detectMarkers(cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY))
    return {int(name): found[0] for name, found in zip(np.ravel(names), corners, strict=True)}


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_marker_corner_within_a_tenth_of_a_millimetre(paper: str) -> None:
    picture, origin = upper_card(paper)
    found = markers(picture)
    assert sorted(found) == [10, 11, 12, 13]
    for name, (left, top, right, bottom) in CORNERS_MM.items():
        wanted = [(left, top), (right, top), (right, bottom), (left, bottom)]
        seen_mm = (
            found[name] + 0.5 - origin
        ) / PX_PER_MM  # whole pixels are centres, edges lie half a pixel off
        assert np.abs(seen_mm - wanted).max() < 0.1, name


def test_the_grey_patches_are_the_levels_of_the_layout() -> None:
    picture, origin = upper_card("letter")
    for left, level in PATCHES.items():
        for x, y in [(left + 0.5, 32.5), (left + 5, 37), (left + 9.5, 41.5)]:
            column, row = (origin + np.array([x, y]) * PX_PER_MM).astype(int)
            assert np.abs(picture[row, column].astype(int) - level).max() <= 2, (left, x, y)
    column, row = (origin + np.array([21.5, 37]) * PX_PER_MM).astype(int)
    assert picture[row, column].min() == 255


def test_the_check_bar_is_50_mm_and_half_a_millimetre_thick() -> None:
    picture, origin = upper_card("a4")
    grey = 1 - picture[:, :, 1] / 255.0
    row, column = int(origin[1] + 60 * PX_PER_MM), int(origin[0] + 52 * PX_PER_MM)
    ends = slice(int(origin[0] + 22 * PX_PER_MM), int(origin[0] + 82 * PX_PER_MM))
    around = slice(int(origin[1] + 56 * PX_PER_MM), int(origin[1] + 64 * PX_PER_MM))
    assert grey[row, ends].sum() / PX_PER_MM == pytest.approx(50, abs=0.1)
    assert grey[around, column].sum() / PX_PER_MM == pytest.approx(0.5, abs=0.05)
    middle = (np.arange(around.start, around.stop) * grey[around, column]).sum() / grey[around, column].sum()
    assert (middle + 0.5 - origin[1]) / PX_PER_MM == pytest.approx(60, abs=0.1)


def test_nothing_else_is_printed_on_the_card() -> None:
    picture, origin = upper_card("letter")
    left, top = np.ceil(origin).astype(int)
    right, bottom = np.floor(origin + np.array([105, 74]) * PX_PER_MM).astype(int)
    card = picture[top:bottom, left:right].min(axis=2) < 250
    known = [*CORNERS_MM.values(), (22.5, 32, 82.5, 42), (27.5, 59.75, 77.5, 60.25)]
    for x0, y0, x1, y1 in known:
        edges = np.array([x0 - 0.1, y0 - 0.1, x1 + 0.2, y1 + 0.2]) * PX_PER_MM
        a, b, c, d = edges.astype(int)
        card[b : d + 1, a : c + 1] = False
    assert not card[2:-2, 2:-2].any()


def test_the_reader_takes_the_printed_card() -> None:
    picture, _ = upper_card("letter")
    card = find_card(picture)
    assert isinstance(card, Card)
    assert card.markers == (10, 11, 12, 13)
    assert card.plane.mm_per_px(np.array([600.0, 400.0])) == pytest.approx(25.4 / DPI, rel=0.002)
    assert card.tilt_deg < 1


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_pages_are_full_size_and_hold_two_cards(paper: str) -> None:
    document = pypdfium2.PdfDocument(card_pdf(paper=paper, count=3, made_on=MADE_ON))
    assert len(document) == 2
    wanted = [size / 25.4 * 72 for size in SIZES_MM[paper]]
    assert list(document[0].get_size()) == pytest.approx(wanted, abs=0.2)
    text = " ".join(document[0].get_textpage().get_text_bounded().split())
    for words in ("100 %", "50 mm", "sanitise", "in the plane of the cut face", "food-safety plan"):
        assert words in text


def test_the_same_card_gives_the_same_bytes() -> None:
    first, second = (card_pdf(paper="a4", count=1, made_on=MADE_ON) for _ in range(2))
    assert first == second
    with pytest.raises(ValueError, match="from 1 to 100"):
        card_pdf(paper="a4", count=0, made_on=MADE_ON)


def test_the_command_writes_it(tmp_path: Path) -> None:
    out = tmp_path / "cards" / "card.pdf"
    answer = CliRunner().invoke(main, ["card", "--out", str(out), "--count", "1", "--json"])
    assert answer.exit_code == 0
    assert json.loads(answer.stdout) == {"file": str(out), "cards": 1, "paper": "letter"}
    assert out.read_bytes().startswith(b"%PDF")


def test_the_command_names_all_that_is_wrong(tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    answer = CliRunner().invoke(
        main, ["card", "--out", str(out), "--paper", "foolscap", "--count", "many", "--json"]
    )
    assert answer.exit_code == 1
    assert [finding["where"] for finding in json.loads(answer.stdout)["findings"]] == ["paper", "count"]
    assert not out.exists()
