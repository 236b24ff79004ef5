"""Short ways to make trims, products and cases for the tests of this step."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from gambrel.grind import GROUND_NAMES, GrindCase, GrindPlan, GroundProduct, Trim, blend


def _trim(id: str, weight_kg: float, lean_pct: float, **more: Any) -> Trim:
    return Trim(id=id, weight_kg=weight_kg, lean_pct=lean_pct, **more)


def _product(name: str, lean_pct: float, **more: Any) -> GroundProduct:
    more.setdefault("id", f"{name} {lean_pct:g}")
    return GroundProduct(name=GROUND_NAMES[name], lean_pct=lean_pct, **more)


def _plan(trims: list[Trim], products: list[GroundProduct], **more: Any) -> GrindPlan:
    more.setdefault("objective", "most-used")
    return blend(GrindCase(tuple(trims), tuple(products), **more))


@pytest.fixture(name="trim", scope="session")
def trim_fixture() -> Callable[..., Trim]:
    return _trim


@pytest.fixture(name="product", scope="session")
def product_fixture() -> Callable[..., GroundProduct]:
    return _product


@pytest.fixture(name="plan", scope="session")
def plan_fixture() -> Callable[..., GrindPlan]:
    return _plan
