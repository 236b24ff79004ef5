"""A plan read back from a file that people can have changed: it is taken as it is, or refused with a finding."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.files.reading import read_json_object
from gambrel.measures import CannotDo
from gambrel.plan.questions.compare import compare, comparison_sentences
from gambrel.plan.questions.since import read_seen
from gambrel.plan.result import Money

PLAN: dict[str, Any] = {
    "profit_cents": 41_250,
    "sides": [
        {"id": "C1-left", "animal": "C1", "kind": "grain-finished", "day": "2026-03-13", "weight_kg": 171.3,
         "ways": {"side": "quarters", "forequarter": "boneless"}},
        {"id": "C1-right", "animal": "C1", "kind": "grain-finished", "day": None, "weight_kg": 170.9, "ways": {}},
    ],
    "products": [
        {"slug": "chuck-roll", "for": "grain-finished", "ground_kg": 0.0, "leftover_kg": 1.5, "revenue_cents": 41_200,
         "sold": [{"week": 1, "step": 1, "kg": 20.0, "price_cents_per_kg": 2000.0, "cents": 40_000}],
         "orders": [{"id": "17", "kg": 0.6, "cents": 1_200}]},
    ],
    "money_cents": {"counter": 40_000, "orders": 1_200, "surplus": 150, "hauling": -10, "wages": -90, "hanging_on": 0},
}  # fmt: skip

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=5,
)


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path to every value inside a JSON value."""
    if path:
        yield path
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, one in inside:
        yield from places(one, (*path, name))


def with_other(path: tuple[Any, ...], other: Any) -> dict[str, Any]:
    """The plan with another value in one place."""
    spoiled = copy.deepcopy(PLAN)
    at: Any = spoiled
    for name in path[:-1]:
        at = at[name]
    at[path[-1]] = other
    return spoiled


def without(path: tuple[Any, ...]) -> dict[str, Any]:
    spoiled = copy.deepcopy(PLAN)
    at: Any = spoiled
    for name in path[:-1]:
        at = at[name]
    del at[path[-1]]
    return spoiled


def test_what_is_read_is_what_is_written() -> None:
    seen = read_seen(PLAN, "old.json")
    left, right = seen.sides
    assert (left.id, left.animal, left.half, left.day) == ("C1-left", "C1", "left", date(2026, 3, 13))
    assert (right.half, right.day, dict(right.ways)) == ("right", None, {})
    (chuck,) = seen.lines
    assert (chuck.sold_kg, chuck.ordered_kg, chuck.made_kg) == (20.0, 0.6, pytest.approx(22.1))
    assert seen.money == Money(40_000, 1_200, 150, -10, -90, 0)
    assert seen.money.profit_cents == PLAN["profit_cents"]


@settings(max_examples=400, deadline=None)
@given(path=st.sampled_from(sorted(places(PLAN), key=str)), other=JSON)
def test_any_value_in_any_place_is_taken_or_refused_and_never_breaks_the_comparison(
    path: tuple[Any, ...], other: Any
) -> None:
    try:
        seen = read_seen(with_other(path, other), "old.json")
    except CannotDo as refusal:
        assert all(one.where == "old.json" and one.do for one in refusal.findings)
        return
    # What was taken can be held against another plan, both ways.
    true = read_seen(PLAN, "new.json")
    for found in (compare(seen, true), compare(true, seen)):
        assert all(isinstance(line, str) for line in comparison_sentences(found))


@pytest.mark.parametrize(
    "path",
    [
        ("sides",), ("products",), ("money_cents",),
        *(("sides", 0, name) for name in PLAN["sides"][0]),
        *(("products", 0, name) for name in PLAN["products"][0]),
        ("products", 0, "sold", 0, "kg"), ("products", 0, "orders", 0, "kg"),
    ],
    ids=lambda path: "-".join(str(one) for one in path),
)  # fmt: skip
def test_a_plan_that_lacks_something_is_refused(path: tuple[Any, ...]) -> None:
    with pytest.raises(CannotDo) as refusal:
        read_seen(without(path), "old.json")
    assert refusal.value.findings[0].where == "old.json"


@pytest.mark.parametrize(
    ("path", "other"),
    [
        (("sides", 0, "ways"), []),
        (("sides", 0, "ways"), "boneless"),
        (("sides", 0, "day"), "soon"),
        (("sides", 0, "day"), 20260313),
        (("sides", 0, "weight_kg"), "heavy"),
        (("sides", 0, "weight_kg"), None),
        (("sides", 1), 3),
        (("products", 0, "sold"), [3]),
        (("products", 0, "sold"), [{"week": 1}]),
        (("products", 0, "sold"), [{"kg": "much"}]),
        (("products", 0, "orders"), ["17"]),
        (("products", 0, "orders"), 17),
        (("products", 0, "ground_kg"), None),
        (("products", 0, "revenue_cents"), float("inf")),
        (("products", 0, "revenue_cents"), float("nan")),
        (("products", 0, "leftover_kg"), float("nan")),
        (("money_cents", "wages"), float("inf")),
        (("money_cents", "wages"), float("nan")),
        (("money_cents", "wages"), "much"),
        (("money_cents", "luck"), 3),
    ],
)
def test_a_wrong_value_is_refused_with_the_name_of_the_file(path: tuple[Any, ...], other: Any) -> None:
    with pytest.raises(CannotDo) as refusal:
        read_seen(with_other(path, other), "old.json")
    (finding,) = refusal.value.findings
    assert finding.where == "old.json"
    assert "gambrel plan WEEK --json" in finding.wanted


def test_lines_of_money_left_out_count_as_nothing() -> None:
    """An older plan may know fewer lines of the profit."""
    old = with_other(("money_cents",), {"counter": 500})
    assert read_seen(old, "old.json").money == Money(counter_cents=500)


@pytest.mark.parametrize(
    "text", ['{"sides": NaN, "products": [], "money_cents": {}}', "[1]", '"x"', "{}", "nul"]
)
def test_a_file_that_is_no_plan_is_refused(text: str, tmp_path: Path) -> None:
    path = tmp_path / "old.json"
    path.write_text(text, "utf-8")
    with pytest.raises(CannotDo):
        read_seen(read_json_object(path), str(path))


def test_a_plan_printed_reads_back_through_a_file(tmp_path: Path) -> None:
    path = tmp_path / "old.json"
    path.write_text("\ufeff" + json.dumps(PLAN, indent=2).replace("\n", "\r\n"), "utf-8")
    found = compare(read_seen(read_json_object(path), str(path)), read_seen(PLAN, "new"))
    assert found.is_same and found.profit_cents == 0 and not found.products and not found.money_cents
