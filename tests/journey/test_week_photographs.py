"""The rib-face photographs that a week file names: read, averaged, outdone by what was typed, or refused."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from click.testing import CliRunner

from gambrel.cli.main import main
from gambrel.files.demo_photographs import demo_index, demo_photographs
from gambrel.files.ribface_batch import Job
from gambrel.files.ribface_reading import FaceReading
from gambrel.files.week_photographs import (
    FaceOfSide,
    WeekFaces,
    names_photographs,
    read_week_photographs,
)
from gambrel.measures import CannotDo, Entry, Estimate, Finding, Findings
from gambrel.plan import read_week
from gambrel.plan.example import example_week
from gambrel.plan.week import Hanging

SAID = {
    "good.jpg": FaceReading("good.jpg", 0.1, ribeye_cm2=Estimate(80.0, 78.0, 82.0), fat_mm=Estimate(10.0, 9.0, 11.0),
                            marbling_pct=Estimate(5.0, 4.0, 6.0), marbling_score=Estimate(420.0, 380.0, 460.0)),
    "other.jpg": FaceReading("other.jpg", 0.2, ribeye_cm2=Estimate(84.0, 82.0, 86.0),
                             fat_mm=Estimate(12.0, 11.0, 13.0), marbling_pct=Estimate(6.0, 5.0, 7.0),
                             marbling_score=Estimate(440.0, 400.0, 480.0)),
    "no-fat.jpg": FaceReading("no-fat.jpg", 0.2, ribeye_cm2=Estimate(84.0, 82.0, 86.0),
                              marbling_pct=Estimate(6.0, 5.0, 7.0)),
    "dark.jpg": FaceReading("dark.jpg", 0.1, Finding("dark.jpg", "a picture too dark", "light", "Take it again."), "-"),
}  # fmt: skip
"""What each file says in the tests that are about the week, not about the reading."""


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The reader answers by the file's name; gives the paths that were asked for."""
    asked: list[Path] = []

    def read(jobs: list[Job], by_hand: object, *, processes: int) -> Any:
        for job in jobs:
            asked.append(job.photo)
            yield SAID[job.photo.name]

    monkeypatch.setattr("gambrel.files.week_photographs.read_here", read)
    return asked


def animal(**fields: object) -> dict[str, Any]:
    return {"animal": [{"id": "C1", **fields}]}


def filled(week: dict[str, Any]) -> tuple[dict[str, Any], WeekFaces]:
    fields, faces = read_week_photographs(week, Path("shop"))
    return fields["animal"][0], faces


def test_one_photograph_fills_what_was_not_typed(said: list[Path]) -> None:
    one, faces = filled(animal(photograph="p/good.jpg"))
    assert (one["fat"], one["ribeye"], one["marbling"]) == ("10.000mm", "80.000cm2", 420.0)
    assert said == [Path("shop/p/good.jpg")]
    assert [face.side for face in faces.faces] == ["C1"] and not faces.findings


def test_two_sides_are_averaged(said: list[Path]) -> None:
    one, faces = filled(animal(photograph_left="good.jpg", photograph_right="other.jpg"))
    assert (one["fat"], one["ribeye"], one["marbling"]) == ("11.000mm", "82.000cm2", 430.0)
    assert [(face.side, face.half) for face in faces.faces] == [("C1-left", "left"), ("C1-right", "right")]
    assert faces.marbling_pct() == {"C1": 5.5}


@pytest.mark.usefixtures("said")
def test_a_figure_that_one_side_lacks_comes_from_the_other() -> None:
    one, _ = filled(animal(photograph_left="good.jpg", photograph_right="no-fat.jpg"))
    assert (one["fat"], one["ribeye"], one["marbling"]) == ("10.000mm", "82.000cm2", 420.0)


@pytest.mark.usefixtures("said")
def test_a_typed_figure_wins_and_is_told_where_it_lies_outside() -> None:
    one, faces = filled(animal(photograph="good.jpg", fat="0.6in", ribeye="80.5cm2", marbling="Small 20"))
    assert (one["fat"], one["ribeye"], one["marbling"]) == ("0.6in", "80.5cm2", "Small 20")
    (finding,) = faces.findings
    assert (
        finding.where == "animal C1, fat"
        and finding.given == "0.6in"
        and "9.0 mm to 11.0 mm" in finding.wanted
    )


