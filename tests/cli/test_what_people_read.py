"""Whole lines of what each command prints. Money and weights are worked out by hand from the example's figures.

Where a line's figure can only come from our own model the test's name says so: it then guards the wording.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from gambrel.measures.units import lb_from_kg

COMMANDS = ("breakdown", "grade", "grind", "hang", "plan", "price", "week")


@pytest.mark.parametrize("name", COMMANDS)
def test_pounds_and_kilograms_are_both_there(name: str, said: dict[str, Result]) -> None:
    text = said[name].stdout
    assert re.search(r"\blb\b", text)
    assert re.search(r"\bkg\b", text)


@pytest.mark.parametrize("name", COMMANDS)
def test_lines_end_without_blanks_and_hold_no_colour(name: str, said: dict[str, Result]) -> None:
    lines = said[name].stdout.splitlines()
    assert [line for line in lines if line != line.rstrip()] == []
    assert "\x1b" not in said[name].stdout


@pytest.mark.parametrize("name", ["breakdown", "grade", "grind", "price", "week"])
def test_nothing_is_complained_of_when_all_is_well(name: str, said: dict[str, Result]) -> None:
    assert said[name].exit_code == 0
    assert said[name].stderr == ""


@pytest.mark.parametrize(("name", "word"), [("hang", "look at"), ("plan", "note")])
def test_only_notes_stand_beside_a_good_answer(name: str, word: str, said: dict[str, Result]) -> None:
    heads = [line for line in said[name].stderr.splitlines() if not line.startswith(("  ", "hint: "))]
    assert said[name].exit_code == 0
    assert all(line.startswith(f"{word}: ") for line in heads)


def test_grade_in_whole_lines(said: dict[str, Result]) -> None:
    """2.50 + 2.50 x 0.40 + 0.20 x 1.9 + 0.0038 x 750 - 0.32 x 12.8 = 2.634 [7 CFR 54.105(a)]; kidney fat the
    kind's mean; 51.34 - 5.784 x 0.40 - 0.462 x 1.9 - 0.0093 x 750 + 0.740 x 12.8 = 50.6 [same standard]."""
    assert said["grade"].stdout.splitlines()[:9] == [
        "cattle, steer",
        "  hot carcass             750 lb      340.2 kg",
        "  fat over the eye       0.40 in       10.2 mm",
        "  ribeye                12.80 in2      82.6 cm2",
        "  kidney fat              1.9 %",
        "  marbling           Small 30 (430), about 5.0 % fat, give or take 2",
        "",
        "Yield grade              2.63   whole 2, by the published equation",
        "Closely trimmed cuts     50.6 % of the carcass, from the four big primals",
    ]


def test_price_bill_fees_and_work_in_whole_lines(said: dict[str, Result]) -> None:
    """1,290 lb at $1.95; $120 + $60 + $35 + 806 x $0.10; 75 min at $26 an hour and 20 at $24."""
    lines = said["price"].stdout.splitlines()
    assert lines[0] == (
        "COST  grain-finished cattle, hot 806.0 lb (365.6 kg), hung 770.0 lb (349.3 kg), dressed 62.5 % of live"
    )
    assert lines[1:4] == [
        "  animal, by live weight               $2,515.50",
        "  fees                                   $295.60",
        "  work on the whole carcass               $40.50",
    ]


def test_price_says_what_the_shrink_took(said: dict[str, Result]) -> None:
    """$2,811.10 over 806 lb is $3.49, over 770 lb $3.65; 36 of 806 lb is 4.5 %, and of the money $125.56."""
    assert (
        "  bill and fees: 3.49/lb (7.69/kg) hot, 3.65/lb (8.05/kg) hung; shrink of 4.5 % took $125.56"
        in said["price"].stdout.splitlines()
    )


def test_a_cutting_test_in_whole_lines(said: dict[str, Result]) -> None:
    """28 lb for $274.40 ($9.80/lb); 22 lb usable is 78.6 %; $264.08 / 22 lb is $12.00; 12.00 / 9.80 is 1.225."""
    lines = said["price"].stdout.splitlines()
    assert "CUTTING TEST  whole ribeye roll: bought 28.0 lb (12.7 kg) for $274.40" in lines
    assert "  usable 22.0 lb (10.0 kg), 78.6 %, for $264.08: 12.00/lb (26.46/kg), cost factor 1.225" in lines
    assert "  a portion of 12.0 oz (340 g) costs $9.00" in lines


