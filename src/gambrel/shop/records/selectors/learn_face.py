"""Whether what was read at the rib face improves the forecast of what an animal yields, in this shop."""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.learn.ribface_value import FEWEST, FigureValue, figure_values
from gambrel.shop.records.sides_learned import SideLearned, sides_learned, state_now

FIGURES = ("fat_mm", "ribeye_cm2_per_100kg", "marbling_score")


@dataclass(frozen=True, slots=True)
class FacePage:
    """`animals_count` have every figure read; `FEWEST` are needed before anything is said."""

    values: tuple[FigureValue, ...]
    animals_count: int
    fewest_count: int = FEWEST


def face_page() -> FacePage:
    """Each animal's meat share beside what its kind usually gives, with each figure beside what its kind usually has:
    that fat animals of one kind and lean ones of another differ is no merit of the reading."""
    by_animal: dict[int, list[SideLearned]] = {}
    for side in sides_learned(state_now()):
        if all(side.face[name] is not None for name in ("fat_mm", "ribeye_cm2", "marbling_score")):
            by_animal.setdefault(side.animal_id, []).append(side)
    animals = list(by_animal.values())
    kinds = [sides[0].kind for sides in animals]
    columns = {name: _beside_kind([_figure(sides, name) for sides in animals], kinds) for name in FIGURES}
    yields = _beside_kind([_meat_share(sides) for sides in animals], kinds)
    return FacePage(figure_values(columns, yields), len(animals))


def _meat_share(sides: list[SideLearned]) -> float:
    begun_kg = sum(side.begun_kg for side in sides)
    return sum(side.meat_share * side.begun_kg for side in sides) / begun_kg


def _figure(sides: list[SideLearned], name: str) -> float:
    """The reading that counted when the animal was cut; the ribeye for so heavy a carcass."""
    face = sides[0].face
    if name != "ribeye_cm2_per_100kg":
        return _known(face[name])
    return 100.0 * _known(face["ribeye_cm2"]) / (2.0 * sum(side.hot_kg for side in sides) / len(sides))


def _known(figure: float | None) -> float:
    assert figure is not None
    return figure


def _beside_kind(values: list[float], kinds: list[str]) -> list[float]:
    """Each value less the mean of its kind."""
    found: dict[str, list[float]] = {}
    for value, kind in zip(values, kinds, strict=True):
        found.setdefault(kind, []).append(value)
    return [value - sum(found[kind]) / len(found[kind]) for value, kind in zip(values, kinds, strict=True)]
