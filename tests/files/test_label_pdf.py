"""Labels as PDF: every code is read back from the printed page, every word is on it, and none is too small."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from label_packs import CUSTOM, MINCE, STEAK, TODAY, rules, spoiled

from gambrel.files.sheets.label import BARS, NOT_FOR_SALE_MM, SAFE_LETTER_MM, SQUARES, label_pdf
from gambrel.files.sheets.label_sizes import SIZES
from gambrel.measures import CannotDo
from gambrel.sell.element_strings import element_string
from gambrel.sell.label import SAFE_HANDLING, Label, make_label
from gambrel.sell.label_facts import LabelFacts
from gambrel.sell.pack_code import read_scanned
from gambrel.sell.price_code import LAYOUTS, read_in_store

UPC = LAYOUTS["upc-price-4"]
BARE = frozenset({"safe-handling"})
GTIN = "99521234543216"


def made(facts: LabelFacts) -> Label:
    return make_label(facts, rules(), layout=UPC, item="00417")


def printed(pdf: bytes, page: int = 0, *, dpi: int = 300) -> np.ndarray:
    return pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72).to_numpy()


def codes_on(pdf: bytes, page: int = 0) -> list[str]:
    seen = zxingcpp.read_barcodes(printed(pdf, page), text_mode=zxingcpp.TextMode.Plain)
    return sorted(one.text for one in seen)


def words_on(pdf: bytes, page: int = 0) -> str:
    """All words of a page in one line."""
    text = pypdfium2.PdfDocument(pdf)[page].get_textpage().get_text_range()
    return " ".join(text.replace("\u200b", "").replace("\ufffe", "").split())


FITTING = {
    "steak": ("roll-medium", "roll-square", "roll-large", "letter-6", "a4-4"),
    "mince": ("roll-square", "roll-large", "a4-4"),
    "custom": ("roll-small", "roll-medium", "roll-large", "letter-6", "a4-4", "a4-8"),
    "bare": tuple(SIZES),
}
PACKS = {
    "steak": spoiled(STEAK, gtin=GTIN), "mince": spoiled(MINCE, gtin=GTIN), "custom": CUSTOM,
    "bare": spoiled(STEAK, gtin=GTIN, stock=BARE),
}  # fmt: skip


@pytest.mark.parametrize(
    ("pack", "size"), [(pack, size) for pack, sizes in FITTING.items() for size in sizes]
)
def test_codes_are_read_back_from_the_page_as_they_were_put_in(pack: str, size: str) -> None:
    label = made(PACKS[pack])
    seen = codes_on(label_pdf([label], size=size, made_on=TODAY))
    wanted = [element_string(label.elements)] + ([f"0{label.in_store}"] if label.in_store else [])
    assert [text.zfill(13) if text.isdigit() and len(text) == 12 else text for text in seen] == sorted(wanted)
    if label.in_store:
        till = next(
            text for text in seen if text.isdigit() and len(text) <= 13 and text.lstrip("0").startswith("2")
        )
        assert read_in_store(till, UPC).value == PACKS[pack].total_cents


@pytest.mark.parametrize(("pack", "size"), [("steak", "roll-medium"), ("mince", "a4-4"), ("mince", "roll-large"),
                                            ("bare", "letter-10"), ("custom", "roll-small")])  # fmt: skip
def test_every_word_of_the_label_is_on_the_page(pack: str, size: str) -> None:
    label = made(PACKS[pack])
    text = words_on(label_pdf([label], size=size, made_on=TODAY))
    wanted = [label.name, *label.more, label.weight, label.weight_beside, label.total, label.packed, label.until,
              f"Lot {label.lot}", f"No. {label.serial}", label.keep, label.maker, label.owner]  # fmt: skip
    for words in wanted:
        assert words in text, words
    assert ("NOT FOR SALE" in text) == label.not_for_sale
    for words in SAFE_HANDLING:
        assert (words.upper() in text) == label.safe_handling, words
    assert ("Nutrition Facts" in text) == (label.panel is not None)
    if label.panel is not None:
        assert all(line.what in text and line.amount in text for line in label.panel.lines)


def letters_mm(pdf: bytes, words: str) -> float:
    """Height in mm of the first capital of `words` on the first page."""
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    found = page.search(words, match_case=True).get_next()
    assert found is not None
    _, bottom, _, top = page.get_charbox(found[0])
    return (top - bottom) / 72 * 25.4


@pytest.mark.parametrize("size", FITTING["steak"])
def test_letters_of_the_block_are_a_sixteenth_of_an_inch(size: str) -> None:
    """9 CFR 317.2(l): letters of 1/16 in at the least, 1.5875 mm; the heading is larger."""
    pdf = label_pdf([made(PACKS["steak"])], size=size, made_on=TODAY)
    assert letters_mm(pdf, "THIS PRODUCT") >= 25.4 / 16 - 0.02
    assert letters_mm(pdf, "HANDLING") > letters_mm(pdf, "THIS PRODUCT") * 1.1
    assert pytest.approx(25.4 / 16) == SAFE_LETTER_MM


@pytest.mark.parametrize("size", FITTING["custom"])
def test_letters_of_not_for_sale_are_three_eighths_of_an_inch(size: str) -> None:
    """9 CFR 316.16: letters of 3/8 in at the least, 9.525 mm."""
    pdf = label_pdf([made(CUSTOM)], size=size, made_on=TODAY)
    assert letters_mm(pdf, "FOR") >= NOT_FOR_SALE_MM - 0.1
    assert pytest.approx(3 / 8 * 25.4) == NOT_FOR_SALE_MM


@pytest.mark.parametrize(
    ("pack", "size"), [("mince", "roll-small"), ("mince", "a4-8"), ("custom", "letter-10")]
)
def test_a_label_without_room_is_refused_and_not_shrunk(pack: str, size: str) -> None:
    with pytest.raises(CannotDo, match="larger labels"):
        label_pdf([made(PACKS[pack])], size=size, made_on=TODAY)


def test_a_sheet_is_filled_from_the_place_where_it_was_begun() -> None:
    labels = [made(spoiled(PACKS["bare"], serial=str(n))) for n in range(9)]
    pdf = label_pdf(labels, size="a4-8", made_on=TODAY, first_place=3, bars="none")
    assert len(pypdfium2.PdfDocument(pdf)) == 2
    numbers = [[read_scanned(text, today=TODAY).serial for text in codes_on(pdf, page)] for page in (0, 1)]
    assert (sorted(numbers[0]), sorted(numbers[1])) == (list("012345"), list("678"))


def test_the_first_places_of_a_begun_sheet_stay_white() -> None:
    pdf = label_pdf([made(PACKS["bare"])], size="a4-8", made_on=TODAY, first_place=3)
    page = printed(pdf, dpi=100)
    row_px = round(SIZES["a4-8"].height_mm / 25.4 * 100)
    top_px = round(SIZES["a4-8"].top_mm / 25.4 * 100)
    assert (page[: top_px + row_px] == 255).all()
    assert (page[top_px + row_px : top_px + 2 * row_px] < 128).any()


def test_sheets_lie_within_their_paper() -> None:
    for size in SIZES.values():
        right = size.left_mm + size.columns_count * size.width_mm + (size.columns_count - 1) * size.gap_x_mm
        down = size.top_mm + size.rows_count * size.height_mm + (size.rows_count - 1) * size.gap_y_mm
        assert right <= size.page_width_mm + 0.01 and down <= size.page_height_mm + 0.01, size.slug


def test_a_telephone_reads_the_address_and_a_warehouse_the_bars() -> None:
    label = made(PACKS["bare"])
    phone = codes_on(
        label_pdf([label], size="roll-medium", made_on=TODAY, square="qr", host="hollow.example", bars="none")
    )
    assert phone[0].startswith(f"https://hollow.example/01/{GTIN}/10/A0304-07L/21/1042?")
    short = made(spoiled(CUSTOM, gtin=GTIN, lot="A7"))
    wide = codes_on(label_pdf([short], size="roll-large", made_on=TODAY, square="none", bars="gs1-128"))
    assert wide == [element_string(short.elements)]
    with pytest.raises(CannotDo, match="wider labels"):
        label_pdf([short], size="roll-small", made_on=TODAY, square="none", bars="gs1-128")


def test_the_same_values_give_the_same_bytes() -> None:
    label = made(PACKS["bare"])
    first, second = (label_pdf([label], size="roll-small", made_on=TODAY) for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    "name", ["Żebro \u202e#set page()", "a" * 80, "#panic(1) $x$ *b* `c` <d>", "Pié & \x00 <b>"]
)
def test_a_hostile_name_is_only_shown(name: str) -> None:
    pdf = label_pdf([made(spoiled(PACKS["bare"], name=name))], size="roll-medium", made_on=TODAY)
    assert len(pypdfium2.PdfDocument(pdf)) == 1
    assert codes_on(pdf)


def test_a_long_name_stays_on_its_label() -> None:
    pdf = label_pdf([made(spoiled(PACKS["bare"], name="x" * 80))], size="roll-medium", made_on=TODAY)
    assert words_on(pdf).replace(" ", "").count("x") == 80
    assert (printed(pdf, dpi=100)[:, -6:] == 255).all()


@pytest.mark.parametrize("change", [{"size": "roll-huge"}, {"square": "round"}, {"bars": "few"}, {"first_place": 2},
                                    {"first_place": 0}])  # fmt: skip
def test_what_no_page_offers_is_a_mistake_of_ours(change: dict[str, object]) -> None:
    wanted: dict[str, object] = {"size": "roll-small", "made_on": TODAY, **change}
    with pytest.raises((ValueError, KeyError)):
        label_pdf([made(PACKS["bare"])], **wanted)
    with pytest.raises(ValueError, match="labels from"):
        label_pdf([], size="roll-small", made_on=TODAY)
    assert SQUARES[0] == "data-matrix" and BARS[0] == "in-store"
