"""A tiny tree and tiny weeks, made here so that every figure can be checked by hand."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date

import pytest

from gambrel.catalog.ways import Tree, read_tree
from gambrel.measures import Entry, Findings
from gambrel.plan import Week, read_week, solve_week
from gambrel.plan.questions.why import Solver
from gambrel.plan.shares import book_shares

TREE = """
[[way]]
piece = "side"
name = "quarters"
minutes_per_100kg = { saw = 4 }
[way.out]
forequarter = 0.5
hindquarter = 0.48
loss = 0.02

[[way]]
piece = "forequarter"
name = "whole"
minutes_per_100kg = { packer = 2 }

[[way]]
piece = "forequarter"
name = "bone-in"
minutes_per_100kg = { saw = 20, packer = 10 }
[way.out]
short-ribs = 0.30
blade-roast = 0.45
trim-85 = 0.15
trim-fat = 0.08
loss = 0.02

[[way]]
piece = "forequarter"
name = "boneless"
minutes_per_100kg = { knife = 40, packer = 12 }
[way.out]
chuck-roll = 0.40
trim-85 = 0.25
trim-65 = 0.10
trim-fat = 0.08
neck-bones = 0.15
loss = 0.02

[[way]]
piece = "hindquarter"
name = "bone-in"
minutes_per_100kg = { saw = 25, packer = 10 }
[way.out]
t-bone-steak = 0.35
top-round = 0.40
trim-85 = 0.14
trim-fat = 0.10
loss = 0.01

[[way]]
piece = "hindquarter"
name = "boneless"
minutes_per_100kg = { knife = 45, packer = 12 }
[way.out]
strip-loin = 0.20
top-round = 0.40
trim-85 = 0.19
trim-fat = 0.10
chine-bones = 0.10
loss = 0.01

[[way]]
piece = "trim-fat"
name = "whole"

[[way]]
piece = "trim-fat"
name = "rendered"
minutes_per_100kg = { knife = 5 }
[way.out]
edible-tallow = 0.7
loss = 0.3

[[way]]
piece = "strip-loin"
name = "whole"

[[way]]
piece = "strip-loin"
name = "steaks"
minutes_per_100kg = { knife = 30, packer = 20 }
[way.out]
strip-steak = 0.85
trim-65 = 0.13
loss = 0.02

[style.boneless]
forequarter = "boneless"
hindquarter = "boneless"
"""

SHOP = """
[shop]
name = "Cottonwood Bend"
start = 2026-03-09
days = 14
cutting_days = ["mon", "wed", "fri"]
rail = "6m"
rail_per_side = "0.6m"
waste = "0.10/kg"

[wages]
per_hour = "$24.00"
"""

SETTLED = """sides = ["left"]
[animal.pin]
day = 2026-03-13
[animal.pin.ways]
forequarter = "boneless"
hindquarter = "boneless"
strip-loin = "whole"
trim-fat = "whole"
"""
"""Goes on after the steer: its left side alone, boneless, on Friday the 13th."""

STEER = """
[[animal]]
id = "C1"
kind = "grain-finished"
sex = "steer"
age_months = 18
hot = "360kg"
killed = 2026-02-27
fat = "12mm"
"""

COUNTER = """
[[demand]]
cut = "chuck-roll"
kind = "grain-finished"
steps = [{ upto = "20kg", price = "20.00/kg" }, { upto = "40kg", price = "12.00/kg" }]
shelf_days = 6

[[demand]]
cut = "strip-steak"
kind = "grain-finished"
steps = [{ upto = "10kg", price = "50.00/kg" }]
salvage = "8.00/kg"
shelf_days = 6

[[demand]]
cut = "t-bone-steak"
species = "cattle"
steps = [{ upto = "30kg", price = "38.00/kg" }]
shelf_days = 6

[[demand]]
cut = "top-round"
steps = [{ upto = "30kg", price = "16.00/kg" }, { upto = "80kg", price = "9.00/kg" }]

[[demand]]
cut = "blade-roast"
kind = "grain-finished"
steps = [{ upto = "25kg", price = "18.00/kg" }]

[[demand]]
cut = "short-ribs"
kind = "grain-finished"
steps = [{ upto = "12kg", price = "22.00/kg" }]

[[demand]]
cut = "edible-tallow"
steps = [{ upto = "8kg", price = "6.00/kg" }]

[[ground]]
name = "ground-beef-80"
kind = "grain-finished"
lean = 80
steps = [{ upto = "30kg", price = "15.00/kg" }]
"""


@pytest.fixture(scope="session")
def small_tree() -> Tree:
    findings = Findings()
    tree = read_tree((("small", tomllib.loads(TREE)),), findings)
    findings.stop_if_any()
    return tree


def week_from(text: str) -> Week:
    return read_week(Entry(tomllib.loads(text), "", Findings()))


@pytest.fixture(scope="session")
def read() -> Callable[[str], Week]:
    """A week out of the text of its file."""
    return week_from


@pytest.fixture
def solve(small_tree: Tree) -> Solver:
    """Plans a week of the small tree to the best there is."""
    return lambda week: solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)


@pytest.fixture
def parts() -> dict[str, str]:
    """Texts to put a week together from."""
    return {"shop": SHOP, "steer": STEER, "counter": COUNTER, "settled": SETTLED}


@pytest.fixture
def monday() -> date:
    return date(2026, 3, 9)
