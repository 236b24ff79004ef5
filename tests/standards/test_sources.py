"""Every key in square brackets is in the register, and every entry of the register can be cited."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import gambrel.standards
from gambrel.standards.sources import MARKS, source, sources

FOLDER = Path(gambrel.standards.__file__).parent
BRACKET = re.compile(r"\[([^\[\]]*)\]")
KEY = re.compile(r"\b[a-z][a-z0-9]*(?:-[a-z0-9]+)+\b")


def keys_cited(text: str) -> set[str]:
    """Hyphenated words in the square brackets of docstrings and comments, such as [ndsu-yield-grades;
    nbqa-2022].
    """
    prose = [node.value.value for node in ast.walk(ast.parse(text))
             if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)]  # fmt: skip
    prose.append(" ".join(re.findall(r"^\s*#(.*)$", text, flags=re.MULTILINE)))
    return {key for part in prose for group in BRACKET.findall(str(part)) for key in KEY.findall(group)}


@pytest.mark.parametrize("module", sorted(FOLDER.glob("*.py")), ids=lambda path: path.name)
def test_every_cited_key_is_registered(module):
    assert keys_cited(module.read_text("utf-8")) - set(sources()) == set()


def test_a_key_that_is_not_registered_would_be_seen():
    assert keys_cited('"""Sum. [no-such-key]"""') == {"no-such-key"}


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
