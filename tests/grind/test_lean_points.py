"""What fat tests of batches say of the trim that went in, worked by hand and against a joint solution."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.grind.lean_points import NAMED_SPREAD_PCT, TEST_SPREAD_PCT, LeanTested, learned_lean_points


def test_without_a_test_a_trim_is_what_it_is_called() -> None:
    point = learned_lean_points({"trim-80": 80.0}, [])["trim-80"]
    assert (point.own_pct, point.tests_count) == (80.0, 0)
    # 90 % of a normal lie within 1.6449 standard deviations: 80 +- 1.6449 x 3
    assert (point.low_pct, point.high_pct) == pytest.approx((75.0653, 84.9347))


def test_one_test_of_one_trim_by_hand() -> None:
    """Spreads 3 and 1: the test counts 9 parts in 10. 80 + 0.9 x (76 - 80) = 76.4; variance 9 x 1 / 10 = 0.9."""
    point = learned_lean_points({"trim-80": 80.0}, [LeanTested({"trim-80": 14.0}, 76.0)])["trim-80"]
    assert point.own_pct == pytest.approx(76.4)
    assert point.high_pct - point.own_pct == pytest.approx(1.6449 * 0.9**0.5)
    assert point.tests_count == 1


def test_a_batch_of_two_shifts_each_by_its_share() -> None:
    """Three parts of one to one of the other: 4 points too fat is laid three times as much on the first."""
    found = learned_lean_points(
        {"trim-50": 50.0, "trim-90": 90.0, "trim-65": 65.0},
        [LeanTested({"trim-90": 3.0, "trim-50": 1.0}, 76.0)],
    )
    first, second = found["trim-90"].own_pct - 90.0, found["trim-50"].own_pct - 50.0
    # gain = 9 x share / (9 x (9/16 + 1/16) + 1) = 9 x share / 6.625; shift = gain x (76 - 80)
    assert first == pytest.approx(9 * 0.75 / 6.625 * -4)
    assert second == pytest.approx(first / 3)
    assert found["trim-65"].own_pct == 65.0 and found["trim-65"].tests_count == 0


@given(st.lists(st.tuples(st.floats(1, 50), st.floats(1, 50), st.floats(50, 95)), min_size=1, max_size=8))
def test_one_by_one_is_the_same_as_all_at_once(batches: list[tuple[float, float, float]]) -> None:
    """The least-squares solution of all tests and both names together, by a solver of its own."""
    tests = [LeanTested({"a": a, "b": b}, lean) for a, b, lean in batches]
    rows = [[1 / NAMED_SPREAD_PCT, 0.0], [0.0, 1 / NAMED_SPREAD_PCT]]
    wanted = [80 / NAMED_SPREAD_PCT, 60 / NAMED_SPREAD_PCT]
    for a, b, lean in batches:
        rows.append([a / (a + b) / TEST_SPREAD_PCT, b / (a + b) / TEST_SPREAD_PCT])
        wanted.append(lean / TEST_SPREAD_PCT)
    solved = np.linalg.lstsq(np.array(rows), np.array(wanted), rcond=None)[0]
    found = learned_lean_points({"a": 80.0, "b": 60.0}, tests)
    assert [found["a"].own_pct, found["b"].own_pct] == pytest.approx(
        [float(np.clip(one, 0, 100)) for one in solved], abs=1e-6
    )


def test_a_shop_whose_trim_is_fatter_than_its_name_learns_it() -> None:
    """True leans 76 and 47 called 80 and 50, tests off by one point: within two points after thirty tests."""
    draw = np.random.default_rng(3)
    tests = []
    for _ in range(30):
        share = draw.uniform(0.2, 0.8)
        lean = share * 76 + (1 - share) * 47 + draw.normal(0, TEST_SPREAD_PCT)
        tests.append(LeanTested({"trim-80": 10 * share, "trim-50": 10 * (1 - share)}, lean))
    found = learned_lean_points({"trim-80": 80.0, "trim-50": 50.0}, tests)
    for sort, true in (("trim-80", 76.0), ("trim-50", 47.0)):
        assert found[sort].low_pct < true < found[sort].high_pct
        assert abs(found[sort].own_pct - true) < 2.0