def test_grind_batches_in_whole_lines(said: dict[str, Result]) -> None:
    """30 lb of chuck 80s at $3.10, sold at $7.99; 45 lb of bison 88s at $5.50."""
    lines = said["grind"].stdout.splitlines()
    assert lines[:4] == [
        "GROUND CHUCK 80                 30.0 lb    13.6 kg  lean 80.0 %, fat 20.0 %, "
        "lean given away 0.00 lb (0.00 kg)",
        "  chuck 80s                     30.0 lb    13.6 kg  80 % lean, 2 days old, lot side 07",
        "  label: GROUND CHUCK | 80% LEAN / 20% FAT",
        "  trim cost $93.00 ($3.10/lb); sells for $239.70",
    ]
    assert "  label: GROUND BISON | 88% LEAN / 12% FAT" in lines
    assert any(line.startswith("  trim cost $247.50 ($5.50/lb)") for line in lines)


def test_grind_gives_all_of_the_trim_back(said: dict[str, Result]) -> None:
    """62 + 40 + 55 + 45 = 202 lb on the table: in batches or left over."""
    page = said["grind"].stdout
    rows = dict(re.findall(r"^(\S.{27})\s*([\d.]+) lb", page, flags=re.MULTILINE))
    made = float(next(lb for name, lb in rows.items() if name.startswith("All batches")))
    left = float(next(lb for name, lb in rows.items() if name.startswith("plate 50s")))
    assert made + left == pytest.approx(202.0, abs=0.11)


def test_hang_first_day_rail_and_window_in_whole_lines(said: dict[str, Result]) -> None:
    """Killed 2 March, bison 5 to 10 days; four sides of 0.6 m on 2 m of rail are 0.4 m too many."""
    lines = said["hang"].stdout.splitlines()
    assert lines[0] == "bison, hot side 356.0 lb (161.5 kg), fat cover 8 mm"
    assert lines[1] == "cut from 2026-03-07, best 2026-03-09, not after 2026-03-12; on 2026-03-09 it is ready"
    assert "  0  2026-03-02   356.0   356.0-356.0    161.5    0.0%" in lines
    assert "rail: 2.0 m, 0.60 m a side" in lines
    assert "2026-03-05    4 sides    2.4 m  over by 0.4 m" in lines
    assert "Ranges hold the weight 9 times in 10. Learned from 2 weighings of this side." in lines


def test_hang_complains_in_four_lines(said: dict[str, Result]) -> None:
    assert said["hang"].stderr.splitlines()[:4] == [
        "look at: rail, 2026-03-05 to 2026-03-09",
        "  given:  4 sides, 2.4 m",
        "  wanted: at most 2.0 m",
        "hint: Cut or move out 1 side by 2026-03-05, or hang fewer.",
    ]


def test_breakdown_columns_agree_with_each_other(said: dict[str, Result], told: dict[str, Result]) -> None:
    """lb beside kg (1 lb = 0.45359237 kg), share of the hung weight, and the JSON's own figures."""
    value = json.loads(told["breakdown"].stdout)
    row = re.compile(r"^(.{44}) +([\d.]+) +([\d.]+) to ([\d.]+) +([\d.]+) +([\d.]+)%", flags=re.MULTILINE)
    rows = row.findall(said["breakdown"].stdout)
    assert len(rows) == len(value["pieces"]) + len(value["totals"])
    for _, lb, low, high, kg, share in rows:
        assert float(lb) == pytest.approx(lb_from_kg(float(kg)), abs=0.07)
        assert float(low) <= float(lb) <= float(high)
        assert float(share) == pytest.approx(100 * float(kg) / value["hung_kg"], abs=0.06)
    printed = [float(kg) for *_, kg, _ in rows[: len(value["pieces"])]]
    assert printed == [pytest.approx(piece["kg"]["mean"], abs=0.0051) for piece in value["pieces"]]


def test_breakdown_prints_what_adds_up_to_the_side(told: dict[str, Result]) -> None:
    value = json.loads(told["breakdown"].stdout)
    pieces = sum(piece["kg"]["mean"] for piece in value["pieces"])
    assert pieces + value["totals"]["loss_kg"]["mean"] == pytest.approx(value["hung_kg"], abs=1e-6)


def test_breakdown_warns_of_knives_and_promises_nothing(said: dict[str, Result]) -> None:
    page = said["breakdown"].stdout
    assert "not a promise" in page
    assert "never at the band saw" in page
    assert "inspector in charge" in page


