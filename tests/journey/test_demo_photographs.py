"""The demo's photographs: shipped whole, named by its week, suited to their kinds, and made by the renderer here."""

from __future__ import annotations

import csv
import json
import sys
import zipfile
from pathlib import Path

import cv2
import numpy as np
import pytest
from click.testing import CliRunner

from gambrel.cli import demo
from gambrel.cli.main import main
from gambrel.files.demo_photographs import demo_index, demo_photographs
from gambrel.plan.example import example_week

ROOT = Path(__file__).resolve().parents[2]
TOOLS = ROOT / "tools" / "faces"


def test_every_side_of_the_demo_has_its_photograph_and_no_more() -> None:
    text = example_week(sides=demo.SIDES, days=demo.DAYS, seed=demo.SEED, photographs="p")
    names = {name for name, _ in demo_photographs()}
    assert len(names) == demo.SIDES
    assert all(f'"p/{name}"' in text for name in names) and text.count('"p/') == demo.SIDES


def test_they_are_small_whole_jpegs_with_nothing_said_about_a_camera() -> None:
    index = demo_index()
    total = 0
    for name, data in demo_photographs():
        total += len(data)
        assert data.startswith(b"\xff\xd8\xff") and b"Exif" not in data[:200], name
        picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
        assert picture is not None and list(picture.shape[1::-1]) == index["size"]
    assert total < 6_000_000


def test_both_sides_of_an_animal_are_alike_and_suit_the_kind() -> None:
    suits = {"bison": ((60, 85), (4, 14)), "grass": ((65, 85), (3, 14)), "grain": ((80, 105), (8, 20)),
             "wagyu": ((75, 105), (15, 28))}  # fmt: skip
    by_animal: dict[str, list[dict[str, float]]] = {}
    for one in demo_index()["photographs"]:
        area, fat = suits[one["kind"]]
        assert area[0] <= one["ribeye_cm2"] <= area[1] and fat[0] <= one["fat_mm"] <= fat[1], one
        assert one["seed"] >= 50_000_000  # held back: the network has not seen it
        by_animal.setdefault(one["animal"], []).append(one)
    for left, right in by_animal.values():
        assert left["ribeye_cm2"] == pytest.approx(right["ribeye_cm2"], rel=0.06)
        assert abs(left["fat_mm"] - right["fat_mm"]) <= 3


def test_one_of_them_rendered_anew_is_the_same_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    """Within what another processor's rounding makes of it: the mean pixel is off by less than half a step."""
    monkeypatch.syspath_prepend(str(TOOLS))
    import demo_faces

    one = demo_index()["photographs"][0]
    data, truth = demo_faces.photograph(one["kind"], one["seed"])
    shipped = dict(demo_photographs())[one["file"]]
    again, before = (
        cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_COLOR) for jpeg in (data, shipped)
    )
    assert np.abs(again.astype(int) - before.astype(int)).mean() < 0.5
    assert truth["eye_area_cm2"] == pytest.approx(one["ribeye_cm2"], abs=0.01)
    assert truth["fat_thickness_mm"] == pytest.approx(one["fat_mm"], abs=0.01)
    assert truth["marbling_percent"] == pytest.approx(one["marbling_pct"], abs=0.01)
    sys.modules.pop("demo_faces", None)


def test_the_whole_demo_reads_its_photographs_and_plans_by_them(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    result = CliRunner().invoke(main, ["demo", "--out", str(folder), "--seconds", "8", "--json"])
    assert result.exit_code == 0, result.output
    value = json.loads(result.stdout)
    truth = {one["file"]: one for one in demo_index()["photographs"]}
    assert len(value["faces"]) == demo.SIDES
    off = []
    for face in value["faces"]:
        assert not face["refused"], face["reason"]
        true = truth[Path(face["photo"]).name]
        off.append(abs(face["ribeye_cm2"] / true["ribeye_cm2"] - 1))
        if face["fat_mm"] is not None:
            assert face["fat_mm"] == pytest.approx(true["fat_mm"], abs=4)
    assert max(off) <= 0.06 and np.median(off) <= 0.03
    assert len(list((folder / "faces").glob("*.jpg"))) == demo.SIDES
    assert "ribeye =" not in (folder / "week.toml").read_text("utf-8")
    with (folder / "tables" / "kinds.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.DictReader(stream))
    (column,) = (name for name in rows[0] if "marbling" in name)
    shown = [float(row[column]) for row in rows]
    assert len(shown) == 4 and shown[3] == max(shown) > 10  # Wagyu comes last


def test_a_wheel_holds_them(tmp_path: Path) -> None:
    builder = pytest.importorskip("hatchling.builders.wheel", reason="hatchling builds the wheel")
    (wheel,) = builder.WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    names = set(zipfile.ZipFile(wheel).namelist())
    assert "gambrel/files/demo_faces/index.json" in names
    assert {f"gambrel/files/demo_faces/{name}" for name, _ in demo_photographs()} <= names
