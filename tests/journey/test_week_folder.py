"""The week as a folder of files: all of them there, readable, and saying what the steps said."""

from __future__ import annotations

import csv
import io
import xml.etree.ElementTree as ET
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.files.shop_sheets import kinds_sheet, plan_sheet, price_sheet, product_name, side_cutout
from gambrel.files.week_folder import week_files, write_week
from gambrel.journey import Journey


@pytest.fixture(scope="module")
def folder(walked: Journey, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("week")
    written = list(write_week(walked, folder, cuts=shipped_cuts()))
    assert len(written) == len(set(written)) == len(week_files(walked, cuts=shipped_cuts()))
    return folder


def words_of(path: Path) -> str:
    document = pypdfium2.PdfDocument(path)
    try:
        return "\n".join(page.get_textpage().get_text_bounded() for page in document)
    finally:
        document.close()


def test_each_answer_is_there_as_pdf_workbook_and_table(folder: Path) -> None:
    for stem in ("plan", "prices", "kinds"):
        assert (folder / f"{stem}.pdf").read_bytes().startswith(b"%PDF")
    for stem in ("plan", "forecast", "prices", "kinds"):
        assert (folder / f"{stem}.xlsx").exists()
        assert list((folder / "tables").glob(f"{stem}*.csv"))


def test_every_side_has_its_document_and_picture(folder: Path, walked: Journey) -> None:
    for side in walked.sides:
        text = words_of(folder / "forecast" / f"{side.id}.pdf")
        assert side.id in text and "not an official grade" in text
        ET.fromstring((folder / "pictures" / f"side-{side.id}.svg").read_text("utf-8"))


def test_pictures_are_all_well_formed(folder: Path) -> None:
    pictures = list((folder / "pictures").glob("*.svg"))
    assert len(pictures) > 10
    for picture in pictures:
        ET.fromstring(picture.read_text("utf-8"))


def test_plan_table_holds_every_side_with_its_day(folder: Path, walked: Journey) -> None:
    rows = list(csv.reader(io.StringIO((folder / "tables" / "plan-sides.csv").read_text("utf-8-sig"))))
    days = {row[0]: row for row in rows[1:]}
    for side in walked.sides:
        assert side.id in days
        if side.cut_on is not None:
            assert side.cut_on.isoformat() in days[side.id]


def test_forecast_workbook_adds_up_side_by_side(folder: Path, walked: Journey) -> None:
    book = openpyxl.load_workbook(folder / "forecast.xlsx", read_only=True)
    rows = list(book["totals"].iter_rows(values_only=True))
    book.close()
    by_side: dict[str, dict[str, float]] = {}
    for row in rows[1:]:
        by_side.setdefault(str(row[0]), {})[str(row[1])] = float(row[2])
    for side, forecast in walked.forecasts.items():
        of = by_side[side]
        whole = of["saleable"] + of["trim fat"] + of["bone"] + of["loss"]
        assert whole == pytest.approx(float(forecast.hung_kg.mean()), abs=0.05)


def test_price_board_shows_prices_and_no_cost(folder: Path, walked: Journey) -> None:
    board = words_of(folder / "price-board.pdf")
    assert "cost" not in board.lower() and "margin" not in board.lower()
    assert walked.prices is not None
    assert "$" in board


def test_no_product_of_a_bison_is_called_beef(walked: Journey) -> None:
    # 9 CFR 352: bison is a species of its own; its name on the label says bison or buffalo, never beef.
    assert walked.prices is not None
    bison = [product for product in walked.prices.products if product.group == "bison"]
    assert bison
    assert not [p.slug for p in bison if "beef" in product_name(walked, p, shipped_cuts())]


def test_regions_of_the_drawing_add_up_to_the_side(walked: Journey) -> None:
    for side in walked.sides:
        cutout = side_cutout(side, walked.forecasts[side.id])
        share = sum(cutout.share(region) for region in cutout.regions)
        assert share == pytest.approx(
            1.0, abs=0.01
        )  # but for heart and channel fat and the little lost at the first cuts


def test_sheets_name_the_shop_and_the_kinds(walked: Journey) -> None:
    assert plan_sheet(walked, shipped_cuts()).head.shop == walked.week.shop.name
    assert {face.name for face in kinds_sheet(walked).kinds} == {
        side.hanging.kind.name for side in walked.sides
    }
    prices = price_sheet(walked, shipped_cuts())
    assert prices is not None and prices.lines
    for line in prices.lines:
        assert line.cost_cents_per_kg is not None and line.cost_cents_per_kg > 0
