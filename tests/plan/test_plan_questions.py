"""Questions put to a plan on the command line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from gambrel.cli.plan import command
from gambrel.cli.plan_questions import Forced, read_questions
from gambrel.measures import Findings

NOTHING: dict[str, Any] = {
    "why": (), "relax": False, "extra": (), "last": None, "keep_last": None, "tried": False, "safety": None,
    "draws": None,
}  # fmt: skip


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, list(arguments))


@pytest.fixture(scope="module")
def week_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two bison sides over a week, with a promise of hump roast that must be met."""
    path = tmp_path_factory.mktemp("week") / "week.toml"
    text = run("--example", "2", "--days", "7", "--seed", "3").stdout
    path.write_text(text.replace("must = false", "must = true"), "utf-8")
    return path


@pytest.fixture(scope="module")
def told(week_file: Path) -> dict[str, Any]:
    """Everything asked at once, as JSON."""
    result = run(str(week_file), "--json", "--gap", "0.01", "--why", "B1-left:round-primal=whole",
                 "--extra", "bison", "--tried", "--draws", "60")  # fmt: skip
    assert result.exit_code == 0, result.output
    value: dict[str, Any] = json.loads(result.stdout)
    return value


def test_only_what_was_asked_is_answered(told: dict[str, Any]) -> None:
    assert {"why", "extra", "tried"} <= set(told)
    assert not {"relaxed", "since_last", "safety"} & set(told)


def test_why_not_names_the_way_and_what_it_costs(told: dict[str, Any]) -> None:
    (one,) = told["why"]
    assert (one["side"], one["asked"]) == ("B1-left", "round-primal whole")
    assert one["worth_cents"]["found"] < 0
    assert one["worth_cents"]["low"] <= one["worth_cents"]["found"] <= one["worth_cents"]["high"]
    assert any("round-primal goes whole" in line for line in one["changes"])


def test_an_extra_side_is_worth_money(told: dict[str, Any]) -> None:
    (one,) = told["extra"]
    assert (one["what"], one["of"]) == ("side", "bison")
    assert one["worth_cents"]["found"] > 0


def test_the_try_tells_percentiles_and_promises(told: dict[str, Any]) -> None:
    tried = told["tried"]
    low, middle, high = tried["profit_cents"]
    assert low < middle < high and tried["draws"] == 60 == sum(tried["bars"])
    assert {one["order"] for one in tried["promises"]} == {"1", "2"}
    assert 0.0 <= tried["all_kept_share"] <= 1.0


def test_a_plan_beside_its_own_json_has_not_changed(week_file: Path, tmp_path: Path) -> None:
    old = tmp_path / "old.json"
    old.write_text(run(str(week_file), "--json", "--gap", "0.01").stdout, "utf-8")
    result = run(str(week_file), "--gap", "0.01", "--last", str(old))
    assert result.exit_code == 0, result.output
    assert "Since the last plan: $0.00 more" in result.stdout


def test_the_page_tells_the_answers_below_the_plan(week_file: Path) -> None:
    result = run(str(week_file), "--gap", "0.02", "--safety", "0.9", "--draws", "60", "--tried")
    assert result.exit_code in (0, 1), result.output
    for words in (
        "Profit $",
        "Tried on 60 draws",
        "every promise together",
        "Promises kept with probability 0.9",
    ):
        assert words in result.stdout, words


def test_one_more_of_everything_is_told(week_file: Path) -> None:
    result = run(str(week_file), "--gap", "0.02", "--relax", "--json")
    assert result.exit_code == 0, result.output
    relaxed = json.loads(result.stdout)["relaxed"]
    assert {"day", "promise"} <= {one["what"] for one in relaxed}
    assert all(one["worth_cents"] is None or one["worth_cents"]["found"] >= 0 for one in relaxed)


@pytest.mark.parametrize("why", ["B1-left", "B1-left:round-primal", "B1-left=Friday", ":x=y", "="])
def test_a_question_typed_wrong_is_a_finding(why: str) -> None:
    findings = Findings()
    read_questions({**NOTHING, "why": (why,)}, findings)
    assert [(one.where, one.given) for one in findings] == [("--why", why)]


def test_a_way_and_a_day_are_told_apart() -> None:
    findings = Findings()
    asked = read_questions({**NOTHING, "why": ("C1:rib-primal=bone-in", "C1-left=2026-03-13")}, findings)
    assert not findings and asked.plans_anew
    way, day = asked.why
    assert way == Forced("C1", "rib-primal", "bone-in", None)
    assert (day.side, str(day.day)) == ("C1-left", "2026-03-13")


@pytest.mark.parametrize(("name", "value"), [("safety", "90"), ("safety", "often"), ("draws", "3")])
def test_a_share_or_count_out_of_bounds_is_a_finding(name: str, value: str) -> None:
    findings = Findings()
    read_questions({**NOTHING, name: value}, findings)
    assert [one.where for one in findings] == [name]


def test_a_side_that_is_not_there_ends_with_a_finding(week_file: Path) -> None:
    result = run(str(week_file), "--gap", "0.05", "--why", "Z9-left:round-primal=boneless")
    assert result.exit_code == 1
    assert "a side of this week: B1-left, B1-right" in result.stderr


@pytest.mark.parametrize("text", ["[]", "{", '{"sides": 3}'])
def test_a_last_plan_that_is_none_is_a_finding(text: str, week_file: Path, tmp_path: Path) -> None:
    old = tmp_path / "old.json"
    old.write_text(text, "utf-8")
    result = run(str(week_file), "--last", str(old))
    assert result.exit_code == 1
    assert "old.json" in result.stderr
