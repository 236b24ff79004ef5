"""Sheets with nothing, one or very much on them; the same values always give the same file."""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import replace
from datetime import date, datetime, timedelta

import openpyxl
import pypdfium2
import pytest

from gambrel.files.drawing import say
from gambrel.files.sheets.csv_out import csv_bytes
from gambrel.files.sheets.pdf_out import forecast_pdf, kinds_pdf, plan_pdf, price_board_pdf, price_list_pdf
from gambrel.files.sheets.plan_tables import plan_tables
from gambrel.files.sheets.table import Column, Table
from gambrel.files.sheets.tables import forecast_tables, kinds_tables, price_tables
from gambrel.files.sheets.xlsx_out import xlsx_bytes


def flat(pages) -> str:
    return " ".join(" ".join(pages).split())


def with_sides(plan, count):
    """The plan with that many sides, one cut a day over ten days."""
    sides = tuple(
        replace(
            plan.week.sides[0],
            side=f"{number:02d}-left",
            cut_on=plan.week.today + timedelta(days=number % 10),
        )
        for number in range(count)
    )
    jobs = tuple(replace(plan.jobs[0], side=side.side, day=side.cut_on, pieces=plan.jobs[0].pieces[:2])
                 for side in sides)  # fmt: skip
    return replace(plan, week=replace(plan.week, sides=sides), jobs=jobs)


@pytest.fixture
def all_tables(sample_plan, sample_forecast, sample_prices, sample_kinds) -> list[Table]:
    return [
        *plan_tables(sample_plan),
        *forecast_tables(sample_forecast),
        *price_tables(sample_prices),
        *kinds_tables(sample_kinds),
    ]


@pytest.fixture
def all_documents(sample_plan, sample_forecast, sample_prices, sample_kinds):
    return {
        "plan": lambda **paper: plan_pdf(sample_plan, **paper),
        "forecast": lambda **paper: forecast_pdf(sample_forecast, **paper),
        "prices": lambda **paper: price_list_pdf(sample_prices, **paper),
        "board": lambda **paper: price_board_pdf(sample_prices, **paper),
        "kinds": lambda **paper: kinds_pdf(sample_kinds, **paper),
    }


DOCUMENTS = ("plan", "forecast", "prices", "board", "kinds")


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_is_the_same_bytes_each_time(name, all_documents):
    assert all_documents[name]() == all_documents[name]()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_papers_are_true_to_a_tenth_of_a_point(name, all_documents):
    """Letter is 8.5 by 11 in; A4 is 210 by 297 mm [ISO 216]; a point is 1/72 in."""
    for paper, wide, high in (
        ("letter", 8.5 * 72, 11.0 * 72),
        ("a4", 210 / 25.4 * 72, 297 / 25.4 * 72),
    ):
        document = pypdfium2.PdfDocument(all_documents[name](paper=paper))
        for page in document:
            assert sorted(page.get_size()) == pytest.approx([wide, high], abs=0.1)
        document.close()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_no_text_runs_off_the_paper(name, all_documents):
    document = pypdfium2.PdfDocument(all_documents[name]())
    for page in document:
        wide, high = page.get_size()
        text = page.get_textpage()
        for index in range(text.count_rects()):
            left, foot, right, top = text.get_rect(index)
            assert left >= 0 and right <= wide and foot >= 0 and top <= high
    document.close()


def test_nothing_hangs_and_nothing_is_cut(sample_plan, pages_of):
    bare = replace(with_sides(sample_plan, 0), facts=(), notes=())
    text = flat(pages_of(plan_pdf(bare)))
    assert "nothing hangs" in text
    assert "No side is cut in this plan." in text
    assert [table.name for table in plan_tables(bare)] == ["rail", "hours"]


def test_a_week_that_has_no_plan_says_which_promise_clashes(sample_plan, pages_of):
    sides = tuple(replace(side, cut_on=None) for side in sample_plan.week.sides)
    clash = "order 17 wants 40.0 kg of short ribs; the two sides on hand give 11.6 kg"
    sheet = replace(sample_plan, week=replace(sample_plan.week, sides=sides), jobs=(), notes=(clash,),
                    facts=(("plan", "none that keeps every promise"),))  # fmt: skip
    text = flat(pages_of(plan_pdf(sheet)))
    assert "plan none that keeps every promise" in text
    assert clash in text
    assert text.count("not cut; latest") == len(sides)
    (tab,) = [table for table in plan_tables(sheet) if table.name == "sides"]
    assert {row[-1] for row in tab.rows} == {None}


@pytest.mark.parametrize("count", [1, 60])
def test_every_side_has_its_calendar_row_and_cut_list(count, sample_plan, pages_of):
    sheet = with_sides(sample_plan, count)
    text = flat(pages_of(plan_pdf(sheet)))
    for side in sheet.week.sides:
        assert text.count(f"{side.side}, {side.kind}") == 1
    for when in {side.cut_on for side in sheet.week.sides}:
        assert text.count(f"Cut list, {say.day_year(when)}") == 1
    (sides, ways, pieces, *_) = plan_tables(sheet)
    assert len(sides.rows) == count
    assert len(pieces.rows) == 2 * count
    assert len(ways.rows) == count * len(sample_plan.jobs[0].ways)


