"""CSV files: read back by our own reader and by the standard library, harmless to a spreadsheet."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.reading import read_csv_rows
from gambrel.files.sheets.csv_out import csv_bytes, harmless
from gambrel.files.sheets.table import Column, Table, day, kg, lb, money, share, text, whole
from gambrel.measures import Findings

TABLE = Table(
    "sides",
    (
        text("side"),
        kg("hung"),
        lb("hung"),
        share("share"),
        money("price", "$/lb"),
        day("cutting day"),
        whole("ribs"),
    ),
    (
        ("07-left", 176.126, 388.291, 0.2681, 1249.6, date(2026, 3, 10), 13),
        ('11; right, "old"', 158.0, None, None, -1, None, 14),
    ),
)


def read_back(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_headings_name_their_units_and_values_are_rounded():
    head, first, second = read_back(csv_bytes(TABLE))
    assert head == ["side", "hung [kg]", "hung [lb]", "share [%]", "price [$/lb]", "cutting day", "ribs"]
    assert first == ["07-left", "176.13", "388.29", "26.8", "12.50", "2026-03-10", "13"]
    assert second == ['11; right, "old"', "158.00", "", "", "-0.01", "", "14"]


def test_the_byte_order_mark_is_a_choice():
    assert csv_bytes(TABLE).startswith(b"\xef\xbb\xbf")
    assert csv_bytes(TABLE, bom=False).startswith(b"side,")
    assert csv_bytes(TABLE)[3:] == csv_bytes(TABLE, bom=False)


def test_lines_end_as_the_standard_says():
    """Each record ends with CR LF [RFC 4180, section 2, 2005]."""
    data = csv_bytes(TABLE)
    assert data.count(b"\r\n") == 3
    assert data.endswith(b"\r\n")


@pytest.mark.parametrize("bom", [True, False])
def test_our_own_reader_reads_it(tmp_path, bom):
    (tmp_path / "a.csv").write_bytes(csv_bytes(TABLE, bom=bom))
    rows = dict(read_csv_rows(tmp_path / "a.csv", {"side": ("side",), "hung": ("hung [kg]",)}, Findings()))
    assert rows[2]["side"] == "07-left"
    assert rows[3]["hung [kg]"] == "158.00"


@pytest.mark.parametrize(
    "cell",
    ["=1+1", "+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "  =1", "=cmd|' /C calc'!A0", "＝1", "－1", "\n=1"],
)
def test_what_a_spreadsheet_would_run_is_quoted(cell):
    """The signs are those of the OWASP page on CSV injection."""
    (_, (shown,)) = read_back(csv_bytes(Table("t", (text("name"),), ((cell,),))))
    assert shown == f"'{cell}"


def test_headings_are_harmless_too():
    assert read_back(csv_bytes(Table("t", (Column("=1"),), ())))[0] == ["'=1"]


@pytest.mark.parametrize("cell", ["chuck roll", "07-left", "a=b", "", "'quoted'", "½ side", "naïve"])
def test_ordinary_text_is_left_alone(cell):
    assert harmless(cell) == cell


def test_our_own_negative_numbers_stay_numbers():
    table = Table("t", (kg("change"), money("profit")), ((-1.5, -250),))
    assert read_back(csv_bytes(table))[1] == ["-1.50", "-2.50"]


@given(st.lists(st.tuples(st.text(max_size=20), st.floats(-1e6, 1e6)), max_size=20))
def test_any_text_and_number_come_back(pairs):
    pairs = [(name.encode("utf-8", "replace").decode().replace("\x00", ""), value) for name, value in pairs]
    table = Table("t", (text("name"), kg("weight")), tuple(pairs))
    back = read_back(csv_bytes(table))[1:]
    assert len(back) == len(pairs)
    for (name, value), (shown, figure) in zip(pairs, back, strict=True):
        assert shown.removeprefix("'") == name.removeprefix("'")
        assert float(figure) == pytest.approx(value, abs=0.0051)


def test_a_row_that_does_not_fit_the_columns_is_refused():
    with pytest.raises(ValueError, match="row 2: 1 values for 2 columns"):
        Table("t", (text("a"), kg("b")), (("x", 1.0), ("y",)))


def test_an_unknown_form_is_refused():
    with pytest.raises(ValueError, match="a column is one of"):
        Column("a", "colour")
