"""Every key in square brackets is in the register, and every entry of the register can be cited."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import gambrel.standards
from gambrel.standards.sources import MARKS, source, sources

FOLDER = Path(gambrel.standards.__file__).parent
KEY = re.compile(r"(?<![\w\"'(])\[([a-z][a-z0-9]*(?:-[a-z0-9]+)+[^\]\n]*(?:\n[^\]]*)?)\]")


def keys_cited(text: str) -> set[str]:
    """Keys in the square brackets of docstrings and comments, such as [ndsu-yield-grades; nbqa-2022]."""
    known = set(sources())
    words = {word for group in KEY.findall(text) for word in re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)+", group)}
    # A bracket may explain itself with hyphenated words; what looks like a key has digits or is in the
    # register.
    return {word for word in words if word in known or re.search(r"-\d{2,4}$", word)}


@pytest.mark.parametrize("module", sorted(FOLDER.glob("*.py")), ids=lambda path: path.name)
def test_every_cited_key_is_registered(module):
    assert keys_cited(module.read_text("utf-8")) <= set(sources())


def test_formulas_do_cite():
    for name in (
        "usda_yield",
        "usda_quality",
        "marbling",
        "maturity",
        "canada",
        "japan",
        "europe",
        "bison",
        "ribeye_area",
    ):
        assert keys_cited((FOLDER / f"{name}.py").read_text("utf-8")), name


@pytest.mark.parametrize("key", sorted(sources()))
def test_an_entry_can_be_cited(key):
    entry = source(key)
    assert entry.mark in MARKS
    assert entry.title
    assert entry.publisher
    assert re.fullmatch(r"\d{4}s?|not dated", entry.year)
    assert entry.title in entry.cite()


def test_a_recalled_source_says_so():
    assert "from memory" in source("savell-1986").cite()


def test_a_key_that_is_not_there_is_a_mistake():
    with pytest.raises(KeyError):
        source("no-such-key")
