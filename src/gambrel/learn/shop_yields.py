"""The yields of a shop: every way it breaks a piece, learned from its balanced sides.

    book = Book(tree, cuts)
    yields = ShopYields.none(book).learned(sides)          # all sides, in the order they were cut
    yields = yields.updated(side)                          # one more, at once
    models = yields.models(animal, supplier="...", cutter="...")
    forecast_side(animal, chosen, learned=models, ...)

The same sides in the same order give the same yields to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from gambrel.breakdown.forecast import book_model
from gambrel.breakdown.share_model import ShareModel
from gambrel.catalog.animal import Animal
from gambrel.learn.block import BlockTest, Book, WayKey, collect
from gambrel.learn.drift import choose_half_life_days
from gambrel.learn.yields import YieldModel


@dataclass(frozen=True)
class ShopYields:
    """Yield models by way; `half_life_days` None where older tests count as much as new ones."""

    book: Book
    models_by_way: Mapping[WayKey, YieldModel]
    sides: int = 0
    half_life_days: float | None = None

    @classmethod
    def none(cls, book: Book) -> ShopYields:
        """A shop that has only the book."""
        return cls(book, {})

    def learned(self, sides: Sequence[BlockTest]) -> ShopYields:
        """Everything learned anew from `sides`; how fast old tests fade is chosen by them as well."""
        if not sides:
            return ShopYields.none(self.book)
        of_way = collect(sides, self.book)
        animal = sides[0].animal
        empty = {key: self._empty(key, animal) for key in of_way}
        half_life_days = choose_half_life_days([(empty[key], tests) for key, tests in of_way.items()])
        models = {
            key: replace(empty[key], half_life_days=half_life_days).learned(tests)
            for key, tests in of_way.items()
        }
        return ShopYields(self.book, models, len(sides), half_life_days)

    def updated(self, side: BlockTest) -> ShopYields:
        """One more side, judged by what is known so far; wait for `learned` to judge the old ones anew."""
        models = dict(self.models_by_way)
        for key, tests in collect([side], self.book).items():
            known = models.get(key) or replace(
                self._empty(key, side.animal), half_life_days=self.half_life_days
            )
            models[key] = known.updated(tests)
        return replace(self, models_by_way=models, sides=self.sides + 1)

    def models(self, animal: Animal, *, supplier: str = "", cutter: str = "") -> dict[WayKey, ShareModel]:
        """Share models for one carcass, by way, as `forecast_side` and `expected_shares` take them in `learned`."""
        of = {"kind": animal.kind.slug, "supplier": supplier, "cutter": cutter}
        ways = self.book.tree.ways
        return {
            (piece, name): model.forecast_model(book_model(ways[piece][name], animal), of)
            for (piece, name), model in self.models_by_way.items()
            if name in ways.get(piece, {}) and ways[piece][name].species in ("any", animal.species)
        }

    def _empty(self, key: WayKey, animal: Animal) -> YieldModel:
        piece, name = key
        return YieldModel.book(book_model(self.book.tree.ways[piece][name], animal))