@pytest.mark.usefixtures("said")
@pytest.mark.parametrize("typed", ["much", 0.4, ["0.4in"], {"in": 0.4}])
def test_a_slip_in_a_typed_figure_is_left_for_the_weeks_own_reader(typed: object) -> None:
    one, faces = filled(animal(photograph="good.jpg", fat=typed))
    assert one["fat"] == typed and not faces.findings


@pytest.mark.usefixtures("said")
def test_a_refused_photograph_is_a_finding_with_what_stands_in() -> None:
    one, faces = filled(animal(photograph_left="dark.jpg", photograph_right="other.jpg"))
    assert one["fat"] == "12.000mm"
    (finding,) = faces.findings
    assert finding.where == "animal C1, photograph_left" and "too dark" in finding.given
    assert finding.do == "Take it again. The other side's reading stands in."
    alone, faces = filled(animal(photograph="dark.jpg"))
    assert not {"fat", "ribeye", "marbling"} & set(alone)
    assert faces.findings[0].do.endswith("What was typed or is usual stands in.")
    assert faces.faces[0].as_json()["refused"] is True and faces.marbling_pct() == {}


@pytest.mark.usefixtures("said")
@pytest.mark.parametrize("area", [3.0, 400.0])
def test_an_area_that_no_animal_has_is_not_filled_in(monkeypatch: pytest.MonkeyPatch, area: float) -> None:
    monkeypatch.setitem(SAID, "odd.jpg", FaceReading("odd.jpg", 0.1, ribeye_cm2=Estimate(area, area, area)))
    one, _ = filled(animal(photograph="odd.jpg"))
    assert "ribeye" not in one


@pytest.mark.parametrize("week", [{}, {"animal": 3}, {"animal": ["C1"]}, {"animal": [{"photograph": "good.jpg"}]},
                                  animal(photograph=3), animal(photograph="  ")])  # fmt: skip
def test_what_is_no_photograph_is_left_alone(week: dict[str, Any], said: list[Path]) -> None:
    fields, faces = read_week_photographs(week, Path("shop"))
    assert fields == week and faces == WeekFaces() and not said
    assert not names_photographs(week)


@pytest.mark.usefixtures("said")
def test_the_weeks_own_fields_stay_as_they_were() -> None:
    week = animal(photograph="good.jpg")
    told: list[tuple[int, int, str]] = []
    read_week_photographs(week, Path("shop"), progress=lambda *step: told.append(step))
    assert week == animal(photograph="good.jpg") and told == [(1, 1, "C1")]


def read_text(text: str) -> list[Hanging]:
    return list(read_week(Entry(tomllib.loads(text), "", Findings())).animals)


def test_the_plan_takes_the_names_as_text_and_opens_nothing() -> None:
    text = example_week(sides=2, days=5, seed=1, photographs="nowhere")
    assert 'photograph_left = "nowhere/B1-left.jpg"' in text and "ribeye =" not in text
    (bison,) = read_text(text)
    assert bison.animal.ribeye_cm2 is None and bison.animal.fat_mm is None
    both = text.replace("photograph_left", 'photograph = "a.jpg"\nphotograph_left')
    with pytest.raises(CannotDo, match="either photograph or one a side"):
        read_text(both)
    with pytest.raises(CannotDo, match="photograph_left"):
        read_text(text.replace('"nowhere/B1-left.jpg"', '["a.jpg"]'))


def test_photographs_leave_the_rest_of_the_example_as_it_was() -> None:
    plain = example_week(sides=3, days=5, seed=4).splitlines()
    named = example_week(sides=3, days=5, seed=4, photographs="p").splitlines()
    gone = {line.split(" =")[0] for line in plain if line not in named}
    come = {line.split(" =")[0] for line in named if line not in plain}
    assert gone == {"fat", "ribeye", "marbling"} and come == {"photograph_left", "photograph_right"}
    assert sum("photograph_right" in line for line in named) == 1  # of the second animal one side hangs


