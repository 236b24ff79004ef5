"""`gambrel grade --table`: a line a row in order, bad rows reported by number, and any file survived."""

from __future__ import annotations

import io
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

HEADER = "kind,sex,hot_lb,fat_in,ribeye_in2,kph_pct,marbling,maturity"
GOOD = "grain-finished,steer,750,0.40,12.8,2.5,430,A"


def test_a_line_a_row_in_order(table):
    """Rows from the standard's examples: 7 CFR 54.105 and USDA AMS 2016; grades 2, 1, 2."""
    answer = table(GOOD, "wagyu,heifer,700,0.20,12.5,1.5,720,A", "bison,bull,700,0.50,12.3,2.5,,")
    assert answer.status == 0
    assert [line["row"] for line in answer.lines] == [2, 3, 4]
    assert [line["yield_grade_whole"] for line in answer.lines] == [2, 1, 2]
    assert [line["quality_grade"] for line in answer.lines] == ["Choice", "Prime", None]
    assert all(line["official"] is False for line in answer.lines)


def test_a_row_equals_the_same_carcass_typed(table, carcass):
    row = table(GOOD).lines[0]
    row.pop("row")
    assert row == carcass("--json").value


def test_metric_columns(table):
    answer = table(
        "grain-finished,steer,340.1942775,10.16,82.58048",
        header="kind,sex,hot_kg,fat_mm,ribeye_cm2",
    )
    assert answer.lines[0]["yield_grade"] == pytest.approx(
        2.754 - 0.2 * 0.6, abs=1e-6
    )  # kidney fat 1.9 for 2.5


def test_extra_columns_and_blank_lines_are_passed_over(table):
    answer = table(f"7,{GOOD},nice one", "", f"8,{GOOD},", header=f"tag,{HEADER},remark")
    assert answer.status == 0
    assert [line["row"] for line in answer.lines] == [2, 4]


def test_either_weight_column_may_be_filled(table):
    header = "kind,sex,hot_lb,hot_kg,fat_in,ribeye_in2"
    answer = table(
        "wagyu,steer,750,,0.4,12.8",
        "wagyu,steer,,340.1942775,0.4,12.8",
        "wagyu,steer,750,340,0.4,12.8",
        header=header,
    )
    assert answer.status == 1
    first, second, third = answer.lines
    assert first["yield_grade"] == pytest.approx(second["yield_grade"])
    assert third["findings"][0]["given"] == "hot_lb and hot_kg"


BAD_ROWS = [
    ("ox,steer,750,0.40,12.8,2.5,430,A", "kind"),
    ("grain-finished,steer,,0.40,12.8,2.5,430,A", "hot"),
    ("grain-finished,steer,750,,12.8,2.5,430,A", "fat"),
    ("grain-finished,steer,750,0.40,,2.5,430,A", "ribeye"),
    ("grain-finished,steer,nan,0.40,12.8,2.5,430,A", "hot_lb"),
    ("grain-finished,steer,inf,0.40,12.8,2.5,430,A", "hot_lb"),
    ("grain-finished,steer,-750,0.40,12.8,2.5,430,A", "hot"),
    ("grain-finished,steer,9000,0.40,12.8,2.5,430,A", "hot"),
    ("grain-finished,steer,750lb,0.40,12.8,2.5,430,A", "hot_lb"),
    ("grain-finished,steer,1e999,0.40,12.8,2.5,430,A", "hot"),
    ("grain-finished,steer,750,-0.1,12.8,2.5,430,A", "fat"),
    ("grain-finished,steer,750,0.40,300,2.5,430,A", "ribeye"),
    ("grain-finished,steer,750,0.40,12.8,nan,430,A", "kph"),
    ("grain-finished,steer,750,0.40,12.8,2.5,wet,A", "marbling"),
    ("grain-finished,steer,750,0.40,12.8,2.5,430,G", "maturity"),
    (GOOD + ",1,2", "cells"),
    ("grain-finished,steer,750", "fat"),
    ('grain-finished,"steer\n",750,0.40,12.8,2.5,430,A', "cells"),
]


@pytest.mark.parametrize(("row", "place"), BAD_ROWS, ids=lambda value: str(value)[:40])
def test_a_bad_row_is_reported_and_the_rest_goes_on(table, row, place):
    answer = table(GOOD, row, GOOD)
    assert answer.status == 1
    first, bad, last = answer.lines
    assert bad.keys() == {"row", "findings"}
    number = 4 if "\n" in row else 3
    assert bad["row"] == number
    assert f"row {number}, {place}" in [finding["where"] for finding in bad["findings"]]
    assert f"error: row {number}, {place}" in answer.err
    assert first["yield_grade"] == last["yield_grade"]


