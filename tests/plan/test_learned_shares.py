"""What a shop has learned reaches the plan: one way's part doubled against the rest, nothing else moved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gambrel.breakdown import ShareModel
from gambrel.breakdown.forecast import book_model
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import LOSS, Tree, shipped_tree
from gambrel.plan import Hanging, SidePlan
from gambrel.plan.questions.draws import forecast_source
from gambrel.plan.shares import forecast_shares, learned_shares

TREE: Tree = shipped_tree()
WAY = ("rib-primal", "boneless")


def steer() -> Animal:
    kind = shipped_kinds()["grain-finished"]
    return Animal(kind=kind, sex="steer", hot_kg=360.0, age_months=18)


def doubled(animal: Animal, _name: str = "", /) -> dict[tuple[str, str], ShareModel]:
    """The book of one way with its first part twice as heavy against the others."""
    book = book_model(TREE.ways[WAY[0]][WAY[1]], animal)
    mean = np.array(book.mean_shares)
    mean[0] *= 2.0
    return {WAY: replace(book, mean_shares=mean / mean.sum())}


def test_a_part_learned_as_twice_as_heavy_is_twice_as_heavy_against_every_other() -> None:
    """Ratios of a composition: what scales one part scales its ratio to each other part by as much [Aitchison, The
    Statistical Analysis of Compositional Data, 1986]."""
    before = forecast_shares(steer(), TREE)
    after = learned_shares(doubled)(steer(), TREE)
    first, *others = doubled(steer())[WAY].parts
    for other in others:
        was, comes = before[WAY][first] / before[WAY][other], after[WAY][first] / after[WAY][other]
        assert comes / was == pytest.approx(2.0, rel=1e-6)
    assert sum(after[WAY].values()) == pytest.approx(1.0)
    for key in before.keys() - {WAY}:
        assert after[key] == before[key]


def test_where_nothing_was_learned_the_forecast_is_the_books() -> None:
    assert learned_shares(lambda *_: None)(steer(), TREE) == forecast_shares(steer(), TREE)
    assert learned_shares(lambda *_: {})(steer(), TREE) == forecast_shares(steer(), TREE)


def test_the_models_are_asked_for_by_the_animals_name() -> None:
    """Two animals that weigh and look alike, of suppliers that do not: only the named one's part is doubled."""
    named = learned_shares(lambda animal, name="": doubled(animal) if name == "C1" else None)
    assert named(steer(), TREE, "C1") == learned_shares(doubled)(steer(), TREE)
    assert named(steer(), TREE, "C2") == named(steer(), TREE) == forecast_shares(steer(), TREE)


def test_draws_and_solver_name_the_animal() -> None:
    from datetime import date

    asked: list[str] = []

    def models(animal: Animal, name: str = "", /) -> dict[tuple[str, str], ShareModel]:
        asked.append(name)
        return doubled(animal)

    hanging = Hanging("C1", steer(), date(2026, 3, 2), {"left": 180.0})
    side = SidePlan("C1-left", "C1", "left", "grain-finished", date(2026, 3, 16), 175.0,
                    TREE.style("boneless", "cattle"))  # fmt: skip
    forecast_source(TREE, shipped_cuts(), models)(hanging, side, 20, 5)
    assert asked == ["C1"]


def test_the_plans_draws_are_of_the_learned_yields_too() -> None:
    from datetime import date

    hanging = Hanging("C1", steer(), date(2026, 3, 2), {"left": 180.0})
    ways = TREE.style("boneless", "cattle")
    side = SidePlan("C1-left", "C1", "left", "grain-finished", date(2026, 3, 16), 175.0, ways)
    book, none, own = (
        forecast_source(TREE, shipped_cuts(), models)(hanging, side, 400, 5)
        for models in (None, lambda *_: None, doubled)
    )
    assert all((book.kg[slug] == none.kg[slug]).all() for slug in book.kg)
    first = next(part for part in doubled(steer())[WAY].parts if part in own.kg and part != LOSS)
    assert own.kg[first].mean() > book.kg[first].mean()
    # Whatever is learned, a side gives what it weighs and no more.
    assert sum(own.kg.values()) == pytest.approx(sum(book.kg.values()), rel=2e-3)
