"""`--json` of every command: one line, one value, metric names, and findings of four parts when refused."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

COMMANDS = ("breakdown", "grade", "grind", "hang", "plan", "price", "week")
IMPERIAL = ("_lb", "_in", "_in2", "_f", "_oz", "_cwt", "_ft")


def fields(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every field of a JSON value with its way down."""
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, inner in steps:
        yield f"{path}/{name}", inner
        yield from fields(inner, f"{path}/{name}")


@pytest.mark.parametrize("name", COMMANDS)
def test_it_is_one_line_of_one_value(name: str, told: dict[str, Result]) -> None:
    answer = told[name]
    assert answer.exit_code == 0, answer.stderr
    assert answer.stdout.endswith("\n")
    assert answer.stdout.count("\n") == 1
    assert isinstance(json.loads(answer.stdout), dict)


@pytest.mark.parametrize("name", COMMANDS)
def test_no_number_is_infinite_or_none(name: str, told: dict[str, Result]) -> None:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    json.loads(told[name].stdout, parse_constant=refuse)


@pytest.mark.parametrize("name", COMMANDS)
def test_its_numbers_have_metric_names(name: str, told: dict[str, Result]) -> None:
    """The contract: `_kg`, `_cm2`, `_mm`, `_share`, `_pct`, `_cents`; pounds and inches are for people."""
    value = json.loads(told[name].stdout)
    wrong = [path for path, _ in fields(value) if path.endswith(IMPERIAL)]
    assert wrong == []


@pytest.mark.parametrize("name", COMMANDS)
def test_an_answer_with_an_official_grade_in_reach_says_it_is_none(
    name: str, told: dict[str, Result]
) -> None:
    value = json.loads(told[name].stdout)
    claims = {path: inner for path, inner in fields(value) if path.endswith("/official")}
    assert all(inner is False for inner in claims.values())
    if name in ("grade", "breakdown", "week", "grind"):
        assert "/official" in claims


@pytest.mark.parametrize("name", COMMANDS)
def test_an_interval_holds_its_mean(name: str, told: dict[str, Result]) -> None:
    spreads = [inner for _, inner in fields(json.loads(told[name].stdout))
               if isinstance(inner, dict) and {"mean", "p05", "p95"} <= set(inner)]  # fmt: skip
    if name in ("breakdown", "hang", "week"):
        assert spreads
    assert all(one["p05"] <= one["mean"] + 1e-9 and one["mean"] <= one["p95"] + 1e-9 for one in spreads)


@pytest.mark.parametrize("name", COMMANDS)
def test_findings_in_an_answer_have_four_parts(name: str, told: dict[str, Result]) -> None:
    for path, inner in fields(json.loads(told[name].stdout)):
        if path.endswith("/findings"):
            assert all(set(finding) == {"where", "given", "wanted", "do"} for finding in inner)


BAD = {
    "breakdown": 'kind = "ox"\nhot = 806\n',
    "grind": 'title = "x"\n[[trim]]\nid = "a"\nweight = "62"\n',
    "hang": 'kind = "ox"\nside_hot = 356\n',
    "plan": '[shop]\nname = "x"\nstart = "soon"\n',
    "price": 'kind = "ox"\nhot = 806\n',
    "week": '[shop]\nname = "x"\nstart = "soon"\n',
}


def refused(answer: Result) -> list[dict[str, str]]:
    assert answer.exit_code == 1
    assert answer.stdout.count("\n") == 1
    value = json.loads(answer.stdout)
    assert set(value) == {"findings"}
    assert all(set(finding) == {"where", "given", "wanted", "do"} for finding in value["findings"])
    assert all(finding[part] for finding in value["findings"] for part in ("where", "given", "wanted", "do"))
    assert answer.stderr.count("error: ") == len(value["findings"])
    return value["findings"]


@pytest.mark.parametrize("name", sorted(BAD))
def test_a_refusal_lists_every_slip_at_once(
    name: str, tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    (tmp_path / "case.toml").write_text(BAD[name], "utf-8")
    assert len(refused(gambrel(name, str(tmp_path / "case.toml"), "--json"))) >= 2


@pytest.mark.parametrize("name", sorted(BAD))
def test_a_refusal_without_json_leaves_standard_output_empty(
    name: str, tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    (tmp_path / "case.toml").write_text(BAD[name], "utf-8")
    answer = gambrel(name, str(tmp_path / "case.toml"))
    assert answer.exit_code == 1
    assert answer.stdout == ""
    assert answer.stderr.startswith("error: ")


def test_grade_refuses_bare_numbers_all_at_once(gambrel: Callable[..., Result]) -> None:
    words = ("--kind", "ox", "--sex", "steer", "--hot", "750", "--fat", "0.4", "--ribeye", "12.8")
    places = [finding["where"] for finding in refused(gambrel("grade", *words, "--json"))]
    assert sorted(places) == ["fat", "hot", "kind", "ribeye"]


@pytest.mark.parametrize("seconds", ["-1", "0", "nan", "inf", "soon", "", "1e9"])
@pytest.mark.parametrize("name", ["plan", "week"])
def test_a_time_limit_that_is_none_is_a_finding(
    name: str, seconds: str, examples: dict[str, Path], gambrel: Callable[..., Result]
) -> None:
    if (name, seconds) == ("plan", ""):
        pytest.skip("a blank option of plan counts as not given")
    (finding,) = refused(gambrel(name, str(examples[name]), "--seconds", seconds, "--json"))
    assert finding["where"] == "seconds"


def test_the_demo_reads_its_time_limit_before_it_empties_its_folder(
    tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    folder = tmp_path / "demo"
    folder.mkdir()
    (folder / ".gambrel-demo").write_text("made by the demo", "utf-8")
    (folder / "plan.pdf").write_text("old", "utf-8")
    (finding,) = refused(gambrel("demo", "--out", str(folder), "--seconds", "none", "--json"))
    assert finding["where"] == "seconds"
    assert (folder / "plan.pdf").read_text("utf-8") == "old"


def test_the_demo_refuses_a_folder_that_is_not_its_own_as_json(
    tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    (finding,) = refused(gambrel("demo", "--out", str(tmp_path), "--json"))
    assert finding["where"] == str(tmp_path)
    assert "--out" in finding["do"]
