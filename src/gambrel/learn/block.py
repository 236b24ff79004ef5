"""A side that was cut and weighed, as tests of every way it was broken.

The block weighs what is sold and thrown away, not the primals on the way; and one cut, such as a trim, may come out of
several of them. Each weight is shared out over its sources as the book expects it of this carcass, and a piece on the
way weighs what came out of it. Where too little of a piece was weighed, it counts as not weighed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from gambrel.breakdown.composition import Floats
from gambrel.breakdown.forecast import book_parts, shares_by_the_book
from gambrel.breakdown.tissue import contents, tissue_factors, usual_face
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.ways import LOSS, ROOT, Tree, Way
from gambrel.learn.way_tests import WayTests

WayKey = tuple[str, str]
"""Piece and name of a way."""

TUBS = {"bone": "mixed-soup-bones", "fat": "trim-fat"}
"""What all bones, or all fat, of a side may be weighed as in one tub, by use."""

_ENOUGH_SHARE = 0.9  # of a piece, by the book, must have been weighed for the piece to have a weight
_TUB_RATIO = 1.5  # a tub that holds so much more than its own piece holds the others of its use as well


@dataclass(frozen=True)
class BlockTest:
    """One balanced side: `ways` piece to way name as it was really broken, `weighed_kg` net kg by slug (what was not
    weighed is left out), names of supplier and cutter or "", and `day` counted from any date."""

    animal: Animal
    ways: Mapping[str, str]
    weighed_kg: Mapping[str, float]
    supplier: str
    cutter: str
    day: float


@dataclass(frozen=True)
class Book:
    """The tree and the catalogue with all that follows from them once for all sides."""

    tree: Tree
    cuts: Mapping[str, Cut]
    _reached: dict[tuple[str, frozenset[tuple[str, str]]], list[Way]] = field(
        default_factory=dict, repr=False
    )

    @cached_property
    def tissues(self) -> dict[str, dict[str, Floats]]:
        return {species: contents(self.tree, self.cuts, species) for species in ("cattle", "bison")}

    def reached(self, animal: Animal, chosen: Mapping[str, str]) -> list[Way]:
        """The ways really used, parents first; remembered, for a shop breaks most sides alike."""
        key = (animal.species, frozenset(chosen.items()))
        if key not in self._reached:
            self._reached[key] = self.tree.reached(chosen, animal.species)
        return self._reached[key]

    def expected(self, animal: Animal, used: Sequence[Way]) -> dict[WayKey, dict[str, float]]:
        """Shares of every way used, for this carcass, by output and loss."""
        tissues = self.tissues[animal.species]
        factors = tissue_factors(animal.kind, usual_face(animal), tissues[ROOT])
        return {(way.piece, way.name): shares_by_the_book(way, factors, tissues) for way in used}


def covariates_of(animal: Animal) -> Floats:
    """Fat, ribeye for its weight and kidney fat (3,) as standard deviations from the kind's usual carcass."""
    face, kind = usual_face(animal), animal.kind
    per_100kg = 100.0 / kind.hot_kg.mean
    seen = np.array([face.fat_mm[0], face.ribeye_cm2_per_100kg[0], face.kph_pct[0]])
    centre = np.array([kind.fat_mm.mean, kind.ribeye_cm2.mean * per_100kg, kind.kph_pct.mean])
    scale = np.array([kind.fat_mm.sd, kind.ribeye_cm2.sd * per_100kg, kind.kph_pct.sd])
    return np.asarray((seen - centre) / scale)


