"""Some hundred mangled files of every recipe: each reads or is refused with a sentence, and soon.

Thousands are run by `python tools/mangle.py`.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import mangled
import pytest

from gambrel.files.photograph import MOST_PIXELS, read_photograph_bytes
from gambrel.measures import CannotDo

EACH = 12
SEEDS = range(700, 700 + EACH * len(mangled.RECIPES))


def outcome(seed: int) -> tuple[str, str]:
    """Recipe, and "read" or the refusal's sentence."""
    recipe, name, data = mangled.mangled(seed)
    try:
        photograph = read_photograph_bytes(data, name=name)
    except CannotDo as refusal:
        (finding,) = refusal.findings
        return recipe, finding.sentence()
    height, width, channels = photograph.bgr.shape
    assert channels == 3
    assert height * width <= MOST_PIXELS
    return recipe, "read"


@pytest.fixture(scope="module")
def outcomes() -> list[tuple[str, str]]:
    with ThreadPoolExecutor(4) as threads:
        return list(threads.map(outcome, SEEDS))


def test_every_file_is_answered(outcomes: list[tuple[str, str]]) -> None:
    assert len(outcomes) == EACH * len(mangled.RECIPES) > 150
    assert all(said == "read" or said.count(";") >= 1 for _, said in outcomes)


@pytest.mark.parametrize("recipe", ["zero size", "giant claim", "other file", "noise"])
def test_what_cannot_be_a_photograph_is_refused(recipe: str, outcomes: list[tuple[str, str]]) -> None:
    assert [said for name, said in outcomes if name == recipe and said == "read"] == []


@pytest.mark.parametrize("recipe", ["wrong ending", "inks", "animated", "mad exif"])
def test_what_is_only_odd_is_read(recipe: str, outcomes: list[tuple[str, str]]) -> None:
    assert [said for name, said in outcomes if name == recipe and said != "read"] == []


def test_the_same_seed_gives_the_same_file() -> None:
    for seed in range(len(mangled.RECIPES)):
        assert mangled.mangled(seed) == mangled.mangled(seed)
