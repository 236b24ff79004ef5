"""Labels as PDF: one to a page on a roll, or laid on a sheet from any place on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from gambrel.files.barcode import Barcode, data_matrix, gs1_128, in_store, qr
from gambrel.files.sheets.label_sizes import SIZES, LabelSize
from gambrel.files.sheets.typeset import typeset, words_shown
from gambrel.files.speech import ENGLISH, speaking
from gambrel.measures import CannotDo, Finding
from gambrel.sell.digital_link import digital_link
from gambrel.sell.element_strings import bracketed
from gambrel.sell.label import NOT_FOR_SALE, SAFE_HANDLING, Label

SAFE_LETTER_MM = 1.5875
"""A sixteenth of an inch, the least height of a letter of the safe handling block [9 CFR 317.2(l)]."""

NOT_FOR_SALE_MM = 9.525
"""Three eighths of an inch, the least height of a letter of Not for Sale [9 CFR 316.16]."""

SCALES = (1.3, 1.15, 1.0)
"""The letters are as large as fit; below 1 they would be smaller than they may be."""

SQUARES = ("data-matrix", "qr", "none")
BARS = ("in-store", "gs1-128", "none")
BAR_MODULE_MM = {"in-store": 0.33, "gs1-128": 0.25}
SQUARE_MODULE_MM = 0.45
"""Widths of one module. From memory of GS1 General Specifications: 0.264 to 0.66 mm at a till, 0.25 mm and more."""
BAR_HEIGHT_MM = 11.0
MOST_LABELS = 500


def label_pdf(
    labels: Sequence[Label],
    *,
    size: str,
    made_on: date,
    square: str = "data-matrix",
    bars: str = "in-store",
    host: str = "",
    first_place: int = 1,
) -> bytes:
    """PDF bytes of these labels on stock of `size`; the same values give the same bytes.

    `square` is the square code, `bars` the code in bars (the till's code only where the label has one).
    `host` is the shop's own for a QR code. A begun sheet goes on at `first_place`. `CannotDo` when a label does
    not fit the stock with letters of the least size.
    """
    stock = SIZES[size]
    if square not in SQUARES or bars not in BARS:
        raise ValueError(f"square is one of {SQUARES}, bars one of {BARS}")
    if not 1 <= len(labels) <= MOST_LABELS or not 1 <= first_place <= stock.places_count:
        raise ValueError(f"1 to {MOST_LABELS} labels from a place of 1 to {stock.places_count}")
    pictures: dict[str, str] = {}
    drawn = [_drawn(n, label, square, bars, host, stock, pictures) for n, label in enumerate(labels)]
    laid = [None] * (first_place - 1) + drawn
    data = {
        "title": "Labels",
        "size": _size(stock),
        "scales": SCALES,
        "safe": SAFE_HANDLING,
        "safe_letter_mm": SAFE_LETTER_MM,
        "not_for_sale_mm": NOT_FOR_SALE_MM,
        "pages": [
            laid[start : start + stock.places_count] for start in range(0, len(laid), stock.places_count)
        ],
    }
    return _typeset(data, pictures, stock, made_on)


def _typeset(data: dict[str, Any], pictures: dict[str, str], stock: LabelSize, made_on: date) -> bytes:
    import typst

    try:
        with speaking(ENGLISH):  # a label speaks the language that the law asks for, whoever prints it
            return typeset("label", data, pictures, paper="letter", made_on=made_on)
    except typst.TypstError as problem:
        if "too small for " not in str(problem):
            raise
        do = "Take larger labels, or a roll that has the safe handling block on it."
        wanted = "room for every word at the least letter size"
        raise CannotDo([Finding("label stock", stock.words, wanted, do)]) from None


def _drawn(
    n: int, label: Label, square: str, bars: str, host: str, stock: LabelSize, pictures: dict[str, str]
) -> dict[str, Any]:
    """One label for the template; its codes are added to `pictures`."""
    found: dict[str, Any] = {"square": None, "bars": None}
    if square != "none":
        code = (
            data_matrix(label.elements)
            if square == "data-matrix"
            else qr(digital_link(label.elements, host=host))
        )
        pictures[f"square-{n}.svg"] = code.svg()
        width, height = (side * SQUARE_MODULE_MM for side in code.field)
        found["square"] = {"file": f"square-{n}.svg", "width": width, "height": height}
    if (bars == "in-store" and label.in_store) or bars == "gs1-128":
        drawn, words = _bars(label, bars)
        width = drawn.field[0] * BAR_MODULE_MM[bars]
        if width > stock.inner_width_mm:
            raise CannotDo([Finding("bars", f"{width:.0f} mm wide", f"{stock.inner_width_mm:.0f} mm, the label's width",
                                    "Take wider labels, or only the square code.")])  # fmt: skip
        pictures[f"bars-{n}.svg"] = drawn.svg()
        found["bars"] = {"file": f"bars-{n}.svg", "width": width, "height": BAR_HEIGHT_MM, "words": words}
    return {**_words(label), **found}


def _bars(label: Label, bars: str) -> tuple[Barcode, str]:
    if bars == "in-store":
        return in_store(label.in_store), label.in_store
    return gs1_128(label.elements), bracketed(label.elements)


def _words(label: Label) -> dict[str, Any]:
    """Texts of the label in the order they are printed; characters that no page can hold are taken out."""
    price, _, unit = label.price.partition("/")
    figures = [
        {"name": "Net wt", "value": label.weight, "beside": label.weight_beside, "large": not label.total},
        {"name": f"Price per {unit}", "value": price, "beside": "", "large": False},
        {"name": "Total", "value": label.total, "beside": "", "large": True},
    ]
    owner = f"For {label.owner} only, household and guests." if label.owner else ""
    dates = " · ".join(text for text in (f"Packed {label.packed}", label.until) if text)
    lines = [
        owner,
        dates,
        " ".join(f"{text.rstrip('.')}." for text in (label.keep, label.cook) if text),
        f"Ingredients: {label.ingredients}." if label.ingredients else "",
        f"Lot {label.lot} · No. {label.serial}",
        label.maker,
    ]
    return {
        "serial": words_shown(label.serial),
        "not_for_sale": label.not_for_sale,
        "not_for_sale_words": NOT_FOR_SALE,
        "name": words_shown(label.name),
        "names": [words_shown(text) for text in (label.second_name, *label.more) if text],
        "figures": [figure for figure in figures if figure["value"]],
        "lines": [words_shown(text) for text in lines if text],
        "safe": label.safe_handling,
        "panel": None if label.panel is None else _panel(label),
    }


def _panel(label: Label) -> dict[str, Any]:
    assert label.panel is not None
    return {
        "serving": label.panel.serving,
        "foot": label.panel.foot,
        "lines": [
            {
                "what": line.what,
                "amount": line.amount,
                "daily": "" if line.daily_pct is None else f"{line.daily_pct}%",
            }
            for line in label.panel.lines
        ],
    }


def _size(stock: LabelSize) -> dict[str, float]:
    return {
        "width": stock.width_mm, "height": stock.height_mm, "inset": stock.inset_mm, "columns": stock.columns_count,
        "page_width": stock.page_width_mm, "page_height": stock.page_height_mm, "left": stock.left_mm,
        "top": stock.top_mm, "gap_x": stock.gap_x_mm, "gap_y": stock.gap_y_mm,
    }  # fmt: skip
