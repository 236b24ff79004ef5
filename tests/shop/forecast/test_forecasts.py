"""The forecast that is kept in memory: made of all it depends on, the same again, and true to the core."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from gambrel.breakdown import forecast_side
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import shipped_tree
from gambrel.hang.loss import LossModel
from gambrel.measures import CannotDo
from gambrel.shop.records.forecasts import DRAWS, SEED, Asked, broken, on_rail, worth_of
from gambrel.shop.records.list_prices import ListPrices
from gambrel.shop.records.shop_yields import BOOK, taught_by

KILLED = date(2026, 3, 2)


def asked(kind: str = "grain-finished", style: str = "boneless", days: int = 7, **more: object) -> Asked:
    of_kind = shipped_kinds()[kind]
    carcass = Animal(kind=of_kind, sex=of_kind.sexes[0], hot_kg=380.0, age_months=18)
    ways = shipped_tree().style(style, of_kind.species)
    loss = LossModel.prior(of_kind, fat_mm=None, side_hot_kg=190.0)
    made = Asked("C7", "left", carcass, KILLED, 190.0, loss, KILLED + timedelta(days=days),
                 tuple(sorted(ways.items())), "close", BOOK, "", taught_by(None, "close"))  # fmt: skip
    return replace(made, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", sorted(shipped_kinds()))
@pytest.mark.parametrize("style", ["boneless", "bone-in", "steak-and-grind", "roasts"])
def test_every_kind_and_style_adds_up(kind: str, style: str) -> None:
    side = broken(asked(kind, style))
    assert side.balance_error_kg < 1e-6
    parts = ("saleable_kg", "trim_fat_kg", "bone_kg", "loss_kg")
    assert sum(side.totals[name].mean for name in parts) == pytest.approx(side.hung_kg.mean)
    regions = sum(region.kg.mean for region in side.cutout.regions)
    assert regions == pytest.approx(side.hung_kg.mean, rel=0.06)  # what comes before the primals is not drawn
    assert all(piece.kg.p05 <= piece.kg.mean <= piece.kg.p95 for piece in side.pieces)


def test_the_core_says_the_same() -> None:
    what = asked()
    tree = shipped_tree().trimmed("close")
    hung_kg = 190.0 * what.loss.draw_remaining(7, DRAWS, np.random.default_rng((SEED, 3)))
    core = forecast_side(
        what.carcass, dict(what.ways), tree=tree, cuts=shipped_cuts(), hung_kg=hung_kg, seed=SEED
    )
    side = broken(what)
    for piece in side.pieces:
        assert piece.kg.mean == pytest.approx(float(np.mean(core.kg[piece.slug])))


def test_asked_twice_it_is_the_same_and_not_made_again() -> None:
    broken.cache_clear()
    first, second = broken(asked()), broken(asked())
    assert first is second
    assert broken.cache_info().misses == 1


@pytest.mark.parametrize(
    "other",
    [{"days": 9}, {"hot_kg": 195.0}, {"style": "bone-in"}, {"kind": "wagyu"}, {"half": "right"}, {"trim": "light"}],
    ids=str,
)  # fmt: skip
def test_whatever_changes_is_made_again(other: dict[str, object]) -> None:
    plain, changed = asked(), asked(**other)  # type: ignore[arg-type]
    assert plain != changed
    assert broken(plain) is not broken(changed)


def test_a_rib_face_that_was_read_moves_the_yield() -> None:
    """More fat, less to sell, as in every published cutability equation (USDA yield grades, 2017)."""
    lean, fat = (replace(asked().carcass, fat_mm=mm, ribeye_cm2=85.0, kph_pct=2.5) for mm in (5.0, 25.0))
    of_lean, of_fat = (broken(asked(carcass=one)).totals["saleable_kg"].mean for one in (lean, fat))
    assert of_lean > of_fat + 3


def test_beyond_the_days_of_the_figures_there_is_none() -> None:
    what = asked(days=int(asked().loss.last_day) + 1)
    with pytest.raises(CannotDo, match="days"):
        broken(what)


def test_before_the_kill_it_weighs_what_it_weighed_hot() -> None:
    assert broken(asked(days=-3)).hung_kg.mean == pytest.approx(190.0)


def test_the_side_as_drawings_take_it() -> None:
    side = on_rail(asked())
    assert side.id == "C7-left"
    assert side.window.earliest == KILLED + timedelta(days=shipped_kinds()["grain-finished"].hang_days[0])
    assert 180 < side.today_kg.mean < 190


def test_more_ground_at_a_price_is_worth_more() -> None:
    prices = ListPrices({}, ((80.0, 1000.0),))
    boneless, ground = (
        worth_of(broken(asked(style=style)), prices) for style in ("boneless", "steak-and-grind")
    )
    assert ground.trim_kg > boneless.trim_kg
    assert ground.cents > boneless.cents
    assert ground.cents == pytest.approx(ground.trim_kg * 1000.0, abs=3)
