"""Published nutrition of the lean of one steak of each kind, to lay beside each other; not for a label."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any


@dataclass(frozen=True, slots=True)
class Nutrition:
    """Per 100 g of the raw food that `food` names: energy [kcal], protein, fat and saturated fat [g], iron [mg]."""

    kind: str
    number: str
    food: str
    kcal: float
    protein_g: float
    fat_g: float
    saturated_g: float
    iron_mg: float


@cache
def steaks() -> dict[str, Nutrition]:
    """Kind to its steak's figures; a shop's own kind has none. [USDA National Nutrient Database, SR27, 2014]"""
    return {kind: Nutrition(kind, **row) for kind, row in _file().items() if isinstance(row, dict)}


def nutrition_source() -> str:
    """Where the figures come from, on one line."""
    file = _file()
    return f"{file['title']}. {file['publisher']}, {file['year']}"


@cache
def _file() -> dict[str, Any]:
    return tomllib.loads(
        resources.files("gambrel.standards").joinpath("data/nutrition.toml").read_text("utf-8")
    )
