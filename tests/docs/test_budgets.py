"""The house stays small enough to read: lengths of files and functions, and as much test as source."""

from __future__ import annotations

import statistics
from pathlib import Path

import house
import pytest


def lines_of(path: Path) -> int:
    return len(path.read_text("utf-8").splitlines())


@pytest.mark.parametrize("folder", [house.SOURCE, house.TESTS], ids=["source", "tests"])
def test_files_are_short(folder: Path) -> None:
    """Median at most 120 lines, 95 in a hundred under 350, none over 500."""
    lengths = {path: lines_of(path) for path in house.python_files(folder) if lines_of(path)}
    longest = sorted(lengths, key=lambda path: -lengths[path])
    said = [f"{path.relative_to(house.ROOT)}: {lengths[path]}" for path in longest[:5]]
    assert max(lengths.values()) <= 500, said
    assert sum(length < 350 for length in lengths.values()) >= 0.95 * len(lengths), said
    if folder == house.SOURCE:
        assert statistics.median(lengths.values()) <= 120, said


def test_functions_are_short() -> None:
    """95 in a hundred under 50 lines, and none so long that a page does not hold it."""
    lengths: dict[str, int] = {}
    for path in house.python_files(house.SOURCE):
        for function in house.functions(path):
            first = function.body[0].lineno
            lengths[f"{path.relative_to(house.SOURCE)}, {function.name}"] = (
                (function.end_lineno or first) - first + 1
            )
    long = {where: length for where, length in lengths.items() if length >= 50}
    assert len(long) <= 0.05 * len(lengths), long
    assert max(lengths.values()) <= 90, long


def test_at_least_as_much_test_as_source() -> None:
    source = sum(map(lines_of, house.python_files(house.SOURCE)))
    tests = sum(map(lines_of, house.python_files(house.TESTS)))
    assert tests >= source, f"{tests} lines of tests, {source} of source"
