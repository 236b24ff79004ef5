"""Every label lies on its own place of the sheet: where its code is seen, and where its words stand."""

from __future__ import annotations

import pypdfium2
import pytest
import zxingcpp
from label_packs import CUSTOM, STEAK, TODAY, rules, spoiled

from gambrel.files.sheets.label import MOST_LABELS, label_pdf
from gambrel.files.sheets.label_sizes import SIZES, LabelSize
from gambrel.sell.label import Label, make_label
from gambrel.sell.pack_code import read_scanned
from gambrel.sell.price_code import LAYOUTS

DPI = 250
SHEETS = sorted(slug for slug, size in SIZES.items() if size.places_count > 1)
ROLLS = sorted(slug for slug, size in SIZES.items() if size.places_count == 1)
BARE = spoiled(STEAK, gtin="99521234543216", stock=frozenset({"safe-handling"}))


def numbered(count: int) -> list[Label]:
    layout = LAYOUTS["upc-price-4"]
    return [
        make_label(spoiled(BARE, serial=str(100 + n)), rules(), layout=layout, item="00417")
        for n in range(count)
    ]


def place_of(x_mm: float, y_mm: float, size: LabelSize) -> int | None:
    """Which place of the sheet, from 0, a point lies on; None in a gap or in the margin."""
    for place in range(size.places_count):
        left = size.left_mm + (place % size.columns_count) * (size.width_mm + size.gap_x_mm)
        top = size.top_mm + (place // size.columns_count) * (size.height_mm + size.gap_y_mm)
        if left <= x_mm <= left + size.width_mm and top <= y_mm <= top + size.height_mm:
            return place
    return None


def squares_on(pdf: bytes, page: int) -> dict[str, list[tuple[float, float]]]:
    """Serial to the corners in mm of its square code."""
    picture = pypdfium2.PdfDocument(pdf)[page].render(scale=DPI / 72).to_numpy()
    formats = zxingcpp.barcode_formats_from_str("DataMatrix")
    found = {}
    for one in zxingcpp.read_barcodes(picture, formats=formats, text_mode=zxingcpp.TextMode.Plain):
        serial = read_scanned(one.text, today=TODAY).serial
        spot = one.position
        corners = (spot.top_left, spot.top_right, spot.bottom_left, spot.bottom_right)
        found[serial] = [(corner.x / DPI * 25.4, corner.y / DPI * 25.4) for corner in corners]
    return found


@pytest.mark.parametrize("slug", SHEETS)
def test_a_full_sheet_has_each_label_on_its_place(slug: str) -> None:
    size = SIZES[slug]
    pdf = label_pdf(numbered(size.places_count), size=slug, made_on=TODAY)
    seen = squares_on(pdf, 0)
    assert len(pypdfium2.PdfDocument(pdf)) == 1
    assert sorted(seen) == [str(100 + place) for place in range(size.places_count)]
    for serial, corners in seen.items():
        assert {place_of(x, y, size) for x, y in corners} == {int(serial) - 100}


@pytest.mark.parametrize("slug", SHEETS)
def test_one_label_more_goes_on_to_the_next_sheet(slug: str) -> None:
    size = SIZES[slug]
    pdf = label_pdf(numbered(size.places_count + 1), size=slug, made_on=TODAY)
    assert len(pypdfium2.PdfDocument(pdf)) == 2
    (serial,) = squares_on(pdf, 1)
    assert serial == str(100 + size.places_count)
    assert {place_of(x, y, size) for x, y in squares_on(pdf, 1)[serial]} == {0}


@pytest.mark.parametrize("slug", SHEETS)
def test_the_last_place_of_a_begun_sheet(slug: str) -> None:
    size = SIZES[slug]
    pdf = label_pdf(numbered(2), size=slug, made_on=TODAY, first_place=size.places_count)
    assert [list(squares_on(pdf, page)) for page in (0, 1)] == [["100"], ["101"]]
    assert {place_of(x, y, size) for x, y in squares_on(pdf, 0)["100"]} == {size.places_count - 1}


@pytest.mark.parametrize("slug", ROLLS)
def test_a_roll_has_one_label_to_a_page_of_its_own_size(slug: str) -> None:
    size = SIZES[slug]
    pdf = label_pdf(numbered(3), size=slug, made_on=TODAY)
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 3
    for number in range(3):
        width, height = (points / 72 * 25.4 for points in document[number].get_size())
        assert (width, height) == pytest.approx((size.width_mm, size.height_mm), abs=0.1)
        assert list(squares_on(pdf, number)) == [str(100 + number)]


# Paper: ISO 216 for A4, 210 x 297 mm; US Letter 8.5 x 11 in.
@pytest.mark.parametrize(
    ("slug", "paper_mm"),
    [
        ("a4-4", (210.0, 297.0)),
        ("a4-8", (210.0, 297.0)),
        ("letter-6", (215.9, 279.4)),
        ("letter-10", (215.9, 279.4)),
    ],
)
def test_sheets_are_of_the_paper_they_name(slug: str, paper_mm: tuple[float, float]) -> None:
    pdf = label_pdf(numbered(1), size=slug, made_on=TODAY)
    points = pypdfium2.PdfDocument(pdf)[0].get_size()
    assert tuple(side / 72 * 25.4 for side in points) == pytest.approx(paper_mm, abs=0.1)


def test_labels_of_two_owners_are_not_mixed_up() -> None:
    one = make_label(spoiled(CUSTOM, owner="R. Aldous", serial="1"), rules())
    other = make_label(spoiled(CUSTOM, owner="B. Marten", serial="2"), rules())
    document = pypdfium2.PdfDocument(label_pdf([one, other], size="roll-medium", made_on=TODAY))
    pages = [document[number].get_textpage().get_text_range() for number in (0, 1)]
    assert "R. Aldous" in pages[0] and "B. Marten" not in pages[0] and "No. 1" in pages[0]
    assert "B. Marten" in pages[1] and "R. Aldous" not in pages[1] and "No. 2" in pages[1]


def test_more_labels_than_anybody_prints_at_once_are_refused() -> None:
    with pytest.raises(ValueError, match=str(MOST_LABELS)):
        label_pdf(numbered(1) * (MOST_LABELS + 1), size="roll-small", made_on=TODAY)
