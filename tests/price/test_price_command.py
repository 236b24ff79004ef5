"""`gambrel price` as a person runs it."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from gambrel.cli.price import command


def test_the_sheet_as_a_butcher_reads_it(tables, run):
    done = run(tables)
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert lines[0].startswith(
        "COST  grain-finished cattle, hot 700.0 lb (317.5 kg), hung 665.0 lb (301.6 kg)"
    )
    assert any(line.split() == ["animal,", "on", "the", "rail", "$2,100.00"] for line in lines)
    assert any(line.startswith("  beef rib, ribeye steak") and "18.99" in line for line in lines)
    assert any("The margin is earned." in line for line in lines)
    assert any("to earn it with 90 chances in 100, pay at most" in line and "/lb" in line for line in lines)
    assert any("at 1.80/lb (3.97/kg) live the chance of losing money is" in line for line in lines)
    assert max(map(len, lines)) <= 132


def test_json_is_one_value(tables, run):
    done = run(tables, "--json")
    assert done.returncode == 0
    answer = json.loads(done.stdout)
    assert answer["margin"]["met"] is True
    assert answer["bid"]["offer"]["on"] == "live"
    assert 0 <= answer["bid"]["offer"]["chance_of_losing_share"] <= 1
    assert answer["findings"] == []


def test_ceilings_too_low_give_the_best_list_a_reason_and_exit_1(tables, run):
    for cut in tables["cut"][:4]:
        cut["ceiling"] = cut["price"]
    tables["margin"]["target"] = 0.50
    done = run(tables, "--json")
    assert done.returncode == 1
    answer = json.loads(done.stdout)
    assert answer["margin"]["met"] is False
    assert answer["margin"]["short_cents"] > 0
    assert "short" in answer["findings"][0]["wanted"]
    assert "error: price list" in done.stderr
    assert "short of the margin" in run(tables).stdout


def test_all_slips_at_once_and_no_traceback(tables, run):
    tables |= {"hot": "700", "bill": {"live": "1.35/lb"}}
    tables["cut"][0]["price"] = "cheap"
    done = run(tables, "--json")
    assert done.returncode == 1
    found = {finding["where"] for finding in json.loads(done.stdout)["findings"]}
    assert {"hot", "bill, live_weight", "cut 1 (ribeye-steak), price"} <= found
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("text", ["", "kind = ", "\x00\x01", "kind = 'grain-finished'"])
def test_files_that_are_no_case(run, text):
    done = run(text)
    assert done.returncode == 1
    assert done.stdout == ""
    assert "error:" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_missing_file_and_a_missing_argument(tmp_path):
    assert CliRunner().invoke(command, [str(tmp_path / "none.toml")]).exit_code == 1
    assert CliRunner().invoke(command, []).exit_code == 2


def test_help_loads_no_solver():
    heavy = ("numpy", "highspy", "gambrel.price.sheet")
    code = f"import sys, gambrel.cli.price; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_part_of_a_cutting_test_is_shown(tables, run):
    tables["cutting_test"] = [
        {
            "name": "lamb loin",
            "bought": "12lb",
            "price": "6.65/lb",
            "loss": "0.5lb",
            "portion": "5oz",
            "cooked": "5lb",
            "cooked_base": "as-purchased-cost",
            "new_price": "7.00/lb",
            "by_part": [
                {"name": "kidney", "weight": "1lb", "price": "6.10/lb"},
                {"name": "flank", "weight": "1.5lb", "price": "4.60/lb"},
                {"name": "fat", "weight": "3lb", "price": "0/lb"},
            ],
        }
    ]
    text = run(tables).stdout
    assert "usable 6.0 lb (2.7 kg), 50.0 %, for $66.80: 11.13/lb" in text
    assert "5.0 oz (142 g) costs $3.48" in text
    assert "15.96/lb (35.19/kg) on the as-purchased cost, factor 2.400" in text
