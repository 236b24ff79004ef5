"""One word, one unit: docs/words.md is the list, and every public number keeps to it."""

from __future__ import annotations

import house
import pytest

SUFFIXES = house.words_of("Units at the end of a name")
FREE = house.words_of("Numbers without a unit") | house.words_of("Scales that have no unit")
ENDINGS = house.words_of("Scales that have no unit")


def says_its_unit(name: str) -> bool:
    """Its last word is a unit or a scale; a rate (`per`) has one on either side, a share (`of`) before."""
    if name in FREE:
        return True
    words = name.split("_")
    if words[0] in ("hours", "days"):
        return True
    if "of" in words[1:]:
        return says_its_unit(name[: name.rindex("_of_")])
    top, per, bottom = name.rpartition("_per_")
    if per and bottom in SUFFIXES:
        return says_its_unit(top) or top in SUFFIXES
    return words[-1] in SUFFIXES | ENDINGS


def test_every_public_number_says_its_unit() -> None:
    numbers = house.public_numbers()
    assert len(numbers) > 50
    silent = sorted(
        {f"{number.where}: {number.name}" for number in numbers if not says_its_unit(number.name)}
    )
    assert silent == [], "no unit in the name; see docs/words.md"


@pytest.mark.parametrize(
    ("name", "good"),
    [
        ("hot_kg", True), ("fat_mm_per_hot_kg", True), ("price_cents_per_lb", True), ("seed", True),
        ("marbling_score", True), ("hours_to_limit", True), ("hot", False), ("weight", False),
        ("price_cents_per", False), ("colour_per_side", False), ("kgs", False),
    ],
)  # fmt: skip
def test_the_rule_tells_good_names_from_bad(name: str, good: bool) -> None:
    assert says_its_unit(name) is good


def test_the_list_has_no_name_twice() -> None:
    assert not SUFFIXES & FREE
    assert {
        "kg",
        "lb",
        "mm",
        "in",
        "cm2",
        "in2",
        "c",
        "f",
        "pct",
        "share",
        "cents",
        "days",
        "min",
    } <= SUFFIXES