def departures(test: BlockTest, book: Book) -> dict[WayKey, Floats]:
    """Departures from the book (parts,) of every way of a side that its weights speak of; NaN where they do not."""
    used = book.reached(test.animal, test.ways)
    expected = book.expected(test.animal, used)
    arriving = _arriving(used, expected)
    weighed = _out_of_tubs(test.weighed_kg, arriving, book.cuts)
    piece_kg: dict[str, float] = {}
    found: dict[WayKey, Floats] = {}
    for way in reversed(used):  # children before parents
        shares = expected[way.piece, way.name]
        out_kg = {
            slug: _came_of(slug, way.piece, piece_kg.get(slug, weighed.get(slug)), arriving)
            for slug in shares
        }
        known = {slug: kg for slug, kg in out_kg.items() if kg is not None and kg > 0.0}
        seen_share = sum(shares[slug] for slug in known)
        if seen_share >= _ENOUGH_SHARE * (1.0 - shares.get(LOSS, 0.0)):
            piece_kg[way.piece] = sum(known.values()) / seen_share
        if len(known) > 1:
            parts = book_parts(way)[0]
            found[way.piece, way.name] = np.array(
                [np.log(known[slug] / shares[slug]) if slug in known else np.nan for slug in parts]
            )
    return found


def collect(tests: Sequence[BlockTest], book: Book) -> dict[WayKey, WayTests]:
    """The tests of every way from many sides, in their order."""
    rows: dict[WayKey, list[tuple[int, Floats]]] = {}
    for number, test in enumerate(tests):
        for key, departure in departures(test, book).items():
            rows.setdefault(key, []).append((number, departure))
    z = [covariates_of(test.animal) for test in tests]
    of_way = {}
    for (piece, name), found in rows.items():
        numbers = [number for number, _ in found]
        of_way[piece, name] = WayTests(
            book_parts(book.tree.ways[piece][name])[0],
            np.stack([departure for _, departure in found]),
            np.stack([z[number] for number in numbers]),
            tuple(tests[number].animal.kind.slug for number in numbers),
            tuple(tests[number].supplier for number in numbers),
            tuple(tests[number].cutter for number in numbers),
            np.array([tests[number].day for number in numbers]),
        )
    return of_way


_Arriving = Mapping[str, Mapping[str, float]]


def _arriving(used: Sequence[Way], expected: Mapping[WayKey, Mapping[str, float]]) -> _Arriving:
    """Share of the side that reaches each slug by the book, by the piece it comes from."""
    at_hand = {ROOT: 1.0}
    arriving: dict[str, dict[str, float]] = {}
    for way in used:
        of_piece = at_hand.get(way.piece, 0.0)
        for slug, share in expected[way.piece, way.name].items():
            arriving.setdefault(slug, {})[way.piece] = of_piece * share
            at_hand[slug] = at_hand.get(slug, 0.0) + of_piece * share
    return arriving


def _came_of(slug: str, piece: str, kg: float | None, arriving: _Arriving) -> float | None:
    """What of a weight came out of one of its sources."""
    if kg is None or slug == LOSS:
        return None
    sources = arriving[slug]
    return kg * sources[piece] / sum(sources.values())


def _out_of_tubs(
    weighed_kg: Mapping[str, float], arriving: _Arriving, cuts: Mapping[str, Cut]
) -> dict[str, float]:
    """The weights with a tub of all bones, or all fat, shared out over what the tub must hold."""
    weighed = {slug: kg for slug, kg in weighed_kg.items() if kg > 0.0}
    usual = {slug: sum(sources.values()) for slug, sources in arriving.items() if slug != LOSS}
    both = [slug for slug in weighed if slug in usual]
    per_share = sum(weighed[slug] for slug in both) / max(sum(usual[slug] for slug in both), 1e-9)
    for use, tub in TUBS.items():
        others = [slug for slug in usual if slug not in weighed and cuts[slug].use == use]
        if tub not in weighed or not others or weighed[tub] < _TUB_RATIO * per_share * usual.get(tub, 0.0):
            continue
        inside = [*others, tub] if tub in usual else others
        whole = sum(usual[slug] for slug in inside)
        tub_kg = weighed.pop(tub)
        weighed.update((slug, tub_kg * usual[slug] / whole) for slug in inside)
    return weighed
