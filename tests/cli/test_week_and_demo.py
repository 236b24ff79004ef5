"""`gambrel week` and `gambrel demo` for people: the page, the folder, the shop's own ways, and a terminal."""

from __future__ import annotations

import io
import json
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import Result

from gambrel.cli import demo
from gambrel.cli.week import walk_with_faces
from gambrel.cli.week_page import print_week
from gambrel.journey import Journey

OWN_WAY = """
[[way]]
piece = "flank-steak"
name = "thin strips"
out = { stir-fry-beef = 0.90, trim-85 = 0.095, loss = 0.005 }
"""


@pytest.fixture
def small_demo(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo's own shop with two sides over four days, so that a test does not wait for eighteen."""
    monkeypatch.setattr(demo, "SIDES", 2)
    monkeypatch.setattr(demo, "DAYS", 4)


@pytest.mark.usefixtures("small_demo")
def test_the_demo_says_what_it_made_and_how_to_go_on(tmp_path: Path, gambrel: Callable[..., Result]) -> None:
    folder = tmp_path / "a shop"
    answer = gambrel("demo", "--out", str(folder), "--seconds", "10")
    assert answer.exit_code == 0, answer.stderr
    assert answer.stderr == ""
    lines = answer.stdout.splitlines()
    assert "Cottonwood Bend: 2 sides, 4 days from Mon 9 Mar" in lines
    assert (
        f"Change {folder}/week.toml and do it again: gambrel week {folder}/week.toml --out {folder}" in lines
    )
    assert lines[-1] == f"Open it: gambrel serve --shop {folder}/shop"
    assert (
        len(re.findall(r"^  \w+ +\((owner|cutter|counter)\), password \S{12}$", answer.stdout, re.MULTILINE))
        == 3
    )
    count = re.search(r"^(\d+) files written to (.+): plan\.pdf,", answer.stdout, flags=re.MULTILINE)
    assert count is not None
    assert Path(count[2]) == folder.resolve()
    own = {folder / demo.MARKER, folder / "week.toml", *(folder / demo.PHOTOGRAPHS).iterdir(),
           *(folder / "shop").rglob("*")}  # fmt: skip
    assert {"secret", "shop.sqlite3"} <= {path.name for path in own}
    assert {path.name for path in folder.glob("faces/*")} == {"B1-left.jpg", "B1-right.jpg"}
    assert len([path for path in folder.rglob("*") if path.is_file() and path not in own]) == int(count[1])


@pytest.mark.usefixtures("small_demo")
def test_the_demo_again_starts_afresh_and_gives_the_same_figures(
    tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    beside = tmp_path / "mine.txt"
    beside.write_text("mine", "utf-8")
    folder = tmp_path / "demo"
    first = json.loads(gambrel("demo", "--out", str(folder), "--seconds", "10", "--json").stdout)
    (folder / "old.txt").write_text("from before", "utf-8")
    second = json.loads(gambrel("demo", "--out", str(folder), "--seconds", "10", "--json").stdout)
    assert not (folder / "old.txt").exists()
    assert beside.read_text("utf-8") == "mine"
    for value in (first, second):
        value["plan"].pop("seconds")
    passwords = [value["open_shop"].pop("sign_ins") for value in (first, second)]
    assert len({one["password"] for made in passwords for one in made}) == 6  # made anew each time
    assert first == second
    assert first["open_shop"] == {"folder": str(folder.resolve() / "shop")}
    assert first["folder"] == str(folder.resolve())
    assert first["files"] > 10


@pytest.mark.usefixtures("small_demo")
def test_the_demos_week_file_is_read_by_week(tmp_path: Path, gambrel: Callable[..., Result]) -> None:
    gambrel("demo", "--out", str(tmp_path / "demo"), "--seconds", "10")
    answer = gambrel("week", str(tmp_path / "demo" / "week.toml"), "--seconds", "10", "--json")
    assert answer.exit_code == 0, answer.stderr
    assert len(json.loads(answer.stdout)["sides"]) == 2


@pytest.mark.parametrize("name", ["breakdown", "plan", "week"])
def test_the_shops_own_ways_are_taken_and_their_slips_told(
    name: str, usual: dict[str, tuple[str, ...]], tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    ways = tmp_path / "ways.toml"
    ways.write_text(OWN_WAY, "utf-8")
    assert gambrel(*usual[name], "--ways", str(ways)).exit_code == 0
    ways.write_text(OWN_WAY.replace("0.095", "0.195"), "utf-8")
    answer = gambrel(*usual[name], "--ways", str(ways), "--json")
    assert answer.exit_code == 1
    (finding,) = json.loads(answer.stdout)["findings"]
    assert "add to 1.1000" in finding["given"]


def test_an_own_way_changes_what_the_side_gives(
    examples: dict[str, Path], tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    ways = tmp_path / "ways.toml"
    ways.write_text(OWN_WAY + '\n[style.boneless]\nflank-steak = "thin strips"\n', "utf-8")
    plain, own = (
        {piece["slug"]: piece["kg"]["mean"] for piece in json.loads(answer.stdout)["pieces"]}
        for answer in (
            gambrel("breakdown", str(examples["breakdown"]), "--json"),
            gambrel("breakdown", str(examples["breakdown"]), "--ways", str(ways), "--json"),
        )
    )
    assert "flank-steak" not in own
    gained = own["stir-fry-beef"] - plain.get("stir-fry-beef", 0.0)
    assert gained == pytest.approx(0.90 * plain["flank-steak"], rel=0.02)  # shares are drawn about the file's


@pytest.fixture(scope="module")
def journey(examples: dict[str, Path]) -> Journey:
    return walk_with_faces(examples["week"], seconds=5.0)[0]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_on_a_terminal_the_same_cells_stand_in_ruled_columns(
    journey: Journey, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    print_week(journey)
    plain = capsys.readouterr().out
    screen = Terminal()
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(sys, "stdout", screen)
    print_week(journey)
    monkeypatch.undo()
    shown = re.sub(r"\x1b\[[\d;]*m", "", screen.getvalue())
    assert "│" in shown and "│" not in plain
    for word in re.findall(r"\S+", plain):
        assert word in shown


@pytest.mark.parametrize("name", ["[red]7[/red]-left", "[/]", "[b", "]7[", ":cow:"])
def test_a_terminal_shows_names_in_brackets_as_they_are(
    name: str, journey: Journey, monkeypatch: pytest.MonkeyPatch
) -> None:
    side = replace(journey.sides[0], id=name)
    journey = replace(journey, sides=(side,), prices=None, bids={})
    screen = Terminal()
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setattr(sys, "stdout", screen)
    print_week(journey)
    monkeypatch.undo()
    assert name in re.sub(r"\x1b\[[\d;]*m", "", screen.getvalue())


def test_the_page_of_a_week_is_the_same_each_time(
    journey: Journey, capsys: pytest.CaptureFixture[str]
) -> None:
    pages = []
    for _ in range(2):
        print_week(journey)
        pages.append(capsys.readouterr().out)
    assert pages[0] == pages[1]


def test_progress_is_never_in_a_file_or_a_pipe(said: dict[str, Result]) -> None:
    assert "planning" not in said["week"].stdout + said["week"].stderr


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_files_of_a_week_are_counted(
    paper: str, examples: dict[str, Path], tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    out = tmp_path / paper
    answer = gambrel(
        "week", str(examples["week"]), "--seconds", "5", "--out", str(out), "--paper", paper, "--json"
    )
    value = json.loads(answer.stdout)
    assert value["files"] == len([path for path in out.rglob("*") if path.is_file()])
    assert value["folder"] == str(out.resolve())


def test_a_file_in_place_of_the_folder_is_a_finding(
    examples: dict[str, Path], tmp_path: Path, gambrel: Callable[..., Result]
) -> None:
    (tmp_path / "out").write_text("a letter", "utf-8")
    answer = gambrel(
        "week", str(examples["week"]), "--seconds", "5", "--out", str(tmp_path / "out"), "--json"
    )
    assert answer.exit_code == 1
    assert json.loads(answer.stdout)["findings"]
    assert (tmp_path / "out").read_text("utf-8") == "a letter"
