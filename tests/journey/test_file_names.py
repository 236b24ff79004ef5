"""An animal may be called anything; its files stay in the week's own folder, each with a name of its own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.cuts import shipped_cuts
from gambrel.files.week_folder import file_names, write_week
from gambrel.journey import Journey


@pytest.mark.parametrize(
    ("wish", "name"),
    [
        ("7-left", "7-left"),
        ("../../7-left", "-..-7-left"),
        ("/etc/7-left", "-etc-7-left"),
        ("a\\b:c*?-left", "a-b-c---left"),
        ("No 7, red-left", "No-7--red-left"),
        ("Añejo-left", "Añejo-left"),
        ("🐂-left", "--left"),
        ("..", "side"),
        (".hidden-left", "hidden-left"),
    ],
)
def test_a_name_is_made_safe(wish: str, name: str) -> None:
    assert file_names([wish]) == [name]


def test_sides_that_differ_only_in_what_a_disk_cannot_hold_keep_apart() -> None:
    assert file_names(["a/b", "a:b", "A-B", "a-b-2"]) == ["a-b", "a-b-2", "A-B-3", "a-b-2-2"]


@given(st.lists(st.text(max_size=45), max_size=15))
def test_any_names_give_as_many_files_in_one_folder(wishes: list[str]) -> None:
    names = file_names(wishes)
    assert len({name.lower() for name in names}) == len(wishes)
    for name in names:
        assert name and not name.startswith(".")
        assert not set(name) & set('/\\:*?"<>|\0\n\r')
        assert Path(name).name == name


def renamed(journey: Journey, name: str) -> Journey:
    """The journey with its first animal called otherwise; one side is enough to look at."""
    side = journey.sides[0]
    other = replace(side, id=f"{name}-{side.half}")
    return replace(journey, sides=(other,), forecasts={other.id: journey.forecasts[side.id]})


@pytest.mark.parametrize("name", ["../../escaped", "/abs/🐂", 'C:\\x#"$[y]'])
def test_nothing_is_written_outside_the_folder(walked: Journey, tmp_path: Path, name: str) -> None:
    folder = tmp_path / "deep" / "week"
    written = list(write_week(renamed(walked, name), folder, cuts=shipped_cuts()))
    assert len({path.resolve() for path in written}) == len(written)
    there = {path.resolve() for path in tmp_path.rglob("*") if path.is_file()}
    assert there == {path.resolve() for path in written}
    assert all(path.resolve().is_relative_to(folder.resolve()) for path in written)
    assert {path.parent.relative_to(folder).as_posix() for path in written} <= {
        ".",
        "forecast",
        "pictures",
        "tables",
    }
