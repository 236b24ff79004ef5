"""Drawings and sheets speak as they are asked to: laid out by the words that are said, English where nobody asks."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pypdfium2
import pytest

from gambrel.files.drawing.inputs import PieceInterval
from gambrel.files.drawing.intervals import interval_pages
from gambrel.files.drawing.svg import label, picture, shortened, wrapped
from gambrel.files.sheets import typeset as typesetting
from gambrel.files.sheets.cooler_log import cooler_log_pdf
from gambrel.files.sheets.inputs import Head
from gambrel.files.speech import ENGLISH, Speech, all_spoken, language, speaking, spoken
from gambrel.measures import Estimate


def loud(text: str) -> str:
    return text.upper()


LOUD = Speech("es", loud)


def test_english_is_spoken_until_somebody_asks_for_other_words() -> None:
    assert (spoken("the rail"), language()) == ("the rail", "en")
    with speaking(LOUD):
        assert (spoken("the rail"), language()) == ("THE RAIL", "es")
        with speaking(ENGLISH):
            assert spoken("the rail") == "the rail"
        assert spoken("the rail") == "THE RAIL"
    assert spoken("the rail") == "the rail"


def test_english_is_spoken_again_after_a_mistake() -> None:
    with pytest.raises(ZeroDivisionError), speaking(LOUD):
        raise ZeroDivisionError
    assert spoken("the rail") == "the rail"


def test_each_thread_speaks_for_itself() -> None:
    with speaking(LOUD), ThreadPoolExecutor(1) as pool:
        assert pool.submit(spoken, "the rail").result() == "the rail"


def test_every_text_of_a_value_is_spoken_and_its_names_stay() -> None:
    value = {"title": "the plan", "rows": [("a", 1.5, None)], "large": True}
    with speaking(LOUD):
        assert all_spoken(value) == {"title": "THE PLAN", "rows": [["A", 1.5, None]], "large": True}


def longer(text: str) -> str:
    return text.replace("side", "media canal")


@pytest.mark.parametrize(
    ("made", "english", "spanish"),
    [
        (lambda: label(0, 0, "side"), ">side<", ">media canal<"),
        (lambda: shortened("side side", 100, 18), "side side", "media ca…"),
        (lambda: " | ".join(wrapped("side on side", 100, 12)), "side on side", "media canal on | media canal"),
        (lambda: picture(9, 9, title="side", desc=""), "title>side<", "title>media canal<"),
    ],
)  # fmt: skip
def test_a_drawing_is_laid_out_by_the_words_that_are_said(
    made: Callable[[], str], english: str, spanish: str
) -> None:
    assert english in made()
    with speaking(Speech("es", longer)):
        assert spanish in made()


def test_a_picture_says_every_word_in_the_language_it_is_asked_in() -> None:
    pieces = [PieceInterval("loin", "strip steak", Estimate(4.0, 3.0, 5.0))]
    with speaking(LOUD):
        (svg,) = interval_pages(pieces, title="Pieces")
    texts = re.findall(r"<(?:text|title)[^>]*>([^<]+)<", svg)
    assert len(texts) > 10 and all(text == text.upper() for text in texts)
    (told,) = re.findall("<desc>([^<]+)<", svg)
    assert told.startswith("WEIGHT OF EACH PIECE") and "STRIP STEAK 4.0 kg" in told


def pdf_text(pdf: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))


def test_a_sheet_says_its_templates_and_its_datas_words() -> None:
    head = Head("Cottonwood Bend", "Log of the cooler", date(2026, 3, 9))
    english = pdf_text(cooler_log_pdf(head, [], notes=["a gap"]))
    assert "read by" in english and "page 1 of 1" in english and "a gap" in english
    with speaking(LOUD):
        said = pdf_text(cooler_log_pdf(head, [], notes=["a gap"]))
    assert "READ BY" in said and "PAGE 1 OF 1" in said and "A GAP" in said and "LOG OF THE COOLER" in said


def test_no_template_shows_a_word_that_is_not_said() -> None:
    """Texts between quotes that a reader would see stand in said("..."); the card and the labels are as they are."""
    from importlib import resources

    folder = resources.files(typesetting.__package__).joinpath("templates")
    for path in folder.iterdir():
        if path.name in ("card.typ", "label.typ"):
            continue
        text = re.sub(r"//.*", "", path.read_text("utf-8"))
        shown = re.sub(r'said\("[^"]+"\)|json\("[^"]+"\)|#import "[^"]+"', "", text)
        quoted = [one for one in re.findall(r'"([^"\n]*)"', shown) if re.search("[a-z]{3}", one)]
        allowed = {"Libertinus Serif", "tabular", "contain", "side.svg", "kinds.svg", "stretch"}
        assert [one for one in quoted if one not in allowed] == [], path.name
