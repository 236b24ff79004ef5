"""The gallery: its pictures are there and small, and its refusals are sentences the program has."""

from __future__ import annotations

import re
from pathlib import Path

import house
import pytest
from PIL import Image

from gambrel.ribface.refuse import Reason

PAGE = house.ROOT / "docs" / "gallery.md"
TEXT = PAGE.read_text("utf-8")
PICTURES = re.findall(r"!\[([^\]]+)\]\((gallery/[\w-]+\.jpg)\)", TEXT)
QUOTED = re.findall(r"^> (.+)$", TEXT, flags=re.MULTILINE)
WRONG = (Reason.NO_CARD, Reason.TOO_LITTLE_CARD, Reason.CARD_TILTED, Reason.EYE_CUT_OFF, Reason.BLURRED,
         Reason.TOO_DARK, Reason.BLOWN_OUT, Reason.NOT_A_RIB_FACE, Reason.TWO_FACES)  # fmt: skip


def path_of(name: str) -> Path:
    return PAGE.parent / name


@pytest.mark.parametrize("name", [name for _, name in PICTURES])
def test_a_picture_is_there_and_light_enough_to_send(name: str) -> None:
    assert path_of(name).stat().st_size <= 120_000
    with Image.open(path_of(name)) as picture:
        picture.load()
        assert picture.format == "JPEG"
        assert 300 <= picture.width <= 900


def test_every_picture_in_the_folder_is_shown_and_all_are_light() -> None:
    shown = {path_of(name) for _, name in PICTURES}
    files = set((PAGE.parent / "gallery").glob("*.jpg"))
    assert {path.name for path in files - shown} <= {"face.jpg"}
    assert sum(path.stat().st_size for path in files) < 2_500_000


def test_no_picture_carries_where_or_with_what_it_was_taken() -> None:
    for _, name in PICTURES:
        with Image.open(path_of(name)) as picture:
            assert dict(picture.getexif()) == {}, name


def test_every_stage_and_kind_and_fault_has_its_picture() -> None:
    names = [name for _, name in PICTURES]
    assert sum(bool(re.match(r"gallery/\d-", name)) for name in names) == 9
    assert sum("kind-" in name for name in names) == 4
    assert sum("wrong-" in name for name in names) == len(WRONG) == len(QUOTED)
    assert all(words.strip() for words, _ in PICTURES)


@pytest.mark.parametrize(
    ("reason", "quoted"), list(zip(WRONG, QUOTED, strict=False)), ids=lambda value: str(value)[:20]
)
def test_a_quoted_refusal_is_the_programs_own(reason: Reason, quoted: str) -> None:
    assert quoted.startswith(f"{reason.sentence}: ")
    assert quoted.endswith(f"; {reason.do}")
    given = quoted.removeprefix(f"{reason.sentence}: ").removesuffix(f"; {reason.do}")
    assert given.strip()


def test_the_figures_of_the_four_kinds_are_near_those_they_were_drawn_with() -> None:
    rows = re.findall(r"^\| ([A-Z][\w-]+) \| ([\d.]+) cm2 \(([\d.]+)\)", TEXT, flags=re.MULTILINE)
    assert [row[0] for row in rows] == ["Bison", "Grass-finished", "Grain-finished", "Wagyu"]
    for kind, read, drawn in rows:
        assert float(read) == pytest.approx(float(drawn), rel=0.06), kind


@pytest.mark.parametrize("words", ["10 minutes", "Journal of Animal Science", "7 CFR 54", "put them down",
                                   "inspector in charge", "licensed grader"])  # fmt: skip
def test_the_page_says(words: str) -> None:
    told = TEXT.replace("**", "")
    assert words in told
