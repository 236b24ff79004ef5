"""`gambrel grind` as people and programs call it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gambrel.cli.main import main

CASE = """
title = "Thursday"
species = "cattle"
inspected = "federal"
age_limit_days = 4

[[trim]]
id = "chuck 80s"
weight = "60lb"
lean = 80
from = "chuck"
age_days = 2
cost = "3.10/lb"
lot = "side 07"

[[trim]]
id = "round 90s"
weight = "40lb"
cut = "trim-90"
from = "round"
age_days = 1
cost = "3.90/lb"

[[trim]]
id = "old"
weight = "5lb"
lean = 85
age_days = 9

[[product]]
name = "ground beef"
lean = 85
min = "40lb"
price = "8.49/lb"

[[product]]
name = "ground bison"
lean = 88
price = "12.99/lb"
"""


def call(folder: Path, text: str | bytes, *options: str) -> Result:
    path = folder / "case.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return CliRunner().invoke(main, ["grind", str(path), *options])


def test_the_page_says_what_goes_in_the_grinder(tmp_path: Path) -> None:
    result = call(tmp_path, CASE)
    assert result.exit_code == 0, result.output
    # by hand: 40 lb of 90s with 40 lb of 80s are 80 lb at 85 %
    assert (
        "GROUND BEEF 85" in result.stdout and "80.0 lb    36.3 kg  lean 85.0 %, fat 15.0 %" in result.stdout
    )
    assert "85% LEAN / 15% FAT" in result.stdout
    assert "9 days old, over the limit of 4" in result.stdout
    assert "Not made: ground bison 88." in result.stdout
    assert "unplug and lock out" in result.stdout and "40 F (4.4 C)" in result.stdout
    assert "9 CFR 319.15(a)" in result.stdout


def test_json_is_one_value_in_metric_names(tmp_path: Path) -> None:
    result = call(tmp_path, CASE, "--json")
    assert result.exit_code == 0, result.output
    answer = json.loads(result.stdout)
    (batch,) = answer["batches"]
    assert batch["kg"] == pytest.approx(36.29, abs=0.01)  # 80 lb
    assert sum(line["kg"] for line in batch["lines"]) == pytest.approx(batch["kg"])
    assert batch["lean_pct"] == pytest.approx(85, abs=1e-4)
    assert batch["value_cents"] == pytest.approx(80 * 849, abs=1)
    assert batch["cost_cents"] == pytest.approx(40 * 390 + 40 * 310, abs=1)
    assert batch["lines"][0]["lot"] == "side 07"
    assert {left["trim"] for left in answer["leftover"]} == {"chuck 80s", "old"}
    assert [rule["cite"] for rule in batch["rules"] if "30" in rule["rule"]] == ["9 CFR 319.15(a)"]
    assert answer["official"] is False
    assert all(set(rule) == {"rule", "cite", "mark"} for rule in batch["rules"])


def test_an_order_that_cannot_be_met_is_refused_in_sentences(tmp_path: Path) -> None:
    result = call(tmp_path, CASE.replace('min = "40lb"', 'min = "400lb"'), "--json")
    assert result.exit_code == 1
    (finding,) = json.loads(result.stdout)["findings"]
    assert set(finding) == {"where", "given", "wanted", "do"}
    assert "Short by 320.0 lb" in finding["do"]
    assert "error: product ground beef 85" in result.stderr


@pytest.mark.parametrize(
    "text", ["", "not toml at all", "trim = 3", b"\xff\xfe\x00", "[[trim]]\n[[product]]\n"]
)
def test_a_file_that_is_no_case_is_refused_without_a_traceback(text: str | bytes, tmp_path: Path) -> None:
    result = call(tmp_path, text)
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit)
    assert result.stderr.startswith("error:")


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["grind", str(tmp_path / "none.toml")])
    assert result.exit_code == 1
    assert "no such file" in result.stderr


def test_a_file_saved_in_latin_1_or_with_a_mark_is_read(tmp_path: Path) -> None:
    accented = CASE.replace("Thursday", "Jeudi, après-midi")
    assert call(tmp_path, accented.encode("latin-1")).exit_code == 0
    assert call(tmp_path, b"\xef\xbb\xbf" + CASE.replace("\n", "\r\n").encode()).exit_code == 0


def test_a_missing_argument_is_a_typing_mistake() -> None:
    assert CliRunner().invoke(main, ["grind"]).exit_code == 2
