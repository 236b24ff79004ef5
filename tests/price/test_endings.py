"""Endings that people write, and the prices that carry them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import Entry, Findings
from gambrel.price.endings import near, prices_with_ending, read_endings

endings = st.lists(st.integers(0, 99), unique=True, max_size=3).map(lambda found: tuple(sorted(found)))


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [(".99", (99,)), ([".99", ".49"], (49, 99)), ("any", ()), ([".99", ".99"], (99,)), (None, None)],
)
def test_endings_as_typed(typed, wanted):
    findings = Findings()
    assert read_endings(Entry({"ending": typed}, "list", findings), "ending") == wanted
    assert not findings


@pytest.mark.parametrize("typed", ["99", 0.99, [], ["x"], ".9", ".999", [99], True])
def test_other_endings_are_findings(typed):
    findings = Findings()
    assert read_endings(Entry({"ending": typed}, "list", findings), "ending") is None
    assert len(findings) == 1


def test_prices_between_limits_by_hand():
    assert prices_with_ending((49, 99), low_cents=99, high_cents=250) == [99, 149, 199, 249]
    assert prices_with_ending((), low_cents=98.5, high_cents=101) == [99, 100, 101]
    assert prices_with_ending((99,), low_cents=1300, high_cents=1340) == []
    assert prices_with_ending((99,), low_cents=500, high_cents=400) == []


def test_neighbours_by_hand():
    assert near((49, 99), 1230, below=2, above=2, low_cents=1, high_cents=1e9) == [1149, 1199, 1249, 1299]
    assert near((99,), 1299, below=1, above=1, low_cents=1, high_cents=1299) == [1299]


prices = st.integers(1000, 5_000_000).map(
    lambda thousandths: thousandths / 1000
)  # the step counts in millionths


@given(ends=endings, price=prices, below=st.integers(1, 4), above=st.integers(1, 4))
def test_neighbours_lie_each_side_and_end_as_asked(ends, price, below, above):
    found = near(ends, price, below=below, above=above, low_cents=1, high_cents=1e9)
    assert found == sorted(set(found))
    assert sum(cents > price for cents in found) == above
    assert sum(cents <= price for cents in found) <= below
    assert all(not ends or cents % 100 in ends for cents in found)
    every = prices_with_ending(ends, low_cents=1, high_cents=price + 1000)
    assert [cents for cents in every if cents <= price][-below:] == [
        cents for cents in found if cents <= price
    ]
