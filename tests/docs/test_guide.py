"""The guide is whole: every command, every page, every link."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import click
import house
import pytest

from gambrel.cli.main import COMMANDS

INDEX = house.ROOT / "docs" / "README.md"
GUIDE = [page for page in house.PAGES if page.is_relative_to(INDEX.parent) and page != INDEX]
_LINK = re.compile(r"\]\((?!https?:|#|mailto:)([^)#\s]+)")


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_is_shown_in_the_guide(name: str) -> None:
    shown = [page.name for page in GUIDE if re.search(rf"gambrel {name}\b", page.read_text("utf-8"))]
    assert shown, f"no page of docs/ shows `gambrel {name}`"


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_option_is_named_in_the_guide(name: str) -> None:
    command: click.Command = importlib.import_module(f"gambrel.cli.{name}").command
    text = "\n".join(page.read_text("utf-8") for page in house.PAGES)
    options = [max(param.opts, key=len) for param in command.params if isinstance(param, click.Option)]
    missing = [option for option in options if option not in text]
    assert not missing, f"docs/ never names {', '.join(missing)} of `gambrel {name}`"


def test_the_index_lists_every_page_once() -> None:
    listed = _LINK.findall(INDEX.read_text("utf-8"))
    assert sorted(listed) == sorted(page.relative_to(INDEX.parent).as_posix() for page in GUIDE)


@pytest.mark.parametrize("page", house.PAGES, ids=lambda page: str(page.relative_to(house.ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    broken = [link for link in _LINK.findall(page.read_text("utf-8")) if not (page.parent / link).exists()]
    assert broken == []


@pytest.mark.parametrize("page", house.PAGES, ids=lambda page: str(page.relative_to(house.ROOT)))
def test_a_page_has_one_title_and_its_fences_close(page: Path) -> None:
    text = page.read_text("utf-8")
    assert text.startswith("# ")
    assert text.count("\n```") % 2 == 0
    outside = re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)
    assert len(re.findall(r"^# ", outside, flags=re.MULTILINE)) == 1


def test_every_make_word_that_is_named_is_there() -> None:
    makefile = (house.ROOT / "Makefile").read_text("utf-8")
    targets = set(re.findall(r"^([a-z-]+):", makefile, flags=re.MULTILINE))
    pages = [*house.PAGES, house.ROOT / "CONTRIBUTING.md", house.ROOT / ".ci" / "run"]
    named = {name for page in pages for name in re.findall(r"^\s*make ([a-z]+)|`make ([a-z]+)`",
             page.read_text("utf-8"), flags=re.MULTILINE) for name in name if name}  # fmt: skip
    assert {"demo", "test", "check", "bench"} <= named <= targets
