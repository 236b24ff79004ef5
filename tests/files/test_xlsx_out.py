"""The workbook read back by its own library: equal values, right types, headings in sight, no formulas."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.sheets.inputs import PlanSheet
from gambrel.files.sheets.plan_tables import plan_tables
from gambrel.files.sheets.table import Table, day, kg, money, share, text, whole
from gambrel.files.sheets.tables import forecast_tables, kinds_tables, price_tables
from gambrel.files.sheets.xlsx_out import clean, tab_names, xlsx_bytes

MADE = date(2026, 3, 9)


def book_of(*tables: Table, notes=()):
    data = xlsx_bytes(tables, title="Plan", made_on=MADE, notes=notes)
    return openpyxl.load_workbook(io.BytesIO(data))


ONE = Table(
    "sides",
    (text("side"), kg("hung"), share("share"), money("price", "$/lb"), day("cutting day"), whole("ribs")),
    (("07-left", 176.1263, 0.2681, 1250, date(2026, 3, 10), 13), ("=1+1", 2.0, None, None, None, 14)),
)


def test_values_come_back_equal_and_of_their_type():
    sheet = book_of(ONE)["sides"]
    head, first, second = sheet.iter_rows(values_only=True)
    assert head == ("side", "hung [kg]", "share [%]", "price [$/lb]", "cutting day", "ribs")
    assert first == ("07-left", 176.1263, 0.2681, 12.5, datetime(2026, 3, 10), 13)
    assert second == ("=1+1", 2, None, None, None, 14)
    assert [type(cell) for cell in first[:2]] == [str, float]


def test_numbers_dates_and_money_are_formatted():
    row = book_of(ONE)["sides"][2]
    assert [cell.number_format for cell in row] == [
        "General",
        "#,##0.00",
        "0.0%",
        '"$"#,##0.00',
        "yyyy-mm-dd",
        "#,##0",
    ]
    assert row[4].is_date


@pytest.mark.parametrize(
    "evil", ["=1+1", '=HYPERLINK("http://example.invalid")', "+1", "-1", "@A1", "=cmd|x!A0"]
)
def test_no_text_becomes_a_formula(evil):
    sheet = book_of(Table("t", (text(evil),), ((evil,),)))["t"]
    for cell in (sheet["A1"], sheet["A2"]):
        assert cell.data_type == "s"
        assert cell.value == evil


def test_no_formula_is_in_the_file_itself():
    data = xlsx_bytes([Table("t", (text("a"),), (("=1+1",),))], title="=1+1", made_on=MADE, notes=["=2+2"])
    with zipfile.ZipFile(io.BytesIO(data)) as parts:
        for name in parts.namelist():
            if name.startswith("xl/worksheets/"):
                assert b"<f>" not in parts.read(name)


def test_headings_stay_in_sight_and_are_styled():
    sheet = book_of(ONE)["sides"]
    assert sheet.freeze_panes == "B2"
    assert sheet.auto_filter.ref == "A1:F3"
    assert sheet["A1"].font.bold
    assert sheet["A1"].fill.start_color.rgb.endswith("1D4E79")
    assert sheet.print_title_rows == "$1:$1"


def test_columns_are_wide_enough_for_their_text():
    long = "a name of thirty-two characters.."
    sheet = book_of(Table("t", (text("a"), kg("b")), ((long, 1.0),)))["t"]
    assert sheet.column_dimensions["A"].width >= len(long)
    assert 12 <= sheet.column_dimensions["B"].width <= 20


def test_the_last_tab_says_what_it_is():
    sheet = book_of(ONE, notes=["Estimates by the shop."])["about"]
    assert [row[0] for row in sheet.iter_rows(values_only=True)] == [
        "Plan",
        datetime(2026, 3, 9),
        "Estimates by the shop.",
    ]


def test_tab_names_fit_the_rules():
    names = tab_names(["pieces", "PIECES", "a/b:c*?[d]", "x" * 60, "x" * 60, "", "about", "'"])
    assert names == [
        "pieces",
        "PIECES 2",
        "a b c   d",
        "x" * 31,
        "x" * 29 + " 2",
        "table",
        "about 2",
        "table 2",
    ]


@given(st.lists(st.text(max_size=50), max_size=12))
def test_any_wished_names_give_legal_tabs(wishes):
    names = tab_names(wishes)
    assert len({name.lower() for name in names}) == len(wishes)
    assert all(1 <= len(name) <= 31 and not set(name) & set("[]:*?/\\") for name in names)


@pytest.mark.parametrize("text_", ["\x00\x07bell", "\ud800", "x" * 40_000, "\ufffe"])
def test_what_a_cell_may_not_hold_is_taken_out(text_):
    book = book_of(Table("t", (text("a"),), ((text_,),)))
    assert book["t"]["A2"].value.strip() == clean(text_).strip()
    assert len(book["t"]["A2"].value) <= 32_767


def test_the_plan_has_its_tabs_and_rows(sample_plan: PlanSheet):
    book = book_of(*plan_tables(sample_plan))
    assert book.sheetnames == ["sides", "ways", "pieces", "rail", "hours", "about"]
    assert book["sides"].max_row == 1 + len(sample_plan.week.sides)
    assert book["ways"].max_row == 1 + sum(len(job.ways) for job in sample_plan.jobs)
    assert book["pieces"].max_row == 1 + sum(len(job.pieces) for job in sample_plan.jobs)
    first = sample_plan.week.sides[0]
    assert book["sides"]["C2"].value == pytest.approx(first.hung_kg.mean)
    assert book["sides"]["H2"].value.date() == first.cut_on


def test_the_forecast_has_its_tabs_and_rows(sample_forecast):
    book = book_of(*forecast_tables(sample_forecast))
    assert book.sheetnames == ["pieces", "regions", "totals", "about"]
    assert book["pieces"].max_row == 1 + len(sample_forecast.pieces)
    heading = [cell.value for cell in book["pieces"][1]]
    assert heading[2:] == [
        "mean [kg]",
        "low end of 90 % [kg]",
        "high end of 90 % [kg]",
        "mean [lb]",
        "share of the side [%]",
    ]


def test_the_prices_are_real_dollars(sample_prices):
    sheet = book_of(*price_tables(sample_prices))["prices"]
    # $14.00/kg x 0.45359237 kg/lb = $6.350293/lb [NIST Special Publication 811, appendix B.8, 2008]
    assert sheet["C2"].value == pytest.approx(6.350293)
    assert sheet["D2"].value == 14.0
    assert sheet["E2"].value is None and sheet["F2"].value is None
    assert sheet["F3"].value == pytest.approx(1 - 1220 / 1610)


def test_the_kinds_are_one_row_each(sample_kinds):
    sheet = book_of(*kinds_tables(sample_kinds))["kinds"]
    assert [row[0] for row in sheet.iter_rows(min_row=2, values_only=True)] == [
        kind.name for kind in sample_kinds.kinds
    ]
    assert [cell.value for cell in sheet[1]][:5] == [
        "kind",
        "ribeye [cm2]",
        "ribeye [in2]",
        "cover [mm]",
        "cover [in]",
    ]
    # 70 cm2 / 6.4516 = 10.8500 in2
    assert sheet["C2"].value == pytest.approx(10.85, abs=1e-3)


def test_every_number_column_of_every_table_names_its_unit(
    sample_plan, sample_forecast, sample_prices, sample_kinds
):
    tables = [
        *plan_tables(sample_plan),
        *forecast_tables(sample_forecast),
        *price_tables(sample_prices),
        *kinds_tables(sample_kinds),
    ]
    bare = [f"{table.name}: {column.heading}" for table in tables for column in table.columns
            if column.form not in ("text", "date") and not column.unit]  # fmt: skip
    assert bare == []


def test_an_empty_table_is_left_out(sample_plan):
    from dataclasses import replace

    lean = replace(sample_plan, jobs=(), week=replace(sample_plan.week, rail=(), work=()))
    assert [table.name for table in plan_tables(lean)] == ["sides"]
