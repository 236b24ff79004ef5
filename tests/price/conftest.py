"""A small price case as tables, and ways to price it."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import Entry, Findings
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
