"""Invented sides for the tests of slips: pieces fall as gamma variates, not as the model that judges them has it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from gambrel.learn.expected import Expected, expected_side
from gambrel.learn.mistakes import Line

USUAL_KG = {
    "chuck-roll": 14.0, "shoulder-clod": 11.0, "mock-tender": 2.1, "ribeye-roll": 6.5, "back-ribs": 2.6,
    "brisket-boneless": 7.5, "plate-short-ribs": 5.0, "outside-skirt": 1.3, "inside-skirt": 1.7, "strip-loin": 7.0,
    "tenderloin": 3.4, "top-sirloin": 6.8, "tri-tip": 2.0, "bottom-sirloin-flap": 1.5, "top-round": 11.0,
    "bottom-round": 9.5, "eye-of-round": 3.3, "sirloin-tip": 6.0, "flank-steak": 1.4, "foreshank": 4.2,
    "trim-90": 9.0, "trim-80": 14.0, "marrow-bones": 7.0, "neck-bones": 5.5, "trim-fat": 15.0,
}  # fmt: skip
LOSS_KG = 0.3
SPREAD = 0.10
DIGIT_KG = 0.05


def pieces(rng: np.random.Generator) -> dict[str, float]:
    """True weights of one side's pieces [kg]: bigger and smaller animals, each piece a gamma variate of its own."""
    size = rng.uniform(0.85, 1.15)
    shape = 1.0 / SPREAD**2
    return {slug: kg * size * rng.gamma(shape) / shape for slug, kg in USUAL_KG.items()}


def expected_for(true_kg: Mapping[str, float], rng: np.random.Generator) -> Expected:
    """What a fair forecast says of a side as heavy as this one: other sides of the shop, scaled to its weight."""
    begun = sum(true_kg.values()) + LOSS_KG
    shape = 1.0 / SPREAD**2
    rows = np.array(list(USUAL_KG.values())) * rng.gamma(shape, size=(800, len(USUAL_KG)))
    rows *= ((begun - LOSS_KG) / rows.sum(axis=1))[:, None]
    loss = np.full(800, LOSS_KG)
    return expected_side(dict(zip(USUAL_KG, rows.T, strict=True)), loss, begun_kg=begun, tolerance_kg=0.25)


def lines_of(true_kg: Mapping[str, float], side: str = "left") -> list[Line]:
    """One line a piece, read to a twentieth of a kilogram."""
    read = {slug: round(kg / DIGIT_KG) * DIGIT_KG for slug, kg in true_kg.items()}
    return [Line(side, slug, kg, DIGIT_KG, key=f"{side} {slug}") for slug, kg in read.items()]
