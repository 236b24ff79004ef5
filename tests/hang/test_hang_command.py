"""`gambrel hang` from the command line: text, JSON, exit status, and files that cannot be read."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gambrel.catalog.kinds import shipped_kinds
from gambrel.cli.main import main
from gambrel.hang.loss import LossModel

DOCS = Path(__file__).parents[2] / "docs" / "hang.md"
LOG = """time,air_f,carcass_f,deep_f,humidity
2026-03-02T10:00,41,98,103,92
2026-03-02T13:00,38,78,95,92
2026-03-02T16:00,38,62,86,90
2026-03-02T20:00,36,52,75,88
2026-03-03T00:00,35,45,66,87
2026-03-03T04:00,35,41,58,86
2026-03-03T08:00,35,39,52,85
2026-03-03T12:00,35,38,48,84
2026-03-03T16:00,35,38,44,82
"""
CASE = """
kind = "bison"
side_hot = "356lb"
fat = "0.3in"
killed = 2026-03-02
on = 2026-03-09
[[weighing]]
on = 2026-03-03
weight = "348lb"
[rail]
length = "2m"
[[side]]
id = "7 left"
hung = 2026-03-02
[cooler]
log = "cooler.csv"
killed_at = 2026-03-02T09:00:00
"""


def run(folder: Path, case: str, *options: str, log: str | bytes = LOG) -> Result:
    (folder / "case.toml").write_text(case, "utf-8")
    data = log if isinstance(log, bytes) else log.encode()
    (folder / "cooler.csv").write_bytes(data)
    return CliRunner().invoke(main, ["hang", str(folder / "case.toml"), *options])


def test_text_for_the_butcher(tmp_path):
    result = run(tmp_path, CASE)
    assert result.exit_code == 0 and result.stderr == ""
    assert (
        "cut from 2026-03-07, best 2026-03-09, not after 2026-03-12; on 2026-03-09 it is ready"
        in result.stdout
    )
    assert re.search(
        r"  7  2026-03-09 +3\d\d\.\d +3\d\d\.\d-3\d\d\.\d +15\d\.\d +\d\.\d%  target, today", result.stdout
    )
    assert "Learned from 1 weighing of this side." in result.stdout
    assert "carcass at 40 F after 21.0 h" in result.stdout


def test_json_for_programs(tmp_path):
    value = json.loads(run(tmp_path, CASE, "--json").stdout)
    assert value["window"] == {
        "earliest": "2026-03-07",
        "target": "2026-03-09",
        "latest": "2026-03-12",
        "state": "ready",
    }
    assert len(value["rail"]["days"]) == 11 and value["rail"]["metres_per_side"] == 0.6
    assert value["cooler"]["hours_to_40f"] == pytest.approx(21.0) and value["cooler"]["findings"] == []
    prior, learned = value["loss"]["prior"]["chill_share"], value["loss"]["learned"]["chill_share"]
    assert value["loss"]["weighings"] == 1
    assert learned["p95"] - learned["p05"] < prior["p95"] - prior["p05"]
    # 8 lb of 356 were gone on day 1; the belief moves there from the prior.
    assert abs(learned["mean"] - 8 / 356) < abs(prior["mean"] - 8 / 356) + 1e-12
    for day in value["days"]:
        assert day["kg"]["p05"] <= day["kg"]["mean"] <= day["kg"]["p95"]
        assert day["kg"]["mean"] == pytest.approx(value["side_hot_kg"] * (1 - day["lost_share"]["mean"]))


def test_log_findings_are_an_answer_not_a_refusal(tmp_path):
    result = run(tmp_path, CASE, log=LOG + "2026-03-03T20:00,48,38,43,82\n")
    assert result.exit_code == 0 and "1 thing to look at" in result.stdout
    assert "look at: cooler log, air, 2026-03-03 20:00:00" in result.stderr


def test_a_case_without_dates(tmp_path):
    result = run(tmp_path, 'kind = "grain-finished"\nhot = "750lb"\n')
    assert result.exit_code == 0
    assert "cut from day 10, best day 14, not after day 21" in result.stdout
    assert len(re.findall(r"^ *\d+ +\d+\.\d ", result.stdout, re.M)) == 29


@pytest.mark.parametrize(
    ("log", "says"),
    [
        ("", "an empty file"),
        ("air\n36F\n", "a column time"),
        (LOG + "2026-03-03T20:00,cold,38,43,82\n", "cooler.csv row 11"),
        (LOG + "yesterday,36,38,43,82\n", "a day and time such as"),
    ],
)
def test_logs_that_cannot_be_read(tmp_path, log, says):
    result = run(tmp_path, CASE, log=log)
    assert result.exit_code == 1 and says in result.stderr and "Traceback" not in result.output


@pytest.mark.parametrize("encoding", ["utf-8-sig", "latin-1", "utf-16"])
def test_logs_from_many_hands(tmp_path, encoding):
    log = LOG.replace("humidity", "humidity,Anmerkung für später").replace("\n", "\r\n").encode(encoding)
    assert run(tmp_path, CASE, log=log).exit_code == 0


@pytest.mark.parametrize(
    "case",
    ["", "kind = ", "kind = 'bison'\n", CASE.replace("cooler.csv", "missing.csv"),
     CASE.replace('"356lb"', "356"),
     CASE.replace("348lb", "348kg"), CASE.replace("2026-03-09", "2026-07-09")],
)  # fmt: skip
def test_what_cannot_be_done_exits_1_with_findings(tmp_path, case):
    result = run(tmp_path, case, "--json")
    assert result.exit_code == 1 and "Traceback" not in result.output
    for finding in json.loads(result.stdout)["findings"]:
        assert set(finding) == {"where", "given", "wanted", "do"}


def test_no_case_at_all():
    assert CliRunner().invoke(main, ["hang"]).exit_code == 2
    assert CliRunner().invoke(main, ["hang", "nowhere.toml"]).exit_code == 1


def test_the_guide_shows_what_comes_out(tmp_path):
    """The files of docs/hang.md give the text that the page shows."""
    guide = DOCS.read_text("utf-8")
    blocks = dict(re.findall(r"```(toml|csv|text)\n(.*?)```", guide, re.S))
    result = run(tmp_path, blocks["toml"], log=blocks["csv"])
    assert result.exit_code == 0
    assert result.stdout == blocks["text"]


def test_the_guides_table_of_kinds_is_what_the_figures_give():
    """Printed from our own figures: kept so that the page does not fall behind the data."""
    guide = DOCS.read_text("utf-8")
    for slug, kind in shipped_kinds().items():
        model = LossModel.prior(kind, fat_mm=None)
        cells = [f"{100 * (1 - model.remaining_mean(day)):.1f} ± {100 * model.remaining_sd(day):.1f}"
                 for day in (1, 7, 14, 21, 28)]  # fmt: skip
        assert f"| {slug} | {' | '.join(cells)} | {model.last_day:g} d |" in guide
