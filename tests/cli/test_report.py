"""How a command answers: exit status, findings, and a reader that goes away."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.measures import CannotDo, Finding

FAT = Finding("fat", "0.4", "a length with its unit", "Say the unit: 0.4mm or 0.4in.")
KIND = Finding("kind", "bisson", "one of bison, wagyu", "Did you mean bison?")


def command(body: Callable[[], int | None]) -> click.Command:
    @click.command()
    @as_json
    @answers
    def made(as_json: bool) -> int | None:
        return body()

    return made


def refuse() -> None:
    raise CannotDo([FAT, KIND])


@pytest.mark.parametrize(("returned", "status"), [(None, 0), (0, 0), (1, 1)])
def test_the_body_says_the_exit_status(returned: int | None, status: int) -> None:
    assert CliRunner().invoke(command(lambda: returned), []).exit_code == status


def test_a_refusal_complains_about_everything_on_standard_error() -> None:
    answer = CliRunner().invoke(command(refuse), [])
    assert answer.exit_code == 1
    assert answer.stdout == ""
    assert answer.stderr == (
        "error: fat\n  given:  0.4\n  wanted: a length with its unit\nhint: Say the unit: 0.4mm or 0.4in.\n"
        "error: kind\n  given:  bisson\n  wanted: one of bison, wagyu\nhint: Did you mean bison?\n"
    )


def test_a_refusal_for_a_program_is_one_json_value() -> None:
    answer = CliRunner().invoke(command(refuse), ["--json"])
    assert answer.exit_code == 1
    assert json.loads(answer.stdout) == {"findings": [FAT.as_json(), KIND.as_json()]}
    assert "error: kind" in answer.stderr


def test_our_own_mistakes_are_left_to_be_seen() -> None:
    def mistake() -> None:
        raise ZeroDivisionError

    assert isinstance(CliRunner().invoke(command(mistake), []).exception, ZeroDivisionError)


def test_a_place_that_cannot_be_written_is_a_finding(tmp_path: Path) -> None:
    def write() -> None:
        print("half an answer")
        (tmp_path / "no such folder" / "plan.csv").write_text("")

    answer = CliRunner().invoke(command(write), [])
    assert answer.exit_code == 1
    assert answer.stdout == "half an answer\n"
    assert answer.stderr.startswith(f"error: {tmp_path}")
    assert "No such file or directory" in answer.stderr


def test_json_has_no_figure_that_is_none() -> None:
    with pytest.raises(ValueError, match="JSON"):
        print_json({"kg": math.nan})


def test_json_of_any_script_can_be_read_anywhere(capsys: pytest.CaptureFixture[str]) -> None:
    print_json({"name": "Añejo 和牛 \udcff"})
    printed = capsys.readouterr().out
    assert printed.isascii()
    assert json.loads(printed)["name"] == "Añejo 和牛 \udcff"


def test_a_warning_is_called_one(capsys: pytest.CaptureFixture[str]) -> None:
    complain([FAT], word="warning")
    assert capsys.readouterr().err.startswith("warning: fat\n")


PROGRAM = """
import click
from gambrel.cli.report import answers, as_json, print_json
from gambrel.measures import CannotDo, Finding

@click.command()
@click.argument("what")
@as_json
@answers
def command(what, as_json):
    if what == "refuse":
        raise CannotDo([Finding("kind", "bisson", "one of bison", "Did you mean bison?")])
    for number in range(20_000 if what == "long" else 1):
        print(f"{number} \\u2014 \\u548c\\u725b")
command()
"""


def start(*words: str, stdout: int, **environment: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-c", PROGRAM, *words], stdout=stdout, stderr=subprocess.PIPE,
                            env={**os.environ, **environment})  # fmt: skip


@pytest.mark.parametrize("words", [("long",), ("refuse", "--json"), ("short",)])
def test_a_reader_that_goes_away_hears_no_complaint(words: tuple[str, ...]) -> None:
    """As `gambrel ... | head -1`: the pipe is closed before the answer has been written."""
    reading, writing = os.pipe()
    os.close(reading)
    with start(*words, stdout=writing) as process:
        os.close(writing)
        complaint = process.communicate()[1].decode()
    assert process.returncode == 1
    assert "Traceback" not in complaint
    assert "BrokenPipe" not in complaint
    assert "Exception ignored" not in complaint


def test_a_full_disk_is_said_and_not_traced() -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this machine has no /dev/full to write to")
    with full.open("wb") as disk, start("long", stdout=disk.fileno()) as process:
        complaint = process.communicate()[1].decode()
    assert process.returncode == 1
    assert complaint.startswith("error: the answer\n  given:  No space left on device\n")
    assert "Traceback" not in complaint
    assert "Exception ignored" not in complaint


def test_a_terminal_of_few_letters_gets_the_rest_by_code() -> None:
    with start("short", stdout=subprocess.PIPE, PYTHONIOENCODING="ascii", PYTHONUTF8="0") as process:
        printed, complaint = process.communicate()
    assert process.returncode == 0
    assert printed.decode() == "0 \\u2014 \\u548c\\u725b\n"
    assert complaint == b""


def test_a_folder_that_may_not_be_read_is_a_finding_for_a_program_too() -> None:
    def locked() -> None:
        raise PermissionError(13, "Permission denied", "/shop/records")

    answer = CliRunner().invoke(command(locked), ["--json"])
    assert answer.exit_code == 1
    (finding,) = json.loads(answer.stdout)["findings"]
    assert (finding["where"], finding["given"]) == ("/shop/records", "Permission denied")
    assert answer.stderr.startswith("error: /shop/records\n  given:  Permission denied\n")
