"""Files from many hands: what can be read is read, what cannot is said, and nothing else is raised."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gambrel.files import reading
from gambrel.files.reading import read_case, read_csv_rows, read_text, read_toml
from gambrel.measures import CannotDo, Findings

WANTED = {"kind": ("kind",), "hot": ("hot_lb", "hot_kg")}


def refused(path) -> str:
    with pytest.raises(CannotDo) as refusal:
        read_text(path)
    (finding,) = refusal.value.findings
    assert finding.where == str(path)
    assert finding.do
    return finding.given


def test_a_missing_file(tmp_path):
    assert refused(tmp_path / "none.toml") == "no such file"


def test_a_folder(tmp_path):
    assert refused(tmp_path) == "a folder or device"


@pytest.mark.parametrize("data", [b"", b"   \r\n\t\n", b"\xef\xbb\xbf", b"\xff\xfe"])
def test_an_empty_file(tmp_path, data):
    (tmp_path / "a").write_bytes(data)
    assert refused(tmp_path / "a") == "an empty file"


@pytest.mark.parametrize(
    "data", [b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", b"PK\x03\x04\x14\x00\x06\x00", bytes(range(256))]
)
def test_a_binary_file(tmp_path, data):
    (tmp_path / "a").write_bytes(data)
    assert refused(tmp_path / "a") == "bytes that are not text"


def test_a_huge_file_is_refused_unread(tmp_path, monkeypatch):
    monkeypatch.setattr(reading, "LARGEST_BYTES", 1000)
    (tmp_path / "a").write_bytes(b"x" * 1001)
    assert refused(tmp_path / "a") == "1,001 bytes"
    (tmp_path / "b").write_bytes(b"x" * 1000)
    assert len(read_text(tmp_path / "b")) == 1000


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything"
)
def test_a_file_that_may_not_be_read(tmp_path):
    (tmp_path / "a").write_bytes(b"x")
    (tmp_path / "a").chmod(0)
    assert refused(tmp_path / "a") == "Permission denied"


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-16-le-with-mark", "utf-16-be-with-mark"]
)
def test_encodings_people_save_in(tmp_path, encoding):
    text = "kind = “Señor” Gómez ½" if "utf" in encoding else "kind = Señor Gómez ½"
    name = encoding.removesuffix("-with-mark")
    mark = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}.get(name, b"")
    (tmp_path / "a").write_bytes(mark + text.encode(name))
    assert read_text(tmp_path / "a") == text


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300))
def test_any_bytes_give_text_or_findings(tmp_path, data):
    path = tmp_path / "any"
    path.write_bytes(data)
    try:
        assert read_text(path).strip()
    except CannotDo as refusal:
        assert refusal.findings


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300))
def test_any_bytes_as_toml_or_csv_give_values_or_findings(tmp_path, data):
    path = tmp_path / "any"
    path.write_bytes(data)
    for read in (read_toml, lambda p: list(read_csv_rows(p, WANTED, Findings()))):
        try:
            read(path)
        except CannotDo as refusal:
            assert refusal.findings


def test_toml_with_windows_line_ends(tmp_path):
    (tmp_path / "a.toml").write_bytes(b'kind = "bison"\r\nhot = "679lb"\r\n')
    assert read_toml(tmp_path / "a.toml") == {"kind": "bison", "hot": "679lb"}


@pytest.mark.parametrize("text", ['hot = 806lb"', "hot = ", "[a\nb = 1", "a = 1\na = 2", "just words"])
def test_broken_toml_says_where(tmp_path, text):
    (tmp_path / "a.toml").write_text(text, "utf-8")
    with pytest.raises(CannotDo) as refusal:
        read_toml(tmp_path / "a.toml")
    (finding,) = refusal.value.findings
    assert "line" in finding.given or "end of document" in finding.given
    assert "quotes" in finding.do


def test_a_case_is_one_entry(tmp_path):
    (tmp_path / "a.toml").write_text('kind = "bison"\nhot = 806\n', "utf-8")
    entry = read_case(tmp_path / "a.toml", Findings())
    assert entry.word("kind", ["bison"]) == "bison"
    assert entry.has("hot")


def rows(path, findings=None):
    return list(read_csv_rows(path, WANTED, findings if findings is not None else Findings()))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_csv_with_any_of_three_separators(tmp_path, delimiter, mark):
    text = (
        mark
        + "\r\n".join(delimiter.join(cells) for cells in (("Kind ", "HOT_LB"), ("bison", "679")))
        + "\r\n"
    )
    (tmp_path / "a.csv").write_text(text, "utf-8", newline="")
    assert rows(tmp_path / "a.csv") == [(2, {"kind": "bison", "hot_lb": "679"})]


def test_columns_nobody_knows_are_passed_over(tmp_path):
    (tmp_path / "a.csv").write_text("note,hot_kg,kind\nok,300,bison\n", "utf-8")
    ((number, row),) = rows(tmp_path / "a.csv")
    assert (number, row["kind"], row["hot_kg"]) == (2, "bison", "300")


def test_missing_columns_are_all_named(tmp_path):
    (tmp_path / "a.csv").write_text("sex,note\nbull,x\n", "utf-8")
    with pytest.raises(CannotDo) as refusal:
        rows(tmp_path / "a.csv")
    assert [finding.wanted for finding in refusal.value.findings] == [
        "a column kind for kind",
        "a column hot_lb or hot_kg for hot",
    ]


def test_a_heading_given_twice_is_a_finding(tmp_path):
    (tmp_path / "a.csv").write_text("kind,hot_lb,Kind\nbison,679,cattle\n", "utf-8")
    with pytest.raises(CannotDo, match="kind twice"):
        rows(tmp_path / "a.csv")


def test_ragged_rows_keep_what_they_have(tmp_path):
    (tmp_path / "a.csv").write_text("kind,hot_lb\nbison\n\n  ,\nbison,679,extra,more\n", "utf-8")
    short, long = rows(tmp_path / "a.csv")
    assert short == (2, {"kind": "bison"})
    assert long == (5, {"kind": "bison", "hot_lb": "679", "cells beyond the header": "2"})


def test_quoted_cells_may_hold_separators_and_line_ends(tmp_path):
    (tmp_path / "a.csv").write_text('kind,hot_lb\n"bison, ""old""\nbull",679\nbison,1\n', "utf-8")
    first, second = rows(tmp_path / "a.csv")
    assert first[1]["kind"] == 'bison, "old"\nbull'
    assert second == (4, {"kind": "bison", "hot_lb": "1"})


def test_a_table_of_only_a_header_has_no_rows(tmp_path):
    (tmp_path / "a.csv").write_text("kind,hot_lb\n", "utf-8")
    assert rows(tmp_path / "a.csv") == []


@pytest.mark.parametrize("blank", ["\n", "\r\n \r\n", ",\n", ",,,\n\n"])
def test_blank_lines_above_the_header_are_passed_over(tmp_path, blank):
    """A row keeps the number of its line in the file."""
    (tmp_path / "a.csv").write_text(blank + "kind,hot_lb\nbison,679\n", "utf-8", newline="")
    assert rows(tmp_path / "a.csv") == [(blank.count("\n") + 2, {"kind": "bison", "hot_lb": "679"})]


def test_a_table_of_separators_alone_lacks_its_columns(tmp_path):
    (tmp_path / "a.csv").write_text(",,\n;\n", "utf-8")
    with pytest.raises(CannotDo, match="a column kind"):
        rows(tmp_path / "a.csv")


@pytest.mark.parametrize("name", ["x" * 300, "a\x00b", "x/" * 3000])
def test_a_name_that_no_disk_holds_is_no_such_file(tmp_path, name):
    with pytest.raises(CannotDo, match="no such file"):
        read_text(tmp_path / name)
