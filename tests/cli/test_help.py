"""The help of every command: each option in a sentence, and the same by every way of calling it."""

from __future__ import annotations

import importlib
import subprocess
import sys
from collections.abc import Callable

import click
import pytest
from click.testing import Result

from gambrel.cli.main import COMMANDS

COMMAND_NAMES = sorted(COMMANDS)


def command_of(name: str) -> click.Command:
    command: click.Command = importlib.import_module(f"gambrel.cli.{name}").command
    return command


@pytest.mark.parametrize("name", COMMAND_NAMES)
def test_every_option_has_a_sentence(name: str) -> None:
    silent = [option.opts for option in command_of(name).params
              if isinstance(option, click.Option) and len((option.help or "").split()) < 2]  # fmt: skip
    assert silent == []


@pytest.mark.parametrize("name", COMMAND_NAMES)
def test_every_option_is_in_the_help_with_its_sentence(name: str, gambrel: Callable[..., Result]) -> None:
    shown = " ".join(gambrel(name, "--help").stdout.split())
    for option in command_of(name).params:
        if isinstance(option, click.Option):
            assert option.opts[0] in shown
            assert " ".join((option.help or "").split()) in shown
    assert "-h, --help" in shown


@pytest.mark.parametrize("name", COMMAND_NAMES)
def test_every_command_takes_json(name: str) -> None:
    assert "--json" in {opt for option in command_of(name).params for opt in option.opts}


@pytest.mark.parametrize("name", COMMAND_NAMES)
def test_the_help_begins_with_a_whole_sentence(name: str) -> None:
    first = (command_of(name).help or "").strip().split("\n\n")[0]
    assert first[0].isupper()
    assert first.rstrip().endswith(".")


@pytest.mark.parametrize("name", COMMAND_NAMES)
def test_the_command_is_called_as_the_list_calls_it(name: str) -> None:
    assert command_of(name).name == name


def test_the_module_runs_as_a_program() -> None:
    """`python -m gambrel.cli.main` is the same program as `gambrel`."""
    done = subprocess.run([sys.executable, "-m", "gambrel.cli.main", "grade", "--help"],
                          capture_output=True, text=True, check=False)  # fmt: skip
    assert done.returncode == 0
    assert done.stderr == ""
    assert "--ribeye" in done.stdout


@pytest.mark.parametrize("name", [name for name in COMMAND_NAMES if name not in ("demo", "grade", "serve")])
def test_a_command_without_its_file_is_typed_wrong(name: str, gambrel: Callable[..., Result]) -> None:
    answer = gambrel(name)
    assert answer.exit_code == 2
    assert answer.stdout == ""
    assert "Usage: " in answer.stderr


def test_plan_takes_a_file_or_an_example_but_not_both(gambrel: Callable[..., Result]) -> None:
    assert gambrel("plan", "week.toml", "--example", "2").exit_code == 2


def test_week_knows_two_papers_only(gambrel: Callable[..., Result]) -> None:
    answer = gambrel("week", "week.toml", "--paper", "foolscap")
    assert answer.exit_code == 2
    assert "letter" in answer.stderr and "a4" in answer.stderr