def test_every_slip_of_a_row_is_named_once(table):
    bad = table("ox,steer,nan,x,,99,wet,G").lines[0]
    assert sorted(finding["where"].removeprefix("row 2, ") for finding in bad["findings"]) == [
        "fat_in",
        "hot_lb",
        "kind",
        "kph",
        "marbling",
        "maturity",
        "ribeye",
    ]


@pytest.mark.parametrize(
    ("data", "given"),
    [
        (b"", "an empty file"),
        (b"   \n\n", "an empty file"),
        (b"\x00\x01\x02", "bytes that are not text"),
        (b"kind,sex\nwagyu,steer\n", "kind, sex"),
        (HEADER.replace("hot_lb", "hot_lb,hot_lb").encode() + b"\n", "hot_lb twice"),
    ],
)
def test_a_file_that_is_no_table(table, data, given):
    answer = table(data=data)
    assert answer.status == 1
    assert given in [finding["given"] for finding in answer.value["findings"]]
    assert "Traceback" not in answer.err


def test_a_missing_column_names_what_is_wanted(table):
    answer = table(data=b"kind,sex\nwagyu,steer\n")
    wanted = " ".join(finding["wanted"] for finding in answer.value["findings"])
    for column in ("hot_lb or hot_kg", "fat_in or fat_mm", "ribeye_in2 or ribeye_cm2"):
        assert column in wanted


def test_a_file_that_is_not_there(grade, tmp_path):
    for name in ("none.csv", "."):
        answer = grade("--table", str(tmp_path / name), "--json")
        assert answer.status == 1
        assert len(answer.value["findings"]) == 1


@pytest.mark.parametrize("encode", ["utf-8-sig", "latin-1", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("comma", [",", ";", "\t"])
def test_files_from_many_hands(table, encode, end, comma):
    text = end.join((f"{HEADER},remark", f"{GOOD},mûre", "")).replace(",", comma)
    answer = table(data=text.encode(encode))
    assert answer.status == 0, answer.err
    assert answer.lines[0]["yield_grade"] == pytest.approx(2.754)


def test_a_header_alone_grades_nothing(table):
    answer = table()
    assert answer.status == 0
    assert answer.lines == []


def test_the_table_for_people(table):
    answer = table(GOOD, "ox,steer,750,0.40,12.8,2.5,430,A", flags=())
    assert answer.status == 1
    heading, good, bad, foot = answer.out.splitlines()
    assert heading.split()[:3] == ["row", "kind", "sex"]
    assert "2.75" in good
    assert "Choice-" in good
    assert "750" in good
    assert "340.2" in good
    assert "not graded" in bad
    assert "none official" in foot


def test_the_table_for_people_says_what_no_grade_covers(table):
    assert "no USDA grade covers bison" in table("bison,bull,700,0.50,12.3,2.5,,", flags=()).out
    assert "bison" not in table(GOOD, flags=()).out.lower()


def test_the_short_cut_over_a_table(table):
    """South Dakota State University extension, 2022: 2.16 by the short cut."""
    row = "grain-finished,steer,700,0.40,14.0,2.0,430,A"
    answer = table(row, flags=("--json", "--form", "bench"))
    assert answer.lines[0]["yield_grade"] == pytest.approx(2.16, abs=0.005)


def test_ten_thousand_rows_give_ten_thousand_lines(table):
    answer = table(*[GOOD] * 10_000)
    assert answer.status == 0
    assert [line["row"] for line in answer.lines] == list(range(2, 10_002))
    assert {line["yield_grade"] for line in answer.lines} == {answer.lines[0]["yield_grade"]}


cells = st.one_of(
    st.sampled_from(
        ["grain-finished", "bison", "steer", "750", "0.4", "12.8", "A", "nan", "", '"', "1e308", "½", "٣"]
    ),
    st.text(max_size=8),
    st.floats().map(str),
)


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(rows=st.lists(st.lists(cells, max_size=11), max_size=6))
def test_any_cells_under_the_header_are_answered(table, rows):
    answer = table(data="\n".join([HEADER, *(",".join(row) for row in rows)]).encode("utf-8", "replace"))
    _is_an_answer(answer)


@settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    data=st.one_of(
        st.binary(max_size=200), st.binary(max_size=80).map(lambda tail: HEADER.encode() + b"\n" + tail)
    )
)
def test_any_bytes_are_answered(table, data):
    _is_an_answer(table(data=data))


def test_a_huge_cell_is_answered(table):
    _is_an_answer(table("grain-finished," + "x" * 200_000 + ",750,0.4,12.8,2.5,430,A", GOOD))


def _is_an_answer(answer) -> None:
    assert answer.status in (0, 1)
    lines = [json.loads(line) for line in io.StringIO(answer.out)]
    bad = [line for line in lines if "yield_grade" not in line]
    assert (answer.status == 1) == bool(bad)
    assert all(line["findings"] for line in bad)
