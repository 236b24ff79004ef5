"""Intervals hold their figure and widen with what makes a reading worse."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.uncertainty import (
    Conditions,
    area_interval,
    fat_interval,
    marbling_interval,
    table,
)

GOOD = Conditions(tilt_deg=2, blur_mm=0.3, residual_mm=0.03)


def widths(seen: Conditions) -> tuple[float, float, float]:
    pairs = (
        area_interval(80.0, seen),
        fat_interval(9.0, seen, spread_mm=0.1),
        marbling_interval(6.0, seen, spread_pct=1.0),
    )
    first, second, third = (high - low for low, high in pairs)
    return first, second, third


@pytest.mark.parametrize(
    "change,which",
    [
        ({"tilt_deg": 30.0}, (0, 1)),
        ({"blur_mm": 1.4}, (0, 1, 2)),
        ({"glare_pct": 6.0}, (2,)),
        ({"missing_markers": 2}, (0,)),
        ({"residual_mm": 0.4}, (0,)),
        ({"by_hand": True}, (0, 1)),
        ({"balanced": False}, (2,)),
        ({"confidence": 0.4}, (0, 1, 2)),
        ({"chine_gap_mm": 6.0}, (1,)),
        ({"own_fat": True}, (2,)),
        ({"doubt_px": 12.0}, (0,)),
    ],
)
def test_worse_is_wider(change: dict[str, float], which: tuple[int, ...]) -> None:
    before, after = widths(GOOD), widths(replace(GOOD, **change))
    for k in which:
        assert after[k] > before[k] * 1.01
    for k in set(range(3)) - set(which):
        assert after[k] == pytest.approx(before[k])


@given(st.floats(0, 200), st.floats(0, 45), st.floats(0, 2))
def test_the_figure_lies_inside(value: float, tilt: float, blur: float) -> None:
    seen = Conditions(tilt_deg=tilt, blur_mm=blur)
    for low, high in (
        area_interval(value, seen),
        fat_interval(value / 5, seen, spread_mm=0.1),
        marbling_interval(value / 4, seen, spread_pct=0.5),
    ):
        assert 0 <= low <= high
    low, high = area_interval(value, seen)
    assert low <= value <= high


def test_every_term_of_the_table_is_used() -> None:
    from pathlib import Path

    import gambrel.ribface.uncertainty as module

    code = Path(module.__file__).read_text()
    for part in table().values():
        for term in part:
            assert f'"{term}"' in code, term
