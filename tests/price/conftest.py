"""A small price case as tables, and ways to price it."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from gambrel.catalog.animal import Animal
from gambrel.catalog.bill import Bill
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import Entry, Findings
from gambrel.plan.market import Origin
from gambrel.plan.result import Filled, Money, Move, PlanResult, Sale, SidePlan, Surplus
from gambrel.plan.week import Demand, Grinding, Group, Hanging, Margin, Order, Shop, Step, Week
from gambrel.price.case import PriceCase, read_price_case

_CASE: dict[str, Any] = {
    "kind": "grain-finished",
    "hot": "700lb",
    "hung": "665lb",
    "bill": {"rail": "3.00/lb"},
    "fees": {"kill": "$120.00", "disposal": "$30.00", "cut_wrap": "0.10/lb"},
    "wages": {"knife": "$24.00", "packer": "$18.00"},
    "work": {"knife": "60min"},
    "packing": {"pack": "$0.25"},
    "cut": [
        {
            "slug": "ribeye-steak",
            "weight": "24lb",
            "price": "18.99/lb",
            "packs": 24,
            "work": {"knife": "30min", "packer": "20min"},
        },
        {"slug": "top-sirloin-steak", "weight": "22lb", "price": "10.99/lb", "packs": 22},
        {"slug": "chuck-eye-roast", "weight": "80lb", "price": "7.99/lb", "packs": 30},
        {
            "slug": "ground-beef",
            "weight": "300lb",
            "price": "6.49/lb",
            "packs": 300,
            "work": {"packer": "2h"},
        },
        {"slug": "suet", "weight": "50lb", "use": "by-product", "price": "0.10/lb"},
        {"slug": "waste", "name": "waste", "weight": "150lb", "use": "waste"},
    ],
    "relation": [{"above": "ribeye-steak", "below": "top-sirloin-steak", "ratio": 1.15}],
    "margin": {"target": 0.30},
    "bid": {"probability": 0.9, "offer": "1.80/lb"},
}


@pytest.fixture
def tables() -> dict[str, Any]:
    """The case as TOML would give it; each test may change its own copy."""
    return copy.deepcopy(_CASE)


@pytest.fixture
def read() -> Callable[[dict[str, Any]], PriceCase]:
    def read(fields: dict[str, Any]) -> PriceCase:
        return read_price_case(Entry(fields, "", Findings()), kinds=shipped_kinds(), catalogue=shipped_cuts())

    return read


def as_toml(fields: dict[str, Any]) -> str:
    """The tables as one TOML file; a JSON text, number or list is TOML too, a table is written inline."""

    def inline(value: Any) -> str:
        if isinstance(value, dict):
            return "{ " + ", ".join(f"{name} = {inline(item)}" for name, item in value.items()) + " }"
        if isinstance(value, list):
            return "[" + ", ".join(inline(item) for item in value) + "]"
        return json.dumps(value)

    return "\n".join(f"{name} = {inline(value)}" for name, value in fields.items()) + "\n"


@pytest.fixture
def as_toml_text() -> Callable[[dict[str, Any]], str]:
    """The tables as the text of a file."""
    return as_toml


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """`gambrel price` on a case, as a person runs it."""

    def run(case: dict[str, Any] | str, *options: str) -> subprocess.CompletedProcess[str]:
        file = tmp_path / "case.toml"
        file.write_text(case if isinstance(case, str) else as_toml(case), "utf-8")
        return subprocess.run(
            [sys.executable, "-m", "gambrel.cli.main", "price", str(file), *options],
            capture_output=True,
            text=True,
            check=False,
        )

    return run


MONDAY, TUESDAY = date(2026, 3, 9), date(2026, 3, 10)
KINDS = shipped_kinds()
GRAIN, GRASS = (Origin(kind, frozenset((kind,)), "federal") for kind in ("grain-finished", "grass-finished"))
GROUND = Origin("ground-beef-80 (cattle)", frozenset(("grain-finished", "grass-finished")), "federal", 1)


@dataclass(frozen=True)
class Planned:
    """A week and its plan, made by hand; no solver has seen it."""

    week: Week
    plan: PlanResult


def hanging(name, kind, hot_kg, sides, bill, **more):
    animal = Animal(kind=KINDS[kind], sex="steer", hot_kg=hot_kg, age_months=18)
    return Hanging(name, animal, date(2026, 2, 25), sides, bill=bill, **more)


def a_shop(**margin):
    return Shop(
        name="Cottonwood Bend", start=MONDAY, days=7, cutting_days=("mon", "tue"), rail_mm=None,
        rail_per_side_mm=600.0, srm_policy_bison="as_cattle", minutes_a_day={}, wage_cents_per_hour=2400.0,
        margin=Margin(**margin), grinding=Grinding({}), waste_cents_per_kg=20.0,
    )  # fmt: skip


@pytest.fixture
def planned() -> Planned:
    """Two kinds: half a grain-finished steer and a whole grass-finished one are cut, and an owner's animal.

    Ribeyes sell at two price steps and to an order; trims of both kinds make one ground product, which the
    counter, an order and the freezer take; round is left over at its salvage price and bones are hauled away.
    """
    cattle = Group("cattle", GROUND.kinds)
    grain, grass = Group("grain-finished", GRAIN.kinds), Group("grass-finished", GRASS.kinds)
    week = Week(
        shop=a_shop(target_pct=10.0, packing_cents_per_kg=10.0, overhead_cents_per_head=5000, ending_cents=99),
        animals=(
            hanging("A", "grain-finished", 400.0, {"left": 210.0, "right": 190.0},
                    Bill("rail", 316_976, None, 12_500)),
            hanging("B", "grass-finished", 300.0, {"left": 150.0, "right": 150.0},
                    Bill("head", 180_000, None, 10_000)),
            hanging("C", "grain-finished", 350.0, {"left": 175.0, "right": 175.0}, None,
                    inspected="custom", owner="its owner"),
        ),
        demands=(
            Demand("ribeye-steak", grain, (Step(10.0, 4000.0), Step(30.0, 3020.0)), 5),
            Demand("ground-beef-80", cattle, (Step(100.0, 1510.0),), 3, 400.0, 80.0),
            Demand("top-round", grass, (Step(40.0, 2085.0),), 5, 500.0),
        ),
        orders=(
            Order("R1", "ribeye-steak", grain, 5.0, TUESDAY, 3410.0),
            Order("G1", "ground-beef-80", cattle, 20.0, TUESDAY, 1810.0),
        ),
        kinds=KINDS,
    )  # fmt: skip
    days = (MONDAY,)
    plan = PlanResult(
        "optimal", 0, 0.0, 0.1,
        money=Money(160_800 + 83_400, 53_250, 12_700, -5_100, -86_000, 99_999),
        sides=(
            SidePlan("A-left", "A", "left", "grain-finished", MONDAY, 200.0, {}),
            SidePlan("A-right", "A", "right", "grain-finished", None, 180.0, {}),
            SidePlan("B-left", "B", "left", "grass-finished", MONDAY, 144.0, {}),
            SidePlan("B-right", "B", "right", "grass-finished", MONDAY, 144.0, {}),
            SidePlan("C-left", "C", "left", "grain-finished", MONDAY, 168.0, {}),
            SidePlan("C-right", "C", "right", "grain-finished", MONDAY, 168.0, {}),
        ),
        sales=(
            Sale(0, 1, 0, 10.0, 4000.0, 40_000), Sale(0, 1, 1, 10.0, 3020.0, 30_200),
            Sale(1, 1, 0, 60.0, 1510.0, 90_600), Sale(2, 1, 0, 40.0, 2085.0, 83_400),
        ),
        filled=(Filled(0, 5.0, 17_050), Filled(1, 20.0, 36_200)),
        surplus=(
            Surplus("ground-beef-80", GROUND, 20.0, 400.0, 8_000),
            Surplus("top-round", GRASS, 10.0, 500.0, 5_000),
            Surplus("neck-bones", GRAIN, 15.0, -20.0, -300),
        ),
        moves=(
            Move("ribeye-steak", GRAIN, days, "counter", 20.0, 0, 1),
            Move("ribeye-steak", GRAIN, days, "order", 5.0, 0),
            Move("trim-85", GRAIN, days, "ground", 35.0, 1, None, MONDAY),
            Move("trim-65", GRAIN, days, "ground", 15.0, 1, None, MONDAY),
            Move("trim-85", GRASS, days, "ground", 50.0, 1, None, MONDAY),
            Move("top-round", GRASS, days, "counter", 40.0, 2, 1),
            Move("ground-beef-80", GROUND, days, "counter", 60.0, 1, 1),
            Move("ground-beef-80", GROUND, days, "order", 20.0, 1),
            Move("ground-beef-80", GROUND, days, "surplus", 20.0),
            Move("top-round", GRASS, days, "surplus", 10.0),
            Move("neck-bones", GRAIN, days, "surplus", 15.0),
        ),
    )  # fmt: skip
    return Planned(week, plan)
