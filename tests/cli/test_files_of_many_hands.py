"""Case files as other editors and other machines write them, and readers that go away in the middle."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

COMMANDS = ("breakdown", "grind", "hang", "plan", "price", "week")
FOLDERS = ("with spaces in it", "Añejo y búfalo", "和牛", "it's #1; $(x)", "100 % & more")


def moved(examples: dict[str, Path], name: str, folder: Path, case: str) -> Path:
    """The example with its other files in `folder`, its case file called `case`."""
    folder.mkdir(parents=True)
    for file in examples[name].parent.iterdir():
        shutil.copy(file, folder / (case if file == examples[name] else file.name))
    return folder / case


def same(name: str, answer: Result, told: dict[str, Result]) -> bool:
    """The same value but for the solver's seconds."""
    values = [json.loads(one.stdout) for one in (answer, told[name])]
    for value in values:
        value.pop("seconds", None)
        value.get("plan", {}).pop("seconds", None)
    return bool(values[0] == values[1])


@pytest.mark.parametrize("name", COMMANDS)
def test_windows_line_ends_with_a_byte_order_mark(
    name: str, usual: dict[str, tuple[str, ...]], told: dict[str, Result], examples: dict[str, Path],
    tmp_path: Path, gambrel: Callable[..., Result],
) -> None:  # fmt: skip
    path = moved(examples, name, tmp_path / "new", "case.toml")
    for file in path.parent.iterdir():
        file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes().replace(b"\n", b"\r\n"))
    answer = gambrel(name, str(path), *usual[name][2:], "--json")
    assert answer.exit_code == 0, answer.stderr
    assert same(name, answer, told)


@pytest.mark.parametrize("folder", FOLDERS)
@pytest.mark.parametrize("name", ["grind", "hang", "price"])
def test_folders_and_files_of_any_name(
    name: str, folder: str, told: dict[str, Result], examples: dict[str, Path], tmp_path: Path,
    gambrel: Callable[..., Result],
) -> None:  # fmt: skip
    path = moved(examples, name, tmp_path / folder, "el búfalo № 7.toml")
    answer = gambrel(name, str(path), "--json")
    assert answer.exit_code == 0, answer.stderr
    assert same(name, answer, told)


def test_a_refusal_names_the_file_as_it_is_called(tmp_path: Path, gambrel: Callable[..., Result]) -> None:
    path = tmp_path / "和牛 № 7.toml"
    path.write_text("kind = ", "utf-8")
    answer = gambrel("breakdown", str(path), "--json")
    assert json.loads(answer.stdout)["findings"][0]["where"] == str(path)
    assert str(path) in answer.stderr


@pytest.mark.parametrize("name", ["Añejo & Søn 🥩", "和牛 שור", "<b>$ #x [y] O'Dell's</b>"])
def test_a_shop_of_any_name_is_printed(
    name: str, examples: dict[str, Path], tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    text = examples["week"].read_text("utf-8").replace("Cottonwood Bend", name)
    (tmp_path / "week.toml").write_text(text, "utf-8")
    answer = gambrel("week", str(tmp_path / "week.toml"), "--seconds", "5")
    assert answer.exit_code == 0, answer.stderr
    assert f"{name}: 2 sides, 7 days from Mon 9 Mar" in answer.stdout.splitlines()


@pytest.mark.parametrize("name", ["\\u200fx", "\\u001b[31mred", "x" * 201, "two\\nlines"])
def test_a_shop_name_that_does_not_print_is_said(
    name: str, examples: dict[str, Path], tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    text = examples["week"].read_text("utf-8").replace("Cottonwood Bend", name)
    (tmp_path / "week.toml").write_text(text, "utf-8")
    answer = gambrel("week", str(tmp_path / "week.toml"))
    assert answer.exit_code == 1
    assert "shop, name" in answer.stderr
    assert "\x1b" not in answer.stderr and "\u200f" not in answer.stderr


@pytest.mark.parametrize("lines", ["\n", "\n\n \n", ",,,,\n", ",\r\n", "\r\n\t\n"])
def test_a_table_may_begin_with_blank_lines(
    lines: str, tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    """Spreadsheets leave blank lines above a table; rows keep the number they have in the file."""
    path = tmp_path / "table.csv"
    table = "kind,sex,hot_lb,fat_in,ribeye_in2\nwagyu,steer,750,0.4,12.8\n"
    path.write_bytes((lines + table).encode())
    answer = gambrel("grade", "--table", str(path), "--json")
    assert answer.exit_code == 0, answer.stderr
    (row,) = [json.loads(line) for line in answer.stdout.splitlines()]
    assert row["row"] == 2 + lines.count("\n")


@pytest.mark.parametrize("text", [",,,\n", ";\n;\n", "\t\n,\n"])
def test_a_table_of_blank_cells_is_said_to_lack_its_columns(
    text: str, tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    (tmp_path / "table.csv").write_text(text, "utf-8")
    answer = gambrel("grade", "--table", str(tmp_path / "table.csv"), "--json")
    assert answer.exit_code == 1
    assert json.loads(answer.stdout)["findings"]


@pytest.mark.parametrize("name", ["hang", "price", "breakdown"])
def test_a_reader_that_goes_away_is_not_complained_of(name: str, usual: dict[str, tuple[str, ...]]) -> None:
    """`gambrel … | head -1`: whether the pipe closes before or after the writing, nothing is on standard error
    but the notes that belong to the answer, and there is never a traceback."""
    words = [sys.executable, "-m", "gambrel.cli.main", *usual[name]]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        complaint = process.stderr.read().decode()
    assert process.returncode in (0, 1)
    assert "Traceback" not in complaint
    assert "Broken" not in complaint
    assert "Exception ignored" not in complaint


def test_standard_output_that_is_closed_from_the_start(usual: dict[str, tuple[str, ...]]) -> None:
    """`gambrel grade … >&-`."""
    program = "import os, sys; os.close(1); os.execv(sys.executable, [sys.executable, *sys.argv[1:]])"
    words = [sys.executable, "-c", program, "-m", "gambrel.cli.main", *usual["grade"]]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
