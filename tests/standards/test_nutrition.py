"""Nutrition as published, a row typed from the source a kind, and what must hold of any meat."""

from __future__ import annotations

import pytest

from gambrel.catalog.kinds import shipped_kinds
from gambrel.standards.nutrition import nutrition_source, steaks

# USDA National Nutrient Database for Standard Reference, Release 27, Agricultural Research Service, 2014, per 100 g:
# database number, kcal, protein g, fat g, saturated g, iron mg
PRINTED = {
    "bison": ("17268", 116, 22.1, 2.4, 0.898, 2.8),
    "grass-finished": ("13000", 117, 23.07, 2.69, 1.032, 1.85),
    "grain-finished": ("23177", 162, 21.44, 8.5, 3.057, 2.04),
    "wagyu": ("23314", 330, 17.61, 28.61, 11.123, 2.14),
}


@pytest.mark.parametrize("kind", PRINTED)
def test_as_printed(kind: str) -> None:
    one = steaks()[kind]
    assert (one.number, one.kcal, one.protein_g, one.fat_g, one.saturated_g, one.iron_mg) == PRINTED[kind]


def test_every_shipped_kind_has_a_steak() -> None:
    assert set(steaks()) == set(shipped_kinds())


@pytest.mark.parametrize("kind", PRINTED)
def test_energy_is_that_of_protein_and_fat(kind: str) -> None:
    """Lean meat holds next to no carbohydrate: 4.27 kcal a gram of protein and 9.02 of fat from meat
    [Energy Value of Foods, Agriculture Handbook 74, USDA, 1973, table 13, from memory], within 5 %.
    """
    one = steaks()[kind]
    assert one.kcal == pytest.approx(4.27 * one.protein_g + 9.02 * one.fat_g, rel=0.05)
    assert one.saturated_g < one.fat_g


def test_the_source_is_said() -> None:
    assert "Release 27" in nutrition_source() and "2014" in nutrition_source()