def test_a_price_list_without_any_cost(sample_prices, pages_of):
    lines = tuple(replace(line, cost_cents_per_kg=None, expected_kg=None) for line in sample_prices.lines)
    sheet = replace(sample_prices, lines=lines)
    text = flat(pages_of(price_list_pdf(sheet)))
    assert "None" not in text
    assert all(line.name in text for line in lines)
    (table,) = price_tables(sheet)
    empty = [
        place
        for place, column in enumerate(table.columns)
        if column.heading in ("cost", "margin", "expected")
    ]
    assert len(empty) == 4
    assert all(row[place] is None for row in table.rows for place in empty)
    assert "None" not in csv_bytes(table).decode("utf-8-sig")


@pytest.mark.parametrize(
    ("price", "cost", "margin"), [(1000.0, 700.0, 0.3), (1000.0, 1200.0, -0.2), (0.0, 5.0, None)]
)
def test_margin_is_what_is_left_of_the_price(price, cost, margin, sample_prices, pages_of):
    line = replace(sample_prices.lines[0], cents_per_kg=price, cost_cents_per_kg=cost)
    assert line.margin_share == (None if margin is None else pytest.approx(margin))
    text = flat(pages_of(price_list_pdf(replace(sample_prices, lines=(line,), facts=()))))
    assert ("%" in text) is (margin is not None)
    assert margin is None or f" {100 * margin:.1f} %" in text


def test_a_forecast_of_one_piece(sample_forecast, pages_of):
    sheet = replace(sample_forecast, pieces=sample_forecast.pieces[:1], curve=None, totals=())
    text = flat(pages_of(forecast_pdf(sheet)))
    assert sample_forecast.pieces[0].name in text
    assert sample_forecast.pieces[1].name not in text


def test_a_csv_file_opened_again_equals_the_values_within_its_rounding(all_tables):
    for table in all_tables:
        rows = list(csv.reader(io.StringIO(csv_bytes(table).decode("utf-8-sig"), newline="")))
        assert rows[0] == [column.with_unit for column in table.columns]
        for row, cells in zip(table.rows, rows[1:], strict=True):
            for value, cell, column in zip(row, cells, table.columns, strict=True):
                assert equal(value, cell, column), (table.name, column.heading, value, cell)


def equal(value, cell: str, column: Column) -> bool:
    if value is None:
        return cell == ""
    if isinstance(value, date):
        return date.fromisoformat(cell) == value
    if isinstance(value, str):
        return cell == value
    in_unit = {"money": value / 100, "share": 100 * value}.get(column.form, value)
    places = 2 if column.form == "money" else column.places
    return abs(float(cell) - in_unit) <= 0.5000001 * 10**-places


def test_a_workbook_has_the_type_of_every_column(all_tables):
    """Numbers are numbers to the spreadsheet, days are days, texts are texts; nothing is a text that looks so."""
    for table in all_tables:
        data = xlsx_bytes([table], title="t", made_on=date(2026, 3, 9))
        sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
        for place, column in enumerate(table.columns):
            cells = [row[place] for row in sheet.iter_rows(min_row=2)]
            kinds = {type(cell.value) for cell in cells if cell.value is not None}
            wanted = {"text": {str}, "date": {datetime}}.get(column.form, {int, float})
            assert kinds <= wanted, (table.name, column.heading, kinds)
            if column.form == "share":
                assert all(cell.number_format == "0.0%" for cell in cells if cell.value is not None)
            if column.form == "money":
                assert all("$" in cell.number_format for cell in cells if cell.value is not None)


def test_a_workbook_opened_again_equals_the_values(all_tables):
    data = xlsx_bytes(all_tables, title="all", made_on=date(2026, 3, 9))
    book = openpyxl.load_workbook(io.BytesIO(data))
    for table, sheet in zip(all_tables, book.worksheets, strict=False):
        for row, cells in zip(table.rows, sheet.iter_rows(min_row=2, values_only=True), strict=True):
            for value, cell, column in zip(row, cells, table.columns, strict=True):
                if isinstance(value, date):
                    assert cell.date() == value
                elif isinstance(value, int | float):
                    assert cell == pytest.approx(value / 100 if column.form == "money" else value, rel=1e-12)
                else:
                    assert (cell or "") == (value or "")  # an empty text is an empty cell


def test_a_workbook_holds_the_same_sheets_each_time(all_tables):
    """Its cells are the same bytes; only the stamp of the archive may differ."""

    def parts(data: bytes) -> dict[str, bytes]:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return {name: archive.read(name) for name in archive.namelist() if name.startswith("xl/")}

    made = [xlsx_bytes(all_tables, title="all", made_on=date(2026, 3, 9)) for _ in range(2)]
    assert parts(made[0]) == parts(made[1])


def test_kilograms_and_pounds_of_every_row_agree(all_tables):
    """1 lb = 0.45359237 kg [International yard and pound agreement, 1959]."""
    checked = 0
    for table in all_tables:
        units = {(column.heading, column.unit): place for place, column in enumerate(table.columns)}
        for (heading, unit), place in units.items():
            pounds = units.get((heading, "lb"))
            if unit == "kg" and pounds is not None:
                for row in table.rows:
                    if row[place] is not None:
                        assert row[place] == pytest.approx(row[pounds] * 0.45359237)
                        checked += 1
    assert checked > 100
