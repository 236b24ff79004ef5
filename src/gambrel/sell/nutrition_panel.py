"""Nutrition facts of raw ground meat for its label: published figures at the stated fat, rounded as the rule says.

Between two published fat contents the figures are taken on the straight line between them, as the published ones
themselves lie; outside them there is no panel. A serving is 4 oz, 114 g [9 CFR 317.312, from memory]. Rounding:
Guide to Nutrition Labeling and Education Act Requirements, attachment 7, U.S. Food and Drug Administration, 1994,
read. Daily values: 9 CFR 317.309(c), from memory. For meat what is no significant source may be said in one line
(317.309(f), from memory).
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from typing import Any

from gambrel.measures.money import round_half_up

SERVING_G = 114.0
KCAL_PER_FAT_G = 9.0
DAILY = {"fat_g": 65.0, "saturated_g": 20.0, "cholesterol_mg": 300.0, "sodium_mg": 2400.0, "calcium_mg": 1000.0,
         "iron_mg": 18.0}  # fmt: skip
NOT_A_SOURCE = "Not a significant source of dietary fiber, sugars, vitamin A and vitamin C."


@dataclass(frozen=True, slots=True)
class GroundFood:
    """A published food, per 100 g: energy [kcal], the rest in g or mg as named; fat as a percentage."""

    species: str
    number: str
    fat_pct: float
    kcal: float
    saturated_g: float
    cholesterol_mg: float
    sodium_mg: float
    protein_g: float
    calcium_mg: float
    iron_mg: float


@dataclass(frozen=True, slots=True)
class PanelLine:
    """One line: what, how much, and its share of a day's value [%], None where none is given."""

    what: str
    amount: str
    daily_pct: int | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """The facts of one serving, in the order they are printed, and which published foods they come from."""

    serving: str
    lines: tuple[PanelLine, ...]
    foods: tuple[str, ...]
    foot: str = NOT_A_SOURCE


def panel(species: str, *, fat_pct: float) -> Panel | None:
    """The facts at this fat; None where nothing is published for the species at this fat."""
    between = _between(species, fat_pct)
    if between is None:
        return None
    food = _on_the_line(*between, fat_pct)
    part = SERVING_G / 100.0
    fat_g, saturated_g = fat_pct * part, food.saturated_g * part
    lines = (
        PanelLine("Calories", str(rounded_kcal(food.kcal * part))),
        PanelLine("Calories from fat", str(rounded_kcal(fat_g * KCAL_PER_FAT_G))),
        PanelLine("Total fat", rounded_fat(fat_g), _daily("fat_g", fat_g)),
        PanelLine("Saturated fat", rounded_fat(saturated_g), _daily("saturated_g", saturated_g)),
        PanelLine("Cholesterol", rounded_cholesterol(food.cholesterol_mg * part),
                  _daily("cholesterol_mg", food.cholesterol_mg * part)),
        PanelLine("Sodium", rounded_sodium(food.sodium_mg * part), _daily("sodium_mg", food.sodium_mg * part)),
        PanelLine("Total carbohydrate", "0 g", 0),
        PanelLine("Protein", f"{round_half_up(food.protein_g * part)} g"),
        PanelLine("Calcium", "", rounded_mineral_pct(100 * food.calcium_mg * part / DAILY["calcium_mg"])),
        PanelLine("Iron", "", rounded_mineral_pct(100 * food.iron_mg * part / DAILY["iron_mg"])),
    )  # fmt: skip
    return Panel("4 oz (114 g)", lines, tuple(dict.fromkeys(one.number for one in between)))


def rounded_kcal(kcal: float) -> int:
    """Under 5 none; to 5 up to 50, to 10 above."""
    if kcal < 5:
        return 0
    return _to(kcal, 5) if kcal <= 50 else _to(kcal, 10)


def rounded_fat(weight_g: float) -> str:
    """Under half a gram none; to half a gram under 5 g, to a gram from there."""
    if weight_g < 0.5:
        return "0 g"
    return f"{round_half_up(weight_g * 2) / 2:g} g" if weight_g < 5 else f"{round_half_up(weight_g)} g"


def rounded_cholesterol(weight_mg: float) -> str:
    """Under 2 mg none, to 5 mg said as less than 5, above to 5 mg."""
    if weight_mg < 2:
        return "0 mg"
    return "less than 5 mg" if weight_mg <= 5 else f"{_to(weight_mg, 5)} mg"


def rounded_sodium(weight_mg: float) -> str:
    """Under 5 mg none; to 5 mg up to 140 mg, to 10 mg above."""
    if weight_mg < 5:
        return "0 mg"
    return f"{_to(weight_mg, 5 if weight_mg <= 140 else 10)} mg"


def rounded_mineral_pct(share_pct: float) -> int:
    """Of a day's value: to 2 % up to 10 %, to 5 % up to 50 %, to 10 % above; 2 % from 1 % on."""
    if share_pct < 1:
        return 0
    if share_pct <= 10:
        return max(2, _to(share_pct, 2))
    return _to(share_pct, 5 if share_pct <= 50 else 10)


@cache
def ground_foods() -> tuple[GroundFood, ...]:
    """The published foods, fattest last within each species."""
    rows = [GroundFood(**row) for row in _file()["food"]]
    return tuple(sorted(rows, key=lambda food: (food.species, food.fat_pct)))


def panel_source() -> str:
    """Where the figures come from, on one line."""
    return f"{_file()['title']}. {_file()['publisher']}, {_file()['year']}"


def _daily(name: str, amount: float) -> int:
    return round_half_up(100.0 * amount / DAILY[name])


def _to(amount: float, step: int) -> int:
    return round_half_up(amount / step) * step


def _between(species: str, fat_pct: float) -> tuple[GroundFood, GroundFood] | None:
    foods = [food for food in ground_foods() if food.species == species]
    below = [food for food in foods if food.fat_pct <= fat_pct]
    above = [food for food in foods if food.fat_pct >= fat_pct]
    return (below[-1], above[0]) if below and above else None


def _on_the_line(low: GroundFood, high: GroundFood, fat_pct: float) -> GroundFood:
    if low is high:
        return low
    share = (fat_pct - low.fat_pct) / (high.fat_pct - low.fat_pct)
    numbers = {
        field.name: getattr(low, field.name) + share * (getattr(high, field.name) - getattr(low, field.name))
        for field in fields(GroundFood)[2:]
    }
    return GroundFood(low.species, f"{low.number}, {high.number}", **numbers)


@cache
def _file() -> dict[str, Any]:
    text = resources.files("gambrel.sell").joinpath("data/ground_nutrition.toml").read_text("utf-8")
    return tomllib.loads(text)
