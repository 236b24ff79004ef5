"""`gambrel week` and `gambrel demo` as their users call them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gambrel.cli.demo import MARKER, start_afresh
from gambrel.cli.main import main
from gambrel.measures import CannotDo
from gambrel.plan.example import example_week


def run(*arguments: str) -> Result:
    result = CliRunner().invoke(main, list(arguments))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def test_a_week_file_does_the_whole_job(tmp_path: Path) -> None:
    file = tmp_path / "week.toml"
    file.write_text(example_week(sides=4, days=7, seed=5), encoding="utf-8")
    result = run("week", str(file), "--out", str(tmp_path / "out"), "--paper", "a4")
    assert result.exit_code == 0, result.output
    for word in (
        "yield est.",
        "The plan earns",
        "Cost of what is cut",
        "Bid for the next",
        "no USDA grade covers bison",
    ):
        assert word in result.stdout
    assert (tmp_path / "out" / "plan.pdf").exists()


def test_a_week_as_json(tmp_path: Path) -> None:
    file = tmp_path / "week.toml"
    file.write_text(example_week(sides=2, days=7, seed=5), encoding="utf-8")
    value = json.loads(run("week", str(file), "--json").stdout)
    assert len(value["sides"]) == 2 and value["official"] is False and value["files"] == 0
    assert value["plan"]["profit_cents"] and value["prices"]["products"]
    side = value["sides"][0]
    whole = sum(side["totals"][name]["mean"] for name in ("saleable_kg", "trim_fat_kg", "bone_kg", "loss_kg"))
    assert 0.8 * side["today_kg"]["mean"] < whole <= side["today_kg"]["mean"]


def test_a_week_that_cannot_be_read_says_everything_at_once(tmp_path: Path) -> None:
    file = tmp_path / "week.toml"
    text = example_week(sides=2, days=7, seed=5)
    file.write_text(text.replace("hot =", "hott =").replace('rail = "', 'rail = "x', 1), encoding="utf-8")
    result = run("week", str(file))
    assert result.exit_code == 1
    assert result.stderr.count("error:") >= 2 and "hot" in result.stderr and "rail" in result.stderr


@pytest.mark.parametrize("name", ["none.toml", "."])
def test_no_such_week(tmp_path: Path, name: str) -> None:
    result = run("week", str(tmp_path / name))
    assert result.exit_code == 1 and "error:" in result.stderr


def test_a_promise_that_cannot_be_kept_ends_with_status_1(tmp_path: Path) -> None:
    file = tmp_path / "week.toml"
    order = """
[[order]]
id = "17"
cut = "short-ribs"
species = "cattle"
weight = "4000lb"
by = 2026-03-12
price = "9.00/lb"
must = true
"""
    file.write_text(example_week(sides=2, days=7, seed=5) + order, encoding="utf-8")
    result = run("week", str(file))
    assert result.exit_code == 1
    assert "No plan keeps every promise" in result.stdout and "17" in result.stdout


def test_the_demo_starts_afresh_and_touches_nothing_else(tmp_path: Path) -> None:
    beside = tmp_path / "keep.txt"
    beside.write_text("mine", encoding="utf-8")
    folder = tmp_path / "demo"
    folder.mkdir()
    (folder / MARKER).write_text("made by the demo", encoding="utf-8")
    (folder / "old.pdf").write_text("old", encoding="utf-8")
    start_afresh(folder)
    assert not folder.exists() and beside.read_text("utf-8") == "mine"


def test_the_demo_never_empties_a_folder_that_is_not_its_own(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(CannotDo):
        start_afresh(tmp_path)
    with pytest.raises(CannotDo):
        start_afresh(tmp_path / "letters.txt")
    assert (tmp_path / "letters.txt").read_text("utf-8") == "mine"
    result = run("demo", "--out", str(tmp_path))
    assert result.exit_code == 1 and "--out" in result.stderr
