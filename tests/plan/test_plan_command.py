"""`gambrel plan` as a person and a program call it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gambrel.cli.plan import command


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, list(arguments))


@pytest.fixture(scope="module")
def week_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("week") / "week.toml"
    path.write_text(run("--example", "2", "--days", "7", "--seed", "3").stdout, "utf-8")
    return path


def test_the_example_is_planned_as_json(week_file: Path) -> None:
    result = run(str(week_file), "--json", "--gap", "0.02")
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    assert told["status"] in ("optimal", "within-gap")
    assert 0 <= told["gap"] <= 0.02
    assert told["profit"] <= told["bound"]
    assert {side["id"] for side in told["sides"]} == {"B1-left", "B1-right"}
    assert all(side["ways"]["side"] for side in told["sides"])
    assert told["products"] and told["days"]


def test_the_page_shows_the_calendar_the_money_and_what_binds(week_file: Path) -> None:
    result = run(str(week_file), "--gap", "0.02")
    assert result.exit_code == 0, result.output
    for words in ("Cottonwood Bend: 2 sides", "Profit $", "no plan can earn more than", "B1-left  bison",
                  "What is sold", "order 1", "Mon 09 Mar"):  # fmt: skip
        assert words in result.stdout, words
    assert max(len(line) for line in result.stdout.splitlines() if not line.startswith("Counted")) <= 140


def test_a_clash_is_told_on_the_error_side_and_exits_1(week_file: Path, tmp_path: Path) -> None:
    greedy = tmp_path / "greedy.toml"
    greedy.write_text(week_file.read_text("utf-8") + """
[[order]]
id = "99"
cut = "tenderloin-steak"
kind = "bison"
weight = "90lb"
by = 2026-03-13
price = "40.00/lb"
""", "utf-8")  # fmt: skip
    result = run(str(greedy), "--json")
    assert result.exit_code == 1
    told = json.loads(result.stdout)
    assert (told["status"], told["profit"], told["bound"], told["gap"]) == ("no-plan", None, None, None)
    assert "order 99" in {finding["where"] for finding in told["findings"]}
    assert "90lb" not in result.stderr
    assert "40.8 kg of tenderloin-steak" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        ((), 2), (("a.toml", "--example", "3"), 2), (("--example", "none"), 1), (("--example", "0"), 1),
        (("--example", "3", "--days", "-1"), 1), (("missing.toml",), 1), (("--frobnicate",), 2),
    ],
)  # fmt: skip
def test_how_it_exits(arguments: tuple[str, ...], status: int) -> None:
    result = run(*arguments)
    assert result.exit_code == status
    assert "Traceback" not in result.output


@pytest.mark.parametrize(
    "text", ["", "\x00\x01", "[shop\n", "shop = 3\n", "[[animal]]\nid = 1\n", "\ufeff[shop]\nstart = 3\n"]
)
def test_hostile_files_give_findings(text: str, tmp_path: Path) -> None:
    path = tmp_path / "week.toml"
    path.write_text(text, "utf-8")
    result = run(str(path), "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["findings"]


def test_a_latin_1_file_with_windows_line_ends_is_read(week_file: Path, tmp_path: Path) -> None:
    text = week_file.read_text("utf-8").replace("Cottonwood Bend", "Chaudière", 1).replace("\n", "\r\n")
    path = tmp_path / "latin.toml"
    path.write_bytes(text.replace("# A week at Chaudière", "# x").encode("latin-1"))
    assert run(str(path), "--gap", "0.05").exit_code == 0