def test_plan_names_its_money_once_each_with_a_sign(said: dict[str, Result]) -> None:
    """The parts of the profit add up to it, as printed."""
    page = said["plan"].stdout
    profit = re.search(r"^Profit (\S+); no plan can earn more than (\S+)$", page, flags=re.MULTILINE)
    assert profit is not None
    parts = re.search(
        r"^Counter (\S+), orders (\S+), shares (\S+), salvage (\S+), sides hanging on (\S+);\n"
        r"wages (\S+), overtime (\S+), hauling (\S+), freezing (\S+)\.$",
        page,
        flags=re.MULTILINE,
    )
    assert parts is not None
    assert sum(map(dollars, parts.groups())) == pytest.approx(dollars(profit[1]), abs=0.02)
    assert dollars(profit[1]) <= dollars(profit[2])


def dollars(text: str) -> float:
    assert re.fullmatch(r"-?\$[\d,]+\.\d\d", text), text
    return float(text.replace("$", "").replace(",", ""))


@pytest.mark.parametrize("name", ["plan", "week"])
def test_a_price_in_a_sentence_has_its_sign(name: str, said: dict[str, Result]) -> None:
    sentences = [line for line in said[name].stdout.splitlines() if " a kg in week " in line]
    assert sentences
    for line in sentences:
        assert re.search(r" at \$[\d,]+\.\d\d a kg in week \d+ is sold out", line), line


def test_the_week_shows_each_side_the_plan_and_the_bid(said: dict[str, Result]) -> None:
    page = said["week"].stdout
    assert re.search(r"^side +kind +weight today +yield est\. +quality est\. +ready from +target +latest +cut on$",
                     page, flags=re.MULTILINE)  # fmt: skip
    assert re.search(r"^C1-left +grain-finished cattle +171\.\d kg · 379\.\d lb ", page, flags=re.MULTILINE)
    assert re.search(r"^product +of +cost +today +new price$", page, flags=re.MULTILINE)
    assert re.search(r"^Bid for the next grain-finished cattle: at most \$\d\.\d\d/lb on the rail or \$\d\.\d\d/lb "
                     r"live, 80 % sure of the margin\.$", page, flags=re.MULTILINE)  # fmt: skip
    assert page.endswith("for the inspector in charge and local law to say.\n")


def test_the_weeks_columns_line_up(said: dict[str, Result]) -> None:
    lines = said["week"].stdout.splitlines()
    head = next(line for line in lines if line.startswith("side "))
    rows = [line for line in lines if line.startswith("C1-")]
    assert rows
    starts = [head.index(name) for name in ("kind", "weight today", "yield est.", "quality", "cut on")]
    for row in rows:
        assert all(row[start - 1] == " " and row[start] != " " for start in starts)


def test_a_bison_is_graded_as_a_guide_only(gambrel: Callable[..., Result]) -> None:
    answer = gambrel("grade", "--kind", "bison", "--sex", "bull", "--hot", "700lb", "--fat", "0.5in",
                     "--ribeye", "12.3in2")  # fmt: skip
    lines = answer.stdout.splitlines()
    assert "Quality grade        none, see the notes" in lines
    assert "  quality grade: bison. No USDA grade covers bison; sell it without one." in lines
    assert lines[-1] == "Estimates by the shop, none official: only a licensed grader gives a grade."
    assert sum("(a guide only)" in line for line in lines) == 2


@pytest.mark.parametrize("score", range(0, 1001, 25))
def test_the_fat_of_a_degree_is_a_range_only_where_its_ends_differ(
    score: int, gambrel: Callable[..., Result]
) -> None:
    """Two tables that agree give one figure: never "about 5.0 to 5.0 % fat"."""
    answer = gambrel("grade", "--kind", "wagyu", "--sex", "steer", "--hot", "340kg", "--fat", "12mm",
                     "--ribeye", "84cm2", "--marbling", str(score))  # fmt: skip
    line = next(line for line in answer.stdout.splitlines() if line.startswith("  marbling "))
    told = re.search(r", about ([\d.]+)(?: to ([\d.]+))? % fat, give or take 2$", line)
    if told is None:
        assert line.endswith(f"({score})")
    elif told[2] is not None:
        assert float(told[1]) < float(told[2])


def test_an_unknown_command_file_is_said_in_four_lines(
    gambrel: Callable[..., Result], tmp_path: Path
) -> None:
    path = str(tmp_path / "none.toml")
    assert gambrel("price", path).stderr.splitlines() == [
        f"error: {path}",
        "  given:  no such file",
        "  wanted: a file that can be read",
        "hint: Check the name and the folder.",
    ]
