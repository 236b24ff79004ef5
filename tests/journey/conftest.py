"""One small week of the invented shop, walked once for all tests of the journey."""

from __future__ import annotations

import tomllib

import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.journey import Journey, walk
from gambrel.measures import Entry, Findings
from gambrel.plan import read_week
from gambrel.plan.example import example_week
from gambrel.plan.week import Week


@pytest.fixture(scope="session")
def week() -> Week:
    return read_week(Entry(tomllib.loads(example_week(sides=8, days=7, seed=2)), "", Findings()))


@pytest.fixture(scope="session")
def walked(week: Week) -> Journey:
    return walk(week, tree=shipped_tree(), cuts=shipped_cuts(), draws=400, seed=1, gap=0.05)