# From here on the photographs are really read.


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A week file of one bison, with its two shipped photographs beside it."""
    folder = tmp_path_factory.mktemp("shop")
    for name, data in demo_photographs():
        if name.startswith("B1-"):
            (folder / name).write_bytes(data)
    (folder / "week.toml").write_text(example_week(sides=2, days=5, seed=4, photographs="."), "utf-8")
    return folder


def week_json(*words: str) -> dict[str, Any]:
    result = CliRunner().invoke(main, ["week", *words, "--seconds", "5", "--json"])
    assert result.exit_code == 0, result.output
    value: dict[str, Any] = json.loads(result.stdout)
    return value


def test_readings_go_into_grade_forecast_and_kinds(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    value = week_json(str(shop / "week.toml"), "--out", str(out))
    left, right = value["faces"]
    assert [(face["animal"], face["side"], face["refused"]) for face in (left, right)] == [
        ("B1", "left", False), ("B1", "right", False)]  # fmt: skip
    truth = {one["half"]: one for one in demo_index()["photographs"] if one["animal"] == "B1"}
    for face in (left, right):
        assert face["ribeye_cm2"] == pytest.approx(truth[face["side"]]["ribeye_cm2"], rel=0.06)
        picture = cv2.imread(str(out / "faces" / f"B1-{face['side']}.jpg"))
        assert picture is not None and max(picture.shape) <= 2000
    kinds = (out / "tables" / "kinds.csv").read_text("utf-8")
    assert f"{(left['marbling_pct'] + right['marbling_pct']) / 2:.1f}" in kinds
    assert value["files"] == len([path for path in out.rglob("*") if path.is_file()])
    typed = tmp_path / "typed.toml"
    text = (
        (shop / "week.toml").read_text("utf-8").replace('photograph_left = "./B1-left.jpg"', 'fat = "40mm"')
    )
    typed.write_text(text.replace('photograph_right = "./B1-right.jpg"', 'ribeye = "50cm2"'), "utf-8")
    other = week_json(str(typed))
    assert other["faces"] == []
    assert other["grades"]["B1"] != value["grades"]["B1"]
    assert (
        other["sides"][0]["totals"]["trim_fat_kg"]["mean"]
        > value["sides"][0]["totals"]["trim_fat_kg"]["mean"]
    )


def test_the_week_goes_on_without_a_photograph_that_cannot_be_read(shop: Path, tmp_path: Path) -> None:
    shutil.copy(shop / "week.toml", tmp_path)
    cv2.imwrite(str(tmp_path / "B1-left.jpg"), np.full((600, 800, 3), 90, np.uint8))
    value = week_json(str(tmp_path / "week.toml"))
    assert [face["refused"] for face in value["faces"]] == [True, True]
    found = {finding["where"]: finding for finding in value["findings"]}
    assert "no such file" in found["animal B1, photograph_right"]["given"]
    assert "card" in " ".join(found["animal B1, photograph_left"].values())
    assert value["plan"]["profit_cents"]


@pytest.mark.parametrize(
    "name", ["", ".", "week.toml", "..", "a\x00b.jpg", "x" * 400, "/dev/null", "../../nothing.jpg"]
)
def test_whatever_a_photograph_is_called_the_week_is_never_broken(shop: Path, name: str) -> None:
    """Paths that no photograph can have: a finding each, and no picture."""
    fields, faces = read_week_photographs(animal(photograph=name), shop, pictures=shop / "faces")
    assert fields["animal"][0] == {"id": "C1", "photograph": name}
    assert len(faces.findings) == (1 if name else 0) and not faces.pictures


def test_a_line_a_side_for_people(shop: Path) -> None:
    result = CliRunner().invoke(main, ["week", str(shop / "week.toml"), "--seconds", "5"])
    lines = [line.strip() for line in result.stdout.splitlines() if line.strip().startswith("B1-")]
    assert lines[0].startswith("B1-left: ribeye ") and " cm2 (" in lines[0] and "estimate" in lines[0]
    assert lines[1].startswith("B1-right: ribeye ") and " %" in lines[1]


def test_slips_are_told_before_any_photograph_is_opened(shop: Path, tmp_path: Path, said: list[Path]) -> None:
    file = tmp_path / "week.toml"
    file.write_text((shop / "week.toml").read_text("utf-8").replace("hot =", "hott ="), "utf-8")
    result = CliRunner().invoke(main, ["week", str(file)])
    assert result.exit_code == 1 and "hott" in result.stderr and not said


def test_a_face_without_a_named_side_is_called_by_its_animal() -> None:
    face = FaceOfSide("[7]", "photograph", "a.jpg", SAID["good.jpg"])
    assert face.side == "[7]" and face.as_json()["photo"] == "a.jpg" and "seconds" not in face.as_json()
