"""Slips at the block are named: each of the eight on invented sides, and nothing on sides that are right."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
import sides

from gambrel.learn.mistakes import SLIPS, Explanation, Line, Mistake, explain
from gambrel.measures.units import KG_PER_LB

TUBS_KG = (1.2, 2.4)


def changed(lines: list[Line], at: int, **new: object) -> list[Line]:
    return [replace(line, **new) if number == at else line for number, line in enumerate(lines)]


def slipped(mistake: Mistake, lines: list[Line], rng: np.random.Generator) -> tuple[list[Line], Line]:
    """The lines of both sides with one slip, and the line as it was before; a tub is used for what is heavy."""
    heavy = [number for number, line in enumerate(lines) if line.weight_kg > 4.0]
    at = int(rng.choice(heavy) if mistake is Mistake.TARE else rng.integers(len(lines)))
    line, kg = lines[at], lines[at].weight_kg
    tub = float(rng.choice(TUBS_KG))
    other = {"left": "right", "right": "left"}[line.side]
    cut = str(rng.choice([slug for slug in sides.USUAL_KG if slug != line.slug]))
    new: dict[Mistake, Callable[[], list[Line]]] = {
        Mistake.NEVER_WEIGHED: lambda: [one for one in lines if one is not line],
        Mistake.TWICE: lambda: [*lines, line],
        Mistake.POUNDS: lambda: changed(lines, at, weight_kg=kg / KG_PER_LB),
        Mistake.KILOGRAMS: lambda: changed(lines, at, weight_kg=kg * KG_PER_LB),
        Mistake.OTHER_SIDE: lambda: changed(lines, at, side=other),
        Mistake.DECIMAL: lambda: changed(lines, at, weight_kg=kg * float(rng.choice([0.1, 10.0]))),
        Mistake.TARE: lambda: changed(lines, at, weight_kg=kg + tub),
        Mistake.OTHER_CUT: lambda: changed(lines, at, slug=cut),
    }
    return new[mistake](), line


def animal(rng: np.random.Generator) -> tuple[list[Line], dict]:
    left, right = sides.pieces(rng), sides.pieces(rng)
    expected = {"left": sides.expected_for(left, rng), "right": sides.expected_for(right, rng)}
    return [*sides.lines_of(left, "left"), *sides.lines_of(right, "right")], expected


def explained(lines: list[Line], expected: dict) -> Explanation:
    return explain(lines, expected, tares_kg=TUBS_KG)


@pytest.mark.parametrize("mistake", SLIPS, ids=lambda one: one.value)
def test_each_slip_is_named(mistake: Mistake) -> None:
    """Which line a light tub stood under cannot be told among pieces that vary by more than its weight.

    The full count, on the simulated shop, is in docs/learning.md.
    """
    rng = np.random.default_rng(3)
    named, lines_found = 0, 0
    for _ in range(10):
        lines, expected = animal(rng)
        wrong, line = slipped(mistake, lines, rng)
        first = explained(wrong, expected).likeliest
        named += first is not None and first.mistake is mistake
        lines_found += first is not None and first.right_slug == line.slug
    assert named >= 9
    assert lines_found >= 9 or mistake is Mistake.TARE


def test_sides_that_are_right_are_left_alone() -> None:
    rng = np.random.default_rng(5)
    found = Counter(explained(*animal(rng)).likeliest is None for _ in range(20))
    assert found[True] >= 19


@pytest.fixture(scope="module")
def one_side() -> tuple[list[Line], dict]:
    rng = np.random.default_rng(8)
    true_kg = sides.pieces(rng)
    return sides.lines_of(true_kg), {"left": sides.expected_for(true_kg, rng)}


def test_a_side_by_itself_misses_a_piece(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    cause = explained([line for line in lines if line.slug != "tenderloin"], expected).likeliest
    assert cause is not None
    assert (cause.mistake, cause.right_slug, cause.right_side, cause.line) == (
        Mistake.NEVER_WEIGHED, "tenderloin", "left", None)  # fmt: skip
    weighed = next(line.weight_kg for line in lines if line.slug == "tenderloin")
    assert cause.right_kg == pytest.approx(weighed, abs=0.3)


def test_a_piece_of_the_other_side_is_known_without_it(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    strange = replace(next(line for line in lines if line.slug == "strip-loin"), weight_kg=6.7, key="extra")
    cause = explained([*lines, strange], expected).likeliest
    assert cause is not None and cause.mistake is Mistake.OTHER_SIDE
    assert cause.right_slug == "strip-loin" and cause.right_side == ""


def test_a_cut_that_the_ways_do_not_give(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    at = next(number for number, line in enumerate(lines) if line.slug == "tri-tip")
    cause = explained(changed(lines, at, slug="oxtail"), expected).likeliest
    assert cause is not None
    assert (cause.mistake, cause.right_slug) == (Mistake.OTHER_CUT, "tri-tip")


def test_a_tub_taken_off_without_a_tub(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    at = next(number for number, line in enumerate(lines) if line.slug == "trim-80")
    kg = lines[at].weight_kg
    cause = explained(changed(lines, at, weight_kg=kg - 2.4, tare_kg=2.4), expected).likeliest
    assert cause is not None
    assert (cause.mistake, cause.right_slug) == (Mistake.TARE, "trim-80")
    assert cause.right_kg == pytest.approx(kg)


def test_a_wet_pan_is_no_slip_and_is_told() -> None:
    rng = np.random.default_rng(21)
    lines, expected = animal(rng)
    wet = [replace(line, weight_kg=line.weight_kg + 0.05) for line in lines]
    told = explained(wet, expected)
    assert told.likeliest is None
    assert told.zero_kg == pytest.approx(0.05, abs=0.02)
    assert explained(lines, expected).zero_kg == pytest.approx(0.0, abs=0.01)


def test_what_nothing_explains_is_unknown(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    light = [replace(line, weight_kg=0.75 * line.weight_kg) for line in lines]
    cause = explained(light, expected).likeliest
    assert cause is not None and cause.mistake is Mistake.UNKNOWN and cause.line is None


def test_probabilities_add_to_one_and_fall(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    told = explained(changed(lines, 3, weight_kg=30.0), expected)
    chances = [cause.probability for cause in told.causes]
    assert told.right_probability + sum(chances) == pytest.approx(1.0)
    assert chances == sorted(chances, reverse=True)
    assert all(0.0 <= cause.here_probability <= cause.probability + 1e-12 for cause in told.causes)


def test_a_shop_without_slips_believes_its_scale_longer(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    over = changed(lines, 3, weight_kg=lines[3].weight_kg + 1.2)
    careful = explain(over, expected, tares_kg=TUBS_KG, mistake_share=1e-6).right_probability
    assert careful > explain(over, expected, tares_kg=TUBS_KG).right_probability


def test_bones_weighed_in_one_tub_are_no_slip() -> None:
    rng = np.random.default_rng(11)
    true_kg = sides.pieces(rng)
    expected = sides.expected_for(true_kg, rng)
    together = dict(true_kg)
    together["marrow-bones"] += together.pop("neck-bones")
    told = explained(sides.lines_of(together), {"left": expected})
    assert told.likeliest is None or told.likeliest.mistake is not Mistake.NEVER_WEIGHED


def test_a_line_of_an_unknown_side_is_refused(one_side: tuple[list[Line], dict]) -> None:
    lines, expected = one_side
    with pytest.raises(ValueError, match="expectation of its side"):
        explain(changed(lines, 0, side="right"), expected)


def test_a_piece_never_weighed_is_named_though_a_wet_pan_makes_up_for_it() -> None:
    """Every line of both sides reads 60 g too high, together more than the skirt that is not there."""
    rng = np.random.default_rng(8)
    named = 0
    for _ in range(8):
        lines, expected = animal(rng)
        wet = [replace(line, weight_kg=line.weight_kg + 0.06) for line in lines]
        left = [line for line in wet if (line.side, line.slug) != ("left", "outside-skirt")]
        weighed_kg = sum(line.weight_kg for line in left if line.side == "left")
        first = explained(left, expected).likeliest
        named += first is not None and first.mistake is Mistake.NEVER_WEIGHED
        assert weighed_kg > expected["left"].begun_kg - sides.LOSS_KG - 0.6  # next to nothing is missing
        if first is not None and first.mistake is Mistake.NEVER_WEIGHED:
            assert (first.right_slug, first.right_side) == ("outside-skirt", "left")
            assert 0.0 < first.right_kg < 3.0
    assert named >= 7
