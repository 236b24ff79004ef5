"""TOML files from many hands: what is read, and what is said about the rest."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.reading import read_toml
from gambrel.measures import CannotDo, Finding


def refused(path: Path, data: bytes) -> Finding:
    path.write_bytes(data)
    with pytest.raises(CannotDo) as refusal:
        read_toml(path)
    (finding,) = refusal.value.findings
    assert finding.where == str(path)
    return finding


@pytest.mark.parametrize("data", [b'hot = "806lb"\n', b'\xef\xbb\xbfhot = "806lb"\r\n',
                                  'hot = "806lb"'.encode("utf-16")])  # fmt: skip
def test_marks_and_line_ends_of_any_editor(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "side.toml").write_bytes(data)
    assert read_toml(tmp_path / "side.toml") == {"hot": "806lb"}


def test_latin_1_is_read(tmp_path: Path) -> None:
    (tmp_path / "side.toml").write_bytes('name = "Añejo"\n'.encode("latin-1"))
    assert read_toml(tmp_path / "side.toml") == {"name": "Añejo"}


@pytest.mark.parametrize(
    ("data", "given"),
    [
        (b"hot = 806lb\n", "line 1"),
        (b'hot = "806lb"\nhot = "807lb"\n', "line 2"),
        (b"kind: bison\n", "line 1"),
        (b"day = 2026-13-45\n", "line 1"),
        (b"hot = " + b"9" * 5000 + b"\n", "5000 digits"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "brackets within brackets"),
        (b"", "an empty file"),
        (b" \n\n", "an empty file"),
        (b"\x00\x01\x02", "bytes that are not text"),
    ],
    ids=[
        "no quotes",
        "twice",
        "colon",
        "no such day",
        "endless number",
        "endless brackets",
        "empty",
        "blank",
        "bytes",
    ],
)
def test_what_cannot_be_read_says_why(tmp_path: Path, data: bytes, given: str) -> None:
    assert given in refused(tmp_path / "side.toml", data).given


def test_a_file_that_is_not_there_and_a_folder(tmp_path: Path) -> None:
    for path, said in ((tmp_path / "none.toml", "no such file"), (tmp_path, "a folder or device")):
        with pytest.raises(CannotDo) as refusal:
            read_toml(path)
        assert refusal.value.findings[0].given == said


@given(st.binary(max_size=60) | st.text(max_size=60).map(lambda text: text.encode("utf-8", "replace")))
def test_junk_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "junk.toml"
    path.write_bytes(data)
    try:
        assert isinstance(read_toml(path), dict)
    except CannotDo as refusal:
        assert len(refusal.findings) == 1
