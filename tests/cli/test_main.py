"""The command line as a whole: help, versions, and what is typed wrong."""

from __future__ import annotations

import importlib.metadata
import subprocess
import sys

import pytest
from click.testing import CliRunner

from gambrel.cli.main import COMMANDS, main


def run(*words: str) -> subprocess.CompletedProcess[str]:
    program = [sys.executable, "-m", "gambrel.cli.main", *words]
    return subprocess.run(program, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_lists_every_command_with_what_it_does(option: str) -> None:
    answer = CliRunner().invoke(main, [option], prog_name="gambrel")
    assert answer.exit_code == 0
    shown = " ".join(answer.stdout.split())
    for name, line in COMMANDS.items():
        assert f"{name} {line}" in shown
    assert "only a licensed grader gives an official grade" in shown


def test_help_of_a_fresh_process_loads_no_command_and_nothing_heavy() -> None:
    program = (
        "import sys; from gambrel.cli.main import main\n"
        "try: main(['--help'], prog_name='gambrel')\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'highspy', 'rich', 'openpyxl', 'typst'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
        "print([name for name in sys.modules if name.startswith('gambrel.cli.')], file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stderr.splitlines() == ["[]", "['gambrel.cli.main']"]


def test_no_command_at_all_shows_the_help() -> None:
    answer = CliRunner().invoke(main, [])
    assert answer.exit_code == 2
    assert "breakdown" in answer.output


@pytest.mark.parametrize("words", [["grad"], ["--colour"], ["nonsense", "--json"]])
def test_what_is_typed_wrong_is_2(words: list[str]) -> None:
    answer = run(*words)
    assert answer.returncode == 2
    assert answer.stdout == ""
    assert "Traceback" not in answer.stderr
    assert "Usage: " in answer.stderr


def test_version() -> None:
    answer = run("--version")
    assert answer.returncode == 0
    assert answer.stdout == f"gambrel {importlib.metadata.version('gambrel')}\n"


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_a_help_and_refuses_unknown_options(name: str) -> None:
    shown = CliRunner().invoke(main, [name, "--help"], prog_name="gambrel")
    assert shown.exit_code == 0, shown.output
    assert f"Usage: gambrel {name}" in shown.stdout
    wrong = CliRunner().invoke(main, [name, "--no-such-option"], prog_name="gambrel")
    assert wrong.exit_code == 2
    assert wrong.stdout == ""
