"""Nutrition facts of ground meat: rounding as published, and figures between published ones."""

from __future__ import annotations

import pytest

from gambrel.sell import nutrition_panel as facts

# Guide to Nutrition Labeling and Education Act Requirements, attachment 7, U.S. Food and Drug Administration, 1994:
# the increments and limits of each nutrient.


@pytest.mark.parametrize(("kcal", "shown"), [(4.9, 0), (5, 5), (7.6, 10), (47.4, 45), (50, 50), (50.1, 50),
                                             (54.9, 50), (55, 60), (289.6, 290)])  # fmt: skip
def test_calories_go_to_five_and_then_ten(kcal: float, shown: int) -> None:
    assert facts.rounded_kcal(kcal) == shown


@pytest.mark.parametrize(("grams", "shown"), [(0.49, "0 g"), (0.5, "0.5 g"), (0.74, "0.5 g"), (0.75, "1 g"),
                                              (4.74, "4.5 g"), (4.9, "5 g"), (5.4, "5 g"), (22.8, "23 g")])  # fmt: skip
def test_fat_goes_to_half_a_gram_and_then_one(grams: float, shown: str) -> None:
    assert facts.rounded_fat(grams) == shown


@pytest.mark.parametrize(
    ("milligrams", "shown"),
    [
        (1.9, "0 mg"),
        (2, "less than 5 mg"),
        (5, "less than 5 mg"),
        (5.1, "5 mg"),
        (77.4, "75 mg"),
        (80.9, "80 mg"),
    ],
)
def test_cholesterol(milligrams: float, shown: str) -> None:
    assert facts.rounded_cholesterol(milligrams) == shown


@pytest.mark.parametrize(
    ("milligrams", "shown"), [(4.9, "0 mg"), (5, "5 mg"), (75.2, "75 mg"), (140, "140 mg"), (144, "140 mg"),
                              (146, "150 mg")]
)  # fmt: skip
def test_sodium(milligrams: float, shown: str) -> None:
    assert facts.rounded_sodium(milligrams) == shown


@pytest.mark.parametrize(("percent", "shown"), [(0.9, 0), (1, 2), (2.9, 2), (3, 4), (9.9, 10), (12.3, 10), (12.6, 15),
                                                (49, 50), (54, 50), (55, 60)])  # fmt: skip
def test_minerals(percent: float, shown: int) -> None:
    assert facts.rounded_mineral_pct(percent) == shown


def lines_of(species: str, fat_pct: float) -> dict[str, tuple[str, int | None]]:
    panel = facts.panel(species, fat_pct=fat_pct)
    assert panel is not None
    return {line.what: (line.amount, line.daily_pct) for line in panel.lines}


def test_eighty_twenty_by_hand() -> None:
    """USDA number 23572 per 100 g times 1.14: 289.6 kcal, 22.8 g, 8.64 g, 80.9 mg, 75.2 mg, 19.6 g; iron 12.3 %."""
    assert lines_of("cattle", 20.0) == {
        "Calories": ("290", None), "Calories from fat": ("210", None), "Total fat": ("23 g", 35),
        "Saturated fat": ("9 g", 43), "Cholesterol": ("80 mg", 27), "Sodium": ("75 mg", 3),
        "Total carbohydrate": ("0 g", 0), "Protein": ("20 g", None), "Calcium": ("", 2), "Iron": ("", 10),
    }  # fmt: skip


@pytest.mark.parametrize("fat_pct", [25.0, 20.0, 15.0, 10.0, 5.0])
def test_the_straight_line_meets_the_published_food_in_between(fat_pct: float) -> None:
    """Each published food is foretold from its neighbours: within 1 % of energy, 0.2 g of saturated fat."""
    foods = [food for food in facts.ground_foods() if food.species == "cattle"]
    place = next(n for n, food in enumerate(foods) if food.fat_pct == fat_pct)
    foretold = facts._on_the_line(foods[place - 1], foods[place + 1], fat_pct)
    assert foretold.kcal == pytest.approx(foods[place].kcal, rel=0.01)
    assert foretold.saturated_g == pytest.approx(foods[place].saturated_g, abs=0.2)
    assert foretold.protein_g == pytest.approx(foods[place].protein_g, abs=0.1)
    assert foretold.cholesterol_mg == pytest.approx(foods[place].cholesterol_mg, abs=1.0)
    assert foretold.iron_mg == pytest.approx(foods[place].iron_mg, abs=0.02)


def test_a_fat_between_two_names_both() -> None:
    panel = facts.panel("cattle", fat_pct=12.0)
    assert panel is not None and panel.foods == ("23562", "23567")
    assert lines_of("cattle", 12.0)["Total fat"] == ("14 g", 21)


@pytest.mark.parametrize(("species", "fat_pct"), [("cattle", 2.9), ("cattle", 30.1), ("bison", 20.0), ("bison", 7.0),
                                                  ("elk", 10.0)])  # fmt: skip
def test_outside_what_is_published_there_is_no_panel(species: str, fat_pct: float) -> None:
    assert facts.panel(species, fat_pct=fat_pct) is None


def test_bison_has_its_own_figures() -> None:
    """USDA number 17149 at 7.21 % fat: 146 kcal and 55 mg of cholesterol per 100 g."""
    assert lines_of("bison", 7.21)["Calories"] == ("170", None)
    assert lines_of("bison", 7.21)["Cholesterol"] == ("65 mg", 21)


def test_the_source_is_named() -> None:
    assert "2018" in facts.panel_source() and "Department of Agriculture" in facts.panel_source()
