"""The recall sheet, the bill of a share and the grinding record, read back from the page: every figure by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pypdfium2
import pytest

from gambrel.files.sheets.grinding_record import KEEP, grinding_record_pdf
from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.recall import RecallPart, recall_pdf
from gambrel.files.sheets.share_invoice import CUSTOM, share_invoice_pdf
from gambrel.grind.record import GrindingRecord, Material
from gambrel.measures import Estimate
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import kg_from_lb
from gambrel.sell.share_bill import BillForecast, BillLine, ShareBill

HEAD = Head("Hollow Creek Meats", "A sheet", date(2026, 3, 4))
HOSTILE = '#panic(1) $x$ *b* `c` <d> & \x00\u202e "q" \\ [e]'
PAPERS_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}  # US Letter 8.5 x 11 in; ISO 216


def flat(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    pages = [page.get_textpage().get_text_range() for page in document]
    return " ".join(" ".join(pages).replace("\ufffe", "").replace("\u200b", "").split())


def margins_are_white(pdf: bytes) -> bool:
    """Nothing is printed in the outer 4 mm at the right and at the left of any page."""
    edge_px = 4 * 4
    for page in pypdfium2.PdfDocument(pdf):
        picture = page.render(scale=4 * 25.4 / 72).to_numpy()
        if not ((picture[:, :edge_px] == 255).all() and (picture[:, -edge_px:] == 255).all()):
            return False
    return True


COLUMNS = ("product", "lot", "packs", "net")
HERE = RecallPart("Take these out of sale", COLUMNS, (("Ribeye steak", "26068-1", "2", "1.00 kg, 2.20 lb"),
                                                      ("Flank steak", "26068-2", "1", "0.50 kg, 1.10 lb")))  # fmt: skip
SOLD = RecallPart("Buyers to be told", ("buyer", *COLUMNS), ())


def recall_sheet(*parts: RecallPart, notes: tuple[str, ...] = ("Tell the inspector.",), **more: Any) -> bytes:
    return recall_pdf(more.pop("head", HEAD), (("asked about", "26068-1"),), parts, notes=notes, **more)


def test_every_part_of_a_recall_is_on_the_sheet_in_its_order() -> None:
    text = flat(recall_sheet(HERE, SOLD))
    for row in HERE.rows:
        assert " ".join(row) in text
    assert text.index("asked about") < text.index(HERE.title) < text.index(SOLD.title)
    assert "Tell the inspector." in text and "Hollow Creek Meats" in text


def test_an_empty_part_says_that_there_is_none_and_shows_no_table() -> None:
    text = flat(recall_sheet(SOLD))
    assert f"{SOLD.title} none" in text and "buyer" not in text.replace("Buyers", "")


def test_a_long_recall_goes_on_over_pages_and_leaves_no_pack_out() -> None:
    rows = tuple((f"Steak {n}", f"L{n:04d}", f"{n}", "0.50 kg, 1.10 lb") for n in range(1, 181))
    pdf = recall_sheet(RecallPart("Take these out of sale", COLUMNS, rows))
    text = flat(pdf)
    assert len(pypdfium2.PdfDocument(pdf)) >= 3
    assert all(f"Steak {n} L{n:04d} {n} 0.50 kg" in text for n in range(1, 181))
    assert text.count("product lot packs net") == len(pypdfium2.PdfDocument(pdf)), "a head on every page"


@pytest.mark.parametrize("row", [(), ("one",), ("1", "2", "3", "4", "5")], ids=len)
def test_a_row_that_does_not_fill_its_columns_is_a_mistake_of_ours(row: tuple[str, ...]) -> None:
    with pytest.raises(ValueError, match="every row has 4 texts"):
        RecallPart("Take these out of sale", COLUMNS, (row,))


@pytest.mark.parametrize("paper", sorted(PAPERS_MM))
def test_sheets_are_of_the_paper_that_is_asked_for(paper: str) -> None:
    for pdf in (recall_sheet(HERE, paper=paper), invoice(paper=paper), grinding(paper=paper)):
        points = pypdfium2.PdfDocument(pdf)[0].get_size()
        assert tuple(side / 72 * 25.4 for side in points) == pytest.approx(PAPERS_MM[paper], abs=0.1)


def test_other_paper_is_refused() -> None:
    for make in (recall_sheet, invoice, grinding):
        with pytest.raises(ValueError, match="paper is one of"):
            make(paper="a5")


def test_what_people_wrote_is_only_shown_on_all_three() -> None:
    head = Head(HOSTILE, HOSTILE, date(2026, 3, 4))
    part = RecallPart(HOSTILE, (HOSTILE, "b"), ((HOSTILE, HOSTILE),))
    batch = replace(
        BATCH, code=HOSTILE, product=HOSTILE, materials=(replace(OWN, name=HOSTILE, lot=HOSTILE),)
    )
    for pdf in (recall_sheet(part, notes=(HOSTILE,), head=head), invoice(head=head, owner=HOSTILE, animal=HOSTILE),
                grinding(head=head, record=batch, made_by=HOSTILE, why=HOSTILE)):  # fmt: skip
        assert "#panic(1) $x$ *b* `c` <d> &" in flat(pdf)


def test_the_same_values_give_the_same_bytes() -> None:
    for make in (lambda: recall_sheet(HERE, SOLD), invoice, grinding):
        assert make() == make()


# The bill of a share: 100 lb at $4.25 and 95 cents a pound, $60.00 of fees, $300.00 paid before.
LINES = (
    BillLine("meat, hanging weight", 42_500, kg_from_lb(100), cents_per_kg(425)),
    BillLine("cut and wrap, hanging weight", 9_500, kg_from_lb(100), cents_per_kg(95)),
    BillLine("kill and fees", 6_000),
    BillLine("deposit", -30_000),
)
BILL = ShareBill(LINES, kg_from_lb(62))
FORECAST = BillForecast(Estimate(58_000, 56_000, 60_000), Estimate(2_060, 1_950, 2_190))
TAKEN = Estimate(kg_from_lb(62), kg_from_lb(58), kg_from_lb(66))
PIECES = (("Ribeye steak", Estimate(2.0, 1.5, 2.5)), ("Cheek", Estimate(0.04, 0.0, 0.1)))


def invoice(**changed: Any) -> bytes:
    said: dict[str, Any] = {
        "bill": BILL, "forecast": FORECAST, "taken_kg": TAKEN, "owner": "R. Aldous", "animal": "C1",
        "portion": "a quarter", "hot_kg": kg_from_lb(100), "deposit_cents": 30_000, "custom": False,
        "pieces": PIECES, **changed,
    }  # fmt: skip
    return share_invoice_pdf(said.pop("head", HEAD), **said)


def test_a_bill_has_every_line_and_what_is_due() -> None:
    """$425.00 + $95.00 + $60.00 - $300.00 = $280.00; $4.25 a pound is $9.37 a kilogram: 4.25 / 0.45359237."""
    text = flat(invoice())
    assert "meat, hanging weight 100.0 lb · 45.4 kg $4.25/lb · $9.37/kg $425.00" in text
    assert "cut and wrap, hanging weight 100.0 lb · 45.4 kg $0.95/lb · $2.09/kg $95.00" in text
    assert "kill and fees $60.00" in text and "deposit -$300.00" in text
    assert text.count("$280.00") == 2 and "due $280.00" in text
    assert "taken home 62.0 lb · 28.1 kg" in text
    assert "forecast" not in text.lower() and CUSTOM not in text


def test_a_forecast_names_no_amount_that_is_due() -> None:
    """58 to 66 lb are 26.3 to 29.9 kg; 1.5 to 2.5 kg are 3.3 to 5.5 lb; 40 g of cheek are left out."""
    text = flat(invoice(bill=None))
    assert "A forecast, not an invoice" in text and " due" not in text
    assert "expected to be taken home 58.0–66.0 lb · 26.3–29.9 kg" in text
    assert "expected to be charged $560.00 to $600.00" in text and "deposit $300.00" in text
    assert "Ribeye steak 3.3–5.5 lb · 1.5–2.5 kg" in text and "Cheek" not in text
    for amount in ("$580.00", "$280.00", "$425.00"):
        assert amount not in text


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_the_foot_of_every_page_names_the_yields_of_a_forecast(paper: str) -> None:
    """Below the line of cautions, within the paper, on each of several pages; a hostile name is only shown."""
    said = f"Yields: the book, put right by 600 sides cut here (edition 0123456789ab). {HOSTILE}"
    many = tuple((f"Piece {number}", Estimate(2.0, 1.5, 2.5)) for number in range(90))
    pdf = invoice(bill=None, head=replace(HEAD, edition=said), pieces=many, paper=paper)
    pages = list(pypdfium2.PdfDocument(pdf))
    assert len(pages) > 1 and margins_are_white(pdf)
    for page in pages:
        text = page.get_textpage()
        found = text.search("Yields: the book").get_next()
        assert found is not None
        _, low_pt, _, high_pt = text.get_charbox(found[0])
        assert 5 * 72 / 25.4 < low_pt < high_pt < 26 * 72 / 25.4
    assert flat(pdf).count("(edition 0123456789ab). #panic(1)") == len(pages)


def test_a_sheet_without_a_forecast_has_nothing_more_at_its_foot() -> None:
    assert "Yields" not in flat(invoice())


@pytest.mark.parametrize("bill", [BILL, None], ids=["bill", "forecast"])
def test_meat_that_is_not_for_sale_says_so_on_bill_and_forecast(bill: ShareBill | None) -> None:
    assert CUSTOM in flat(invoice(bill=bill, custom=True))


def test_a_deposit_above_the_bill_is_money_back() -> None:
    """$425.00 less $500.00 paid before: $75.00 go back."""
    over = ShareBill((LINES[0], BillLine("deposit", -50_000)), kg_from_lb(62))
    assert "due -$75.00" in flat(invoice(bill=over, deposit_cents=50_000))


# A batch: 6 kg of 80 % and 2 kg of 60 % lean are (6 x 80 + 2 x 60) / 8 = 75 %.
OWN = Material("Trimmings 80", 6.0, 80.0, "cattle", "M123", "26068-1", date(2026, 3, 3))
LEAN = Material("Bought trim 60", 2.0, 60.0, "cattle", "M456", "B77", date(2026, 3, 1), own=False)
BATCH = GrindingRecord("G26063-1", "Ground beef", 75.0, (OWN, LEAN), datetime(2026, 3, 4, 9, 30),
                       datetime(2026, 3, 4, 8, 5))  # fmt: skip


def grinding(**changed: Any) -> bytes:
    said: dict[str, Any] = {
        "record": BATCH, "out_kg": 7.9, "meat_c": 2.5, "plate_mm": 4.5, "made_by": "Wren", "why": "",
        "tests": [(datetime(2026, 3, 4, 10, 15), 24.5, "by meter")], **changed,
    }  # fmt: skip
    return grinding_record_pdf(said.pop("head", HEAD), said.pop("record"), **said)


def test_the_record_names_every_species_that_was_carried_over() -> None:
    """C: anything carried over from the lot before [9 CFR 320.1(b)(4)(i)(C)]."""
    left = Material("carried over from G26063-0", 0.5, 80.0, "bison", "", "G26063-0", date(2026, 3, 4),
                    carried_from="G26063-0", mixed=(("bison", 0.6), ("cattle", 0.4)))  # fmt: skip
    text = flat(grinding(record=replace(BATCH, materials=(left, OWN))))
    assert "carried over from G26063-0 bison, cattle 80.0 %" in text


def test_the_record_has_every_field_of_the_rule_under_its_letter() -> None:
    """A and B plants, lots and days, C materials, D made, E cleaned [9 CFR 320.1(b)(4)(i)]; 36.5 F are 2.5 C."""
    text = flat(grinding())
    assert "M123 26068-1 2026-03-03 Trimmings 80 cattle 80.0 % 13.23 lb · 6.00 kg" in text
    assert "M456 B77 2026-03-01 Bought trim 60 cattle 60.0 % 4.41 lb · 2.00 kg" in text
    assert "D made 2026-03-04 09:30" in text and "E cleaned and sanitised 2026-03-04 08:05" in text
    assert "75.0 % lean, 25.0 % fat" in text and "Ground beef, 75 % lean stated" in text
    assert "in 17.64 lb · 8.00 kg" in text and "out 17.42 lb · 7.90 kg" in text
    assert "4.5 mm" in text and "2.5 °C" in text and "ground by Wren" in text
    assert "Fat tested 2026-03-04 10:15: 24.5 % by meter" in text
    assert KEEP in text and "Missing:" not in text


@pytest.mark.parametrize(
    ("spoil", "letter"),
    [({"materials": ()}, "(C)"), ({"made_at": None}, "(D)"), ({"cleaned_at": None}, "(E)"),
     ({"materials": (replace(OWN, plant=""),)}, "(A)"), ({"materials": (replace(OWN, lot=""),)}, "(B)"),
     ({"materials": (replace(OWN, made_on=None),)}, "(B)"),
     ({"cleaned_at": datetime(2026, 3, 4, 9, 31)}, "(E)")],
    ids=["nothing in", "not begun", "not cleaned", "no plant", "no lot", "no day", "cleaned afterwards"],
)  # fmt: skip
def test_what_is_missing_stands_on_the_sheet_with_its_letter(spoil: dict[str, Any], letter: str) -> None:
    text = flat(grinding(record=replace(BATCH, **spoil)))
    assert text.count("Missing:") == 1 and letter in text.partition("Missing:")[2]


def test_an_open_batch_has_no_empty_facts() -> None:
    text = flat(grinding(out_kg=None, meat_c=None, plate_mm=None, made_by="", tests=()))
    for name in ("out ", "plate ", "ground by", "Fat tested"):
        assert f" {name}" not in text.partition("A plant B lot")[0], name


@pytest.mark.parametrize("word", ["x" * 80, "Ox" * 40, "W" * 40], ids=["x", "Ox", "W"])
def test_a_long_word_stays_on_the_paper(word: str) -> None:
    part = RecallPart(
        "Buyers to be told", ("buyer", *COLUMNS), ((word, "Ribeye steak", "26068-1", "2", "1.00 kg"),)
    )
    batch = replace(BATCH, materials=(replace(OWN, name=word),))
    for pdf in (recall_sheet(part), invoice(pieces=((word, TAKEN),), bill=None), grinding(record=batch)):
        assert margins_are_white(pdf)
