"""How long packs keep."""

from __future__ import annotations

from datetime import date
from itertools import product

import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import MARKS
from gambrel.sell.shelf_life import PACKINGS, _file, keeps, thawed_until, use_of

PACKED = date(2026, 2, 27)


# Cold storage chart, FoodSafety.gov, U.S. Department of Health and Human Services, 2013: ground 1 to 2 days and 3 to
# 4 months, steaks 3 to 5 days and 6 to 12 months, roasts 3 to 5 days and 4 to 12 months.
@pytest.mark.parametrize(
    ("use", "frozen", "low", "high"),
    [("ground", False, 1, 2), ("ground", True, 90, 120), ("steak", False, 3, 5), ("steak", True, 180, 365),
     ("roast", False, 3, 5), ("roast", True, 120, 365)],
)  # fmt: skip
def test_the_published_chart(use: str, frozen: bool, low: int, high: int) -> None:
    found = keeps(use, packing="paper", frozen=frozen)
    assert (found.low_days, found.high_days, found.mark) == (low, high, "read")
    assert "FoodSafety.gov" in found.source


def test_the_label_says_the_shorter() -> None:
    assert keeps("ground", packing="tray", frozen=False).until(PACKED) == date(2026, 2, 28)
    assert keeps("steak", packing="paper", frozen=False).until(PACKED) == date(2026, 3, 2)


def test_every_use_has_every_packing_a_source_and_a_mark() -> None:
    uses = {row["use"] for row in _file()["keeps"]}
    for use, packing, frozen in product(uses, PACKINGS, (False, True)):
        found = keeps(use, packing=packing, frozen=frozen)
        assert 1 <= found.low_days <= found.high_days <= 365
        assert found.mark in MARKS and found.source


def test_frozen_keeps_longer_and_ground_the_shortest() -> None:
    for use, packing in product(("steak", "roast", "stew", "ground", "offal"), PACKINGS):
        chilled, frozen = (keeps(use, packing=packing, frozen=cold) for cold in (False, True))
        assert frozen.low_days > chilled.high_days
        assert keeps("ground", packing=packing, frozen=False).low_days <= chilled.low_days


@pytest.mark.parametrize("slug", sorted(shipped_cuts()))
def test_every_cut_of_the_catalogue_has_its_row(slug: str) -> None:
    assert keeps(use_of(shipped_cuts()[slug]), packing="paper", frozen=False).low_days >= 1


def test_thawed_meat_has_no_longer_than_meat_in_paper() -> None:
    assert thawed_until(PACKED, "steak", packing="vacuum") == date(2026, 3, 2)


def test_what_the_table_has_not_is_a_mistake_of_ours() -> None:
    with pytest.raises(KeyError):
        keeps("sausage", packing="paper", frozen=False)
    with pytest.raises(KeyError):
        thawed_until(PACKED, "steak", packing="box")
