"""The weeks of many shops planned by themselves: here, and over a local cluster, with the same answers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from gambrel.catalog.ways import shipped_tree
from gambrel.cli.plan import command
from gambrel.files.plan_batch import plan_shops
from gambrel.plan import example_week


@pytest.fixture
def shops(tmp_path: Path) -> list[Path]:
    """Two shops, and a third whose file has a slip."""
    texts = {
        "north": example_week(sides=1, days=5, seed=1),
        "south": example_week(sides=1, days=5, seed=2),
        "slip": example_week(sides=1, days=5).replace("days = 5", 'days = "soon"'),
    }
    for name, text in texts.items():
        (tmp_path / f"{name}.toml").write_text(text, "utf-8")
    return [tmp_path / f"{name}.toml" for name in texts]


def run(*arguments: object) -> Result:
    return CliRunner().invoke(command, [str(one) for one in arguments])


def lines_of(answer: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in answer.stdout.splitlines()]


def test_each_shop_is_answered_in_its_turn(shops: list[Path]) -> None:
    answer = run(*shops, "--json", "--gap", "0.03")
    told = lines_of(answer)
    assert [one["file"] for one in told] == [str(path) for path in shops]
    assert [one["status"] == "no-plan" for one in told] == [False, False, True]
    assert told[2]["findings"][0]["where"].endswith("days")
    assert answer.exit_code == 1, "one of them has no plan"
    assert told[0]["profit"] != told[1]["profit"]
    alone = json.loads(run(shops[0], "--json", "--gap", "0.03").stdout)
    assert alone["profit_cents"] == told[0]["profit_cents"]


def test_people_read_a_line_a_shop(shops: list[Path]) -> None:
    answer = run(*shops, "--gap", "0.03")
    north, south = answer.stdout.splitlines()
    assert north.startswith(f"{shops[0]}: Cottonwood Bend, 1 sides, profit $")
    assert south.startswith(f"{shops[1]}: ")
    assert f"{shops[2]}: no plan: " in answer.stderr


@pytest.mark.parametrize("question", [["--relax"], ["--tried"], ["--safety", "0.9"], ["--extra", "wagyu"]])
def test_questions_are_for_one_shop(question: list[str], shops: list[Path]) -> None:
    answer = run(*shops[:2], *question)
    assert answer.exit_code == 2 and "one WEEK_FILE" in answer.stderr


@pytest.mark.filterwarnings("ignore")
def test_a_local_cluster_finds_what_one_machine_finds(shops: list[Path]) -> None:
    distributed = pytest.importorskip("dask.distributed", reason="Dask is an optional extra (gambrel[plant])")
    here = [
        shop.plan for shop in plan_shops(shops, tree=shipped_tree(), gap=0.03, seconds=60.0, address=None)
    ]
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        answer = run(*shops, "--json", "--gap", "0.03", "--scheduler", cluster.scheduler_address)
    told = lines_of(answer)
    assert [one["file"] for one in told] == [str(path) for path in shops]
    assert told[2]["status"] == "no-plan" and answer.exit_code == 1
    for plan, one in zip(here[:2], told[:2], strict=True):
        assert plan is not None
        assert one["profit_cents"] <= plan.bound_cents and plan.profit_cents <= one["bound_cents"]
        assert one["gap"] <= 0.03


def test_one_shop_may_be_sent_to_the_plant_too_and_nobody_there_is_said(shops: list[Path]) -> None:
    pytest.importorskip("dask.distributed", reason="Dask is an optional extra (gambrel[plant])")
    answer = run(shops[0], "--json", "--scheduler", "tcp://nowhere")
    (finding,) = json.loads(answer.stdout)["findings"]
    assert finding["where"] == "--scheduler" and finding["given"].startswith("tcp://nowhere")
    assert answer.exit_code == 1
