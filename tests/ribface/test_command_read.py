"""`gambrel ribface` from file to figures with the real reader, on small rendered faces from held-back seeds.

What is true of a face is what the renderer drew it from; the reader does not share its code.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from click.testing import CliRunner, Result
from faces.render import Rendered, render_face
from PIL import Image

from gambrel.cli.main import main

SEED = 50_000_234
SIZE = (1200, 900)
NUMBERS = ("ribeye_cm2", "fat_mm", "marbling_pct", "marbling_score", "lean_fat_pct")
TURNS: dict[int, Any] = {1: None, 3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90,
                         8: Image.Transpose.ROTATE_270}  # fmt: skip
"""Exif's way up: what is done to the upright picture to store it so. [CIPA DC-008, Orientation]"""


@pytest.fixture(scope="module")
def face() -> Rendered:
    return render_face(SEED, size=SIZE, difficulty="easy", kind="grain", want="good")


@pytest.fixture(scope="module")
def upright(face: Rendered) -> Image.Image:
    return Image.fromarray(np.ascontiguousarray(face.bgr[:, :, ::-1]))


def save(picture: Image.Image, path: Path, *, orientation: int = 1, **options: Any) -> Path:
    exif = Image.Exif()
    exif[0x0112] = orientation
    turn = TURNS[orientation]
    (picture if turn is None else picture.transpose(turn)).save(path, exif=exif.tobytes(), **options)
    return path


@pytest.fixture(scope="module")
def photo(upright: Image.Image, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return save(upright, tmp_path_factory.mktemp("faces") / "side-03-left.jpg", quality=95)


@pytest.fixture(scope="module")
def read(photo: Path) -> dict[str, Any]:
    return said(photo)


def run(*words: object) -> Result:
    answer = CliRunner().invoke(main, ["ribface", *map(str, words)])
    assert answer.exception is None or isinstance(answer.exception, SystemExit), answer.exception
    return answer


def said(*words: object) -> dict[str, Any]:
    answer = run(*words, "--json", "--jobs", 1)
    assert answer.exit_code == 0, answer.stderr
    value: dict[str, Any] = json.loads(answer.stdout)
    return value


def area_px(points: list[list[float]]) -> float:
    x, y = np.array(points).T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def overlap(one: list[list[float]], other: list[list[float]], size: tuple[int, int] = SIZE) -> float:
    """Intersection over union of two outlines, filled by Pillow rather than by the reader's own way."""
    from PIL import ImageDraw

    masks = []
    for points in (one, other):
        mask = Image.new("1", size)
        ImageDraw.Draw(mask).polygon([(float(x), float(y)) for x, y in points], fill=1)
        masks.append(np.asarray(mask))
    return float((masks[0] & masks[1]).sum() / (masks[0] | masks[1]).sum())


def test_figures_near_what_was_drawn(read: dict[str, Any], face: Rendered) -> None:
    truth = face.truth
    assert read["ribeye_cm2"] == pytest.approx(truth["eye_area_cm2"], rel=0.06)
    assert read["length_cm"] == pytest.approx(truth["eye_length_cm"], rel=0.06)
    assert read["width_cm"] == pytest.approx(truth["eye_width_cm"], rel=0.08)
    assert read["fat_mm"] == pytest.approx(truth["fat_thickness_mm"], abs=2.5)
    assert read["marbling_pct"] == pytest.approx(truth["marbling_percent"], abs=3)
    assert overlap(read["outline_px"], truth["eye_outline_px"]) > 0.93


def test_size_of_a_pixel_is_the_cameras(read: dict[str, Any], face: Rendered) -> None:
    assert 10 / read["mm_per_px"] == pytest.approx(face.truth["camera"]["px_per_cm_at_eye"], rel=0.04)


def test_types_of_the_contract(read: dict[str, Any], photo: Path) -> None:
    assert (read["photo"], read["refused"], read["reason"], read["official"]) == (
        str(photo),
        False,
        None,
        False,
    )
    for name in NUMBERS:
        if name == "lean_fat_pct" and not 6.1 <= read["marbling_pct"] <= 56.8:
            assert read[name] is None, "fat of the lean is given only where its published line was fitted"
            continue
        low, high = read[f"{name}_interval"]
        assert isinstance(read[name], int | float), name
        assert low <= read[name] <= high, name
        assert low >= 0, name
    for name in ("length_cm", "width_cm", "mm_per_px", "seconds"):
        assert isinstance(read[name], float) and read[name] > 0, name
    for name in ("lean_lab", "fat_lab"):
        assert len(read[name]) == 3
        assert 0 <= read[name][0] <= 100
    assert read["fat_lab"][0] > read["lean_lab"][0], "fat is lighter than lean"
    assert read["width_cm"] < read["length_cm"]
    assert 0 <= read["marbling_score"] <= 1000
    assert all(isinstance(warning, str) and warning for warning in read["warnings"])


def test_points_lie_in_the_picture(read: dict[str, Any]) -> None:
    assert len(read["outline_px"]) >= 20
    assert len(read["fat_line_px"]) == len(read["axis_px"]) == 2
    for name in ("outline_px", "fat_line_px", "axis_px"):
        for x, y in read[name]:
            assert -0.5 <= x <= SIZE[0] - 0.5
            assert -0.5 <= y <= SIZE[1] - 0.5


def test_the_figures_agree_with_the_points(read: dict[str, Any]) -> None:
    """Seen nearly square on: area and fat by the points and the size of a pixel, worked out here."""
    scale_mm = read["mm_per_px"]
    assert area_px(read["outline_px"]) * scale_mm**2 / 100 == pytest.approx(read["ribeye_cm2"], rel=0.03)
    fat = np.hypot(*np.subtract(*read["fat_line_px"])) * scale_mm
    assert fat == pytest.approx(read["fat_mm"], rel=0.08)
    length = np.hypot(*np.subtract(*read["axis_px"])) * scale_mm / 10
    assert length == pytest.approx(read["length_cm"], rel=0.04)


def test_the_same_photograph_gives_the_same_answer(read: dict[str, Any], photo: Path) -> None:
    again = said(photo)
    assert {**again, "seconds": 0} == {**read, "seconds": 0}


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_stored_turned_it_reads_the_same(
    orientation: int, upright: Image.Image, read: dict[str, Any], tmp_path: Path
) -> None:
    turned = said(save(upright, tmp_path / "turned.jpg", orientation=orientation, quality=95))
    assert turned["ribeye_cm2"] == pytest.approx(read["ribeye_cm2"], rel=0.005)
    assert turned["marbling_pct"] == pytest.approx(read["marbling_pct"], abs=0.3)
    assert area_px(turned["outline_px"]) == pytest.approx(area_px(read["outline_px"]), rel=0.005)
    # Where a stored point is seen upright, by hand: right-hand turns of the stored picture's own axes.
    wide, high = SIZE[0] - 1, SIZE[1] - 1
    back: dict[int, Callable[[float, float], tuple[float, float]]] = {
        3: lambda x, y: (wide - x, high - y),
        6: lambda x, y: (wide - y, x),
        8: lambda x, y: (y, high - x),
    }
    seen = [list(back[orientation](x, y)) for x, y in turned["outline_px"]]
    assert overlap(seen, read["outline_px"]) > 0.99


@pytest.mark.parametrize(("ending", "options", "rel"), [
    (".png", {"compress_level": 1}, 0.02), (".webp", {"quality": 90}, 0.02), (".heic", {"quality": 85}, 0.03),
    (".tif", {}, 0.02),
])  # fmt: skip
def test_another_kind_of_file(
    ending: str,
    options: dict[str, Any],
    rel: float,
    upright: Image.Image,
    read: dict[str, Any],
    tmp_path: Path,
) -> None:
    if ending == ".heic":
        pillow_heif = pytest.importorskip("pillow_heif", reason="HEIC needs pillow-heif")
        pillow_heif.register_heif_opener()
    path = tmp_path / f"face{ending}"
    upright.save(path, **options)
    other = said(path)
    assert other["ribeye_cm2"] == pytest.approx(read["ribeye_cm2"], rel=rel)
    assert other["marbling_pct"] == pytest.approx(read["marbling_pct"], abs=1.5)
    assert overlap(other["outline_px"], read["outline_px"]) > 0.97
    assert np.abs(np.subtract(other["lean_lab"], read["lean_lab"])).max() < 4


def test_without_scale_no_size_is_said(photo: Path, read: dict[str, Any]) -> None:
    bare = said(photo, "--no-scale")
    for name in ("ribeye_cm2", "fat_mm", "length_cm", "width_cm", "mm_per_px"):
        assert bare[name] is None, name
        assert bare.get(f"{name}_interval") is None, name
    assert bare["marbling_pct"] == pytest.approx(read["marbling_pct"], abs=2)
    assert overlap(bare["outline_px"], read["outline_px"]) > 0.95


def test_a_length_by_hand_stands_in_for_the_card(
    upright: Image.Image, face: Rendered, read: dict[str, Any], tmp_path: Path
) -> None:
    """The long side of the card is 105 mm: its two corners given by hand, the card itself painted over."""
    corners = np.array(face.truth["card_corners_px"])
    covered = np.asarray(upright).copy()
    cv2.fillPoly(covered, [np.round(corners).astype(np.int32)], (120, 120, 120))
    path = save(Image.fromarray(covered), tmp_path / "covered.jpg", quality=95)
    refused = run(path, "--json")
    assert refused.exit_code == 1
    assert json.loads(refused.stdout)["reason"].startswith("no scale card")
    sides = [(corners[n], corners[(n + 1) % 4]) for n in range(4)]
    one, other = max(sides, key=lambda side: float(np.hypot(*(side[1] - side[0]))))
    length = f"{one[0]:.1f},{one[1]:.1f},{other[0]:.1f},{other[1]:.1f},105mm"
    by_hand = said(path, "--length", length)
    assert by_hand["ribeye_cm2"] == pytest.approx(face.truth["eye_area_cm2"], rel=0.12), "no tilt is known"
    assert by_hand["fat_mm"] is None or by_hand["fat_mm"] == pytest.approx(read["fat_mm"], abs=3)


def test_an_outline_fed_back_gives_the_same_figures(
    photo: Path, read: dict[str, Any], tmp_path: Path
) -> None:
    path = tmp_path / "outline.json"
    path.write_text(json.dumps({"outline_px": read["outline_px"]}))
    again = said(photo, "--outline", path)
    for name in ("ribeye_cm2", "length_cm", "width_cm"):
        assert again[name] == pytest.approx(read[name], rel=0.002), name
    assert again["marbling_pct"] == pytest.approx(read["marbling_pct"], abs=0.3)
    assert again["lean_lab"] == pytest.approx(read["lean_lab"], abs=0.5)


def test_a_whole_answer_may_be_fed_back_as_the_outline(
    photo: Path, read: dict[str, Any], tmp_path: Path
) -> None:
    path = tmp_path / "reading.json"
    path.write_text(json.dumps(read))
    assert said(photo, "--outline", path)["ribeye_cm2"] == pytest.approx(read["ribeye_cm2"], rel=0.002)


def test_half_the_eye_drawn_by_hand_is_what_is_measured(
    photo: Path, face: Rendered, read: dict[str, Any], tmp_path: Path
) -> None:
    """Outlines are drawn in to 0.8 of their size about the middle: the area falls to 0.64."""
    outline = np.array(face.truth["eye_outline_px"])[::4]
    middle = outline.mean(axis=0)
    path = tmp_path / "smaller.json"
    path.write_text(json.dumps((middle + 0.8 * (outline - middle)).round(2).tolist()))
    smaller = said(photo, "--outline", path)
    assert smaller["ribeye_cm2"] == pytest.approx(0.64 * face.truth["eye_area_cm2"], rel=0.03)
    assert smaller["length_cm"] == pytest.approx(0.8 * face.truth["eye_length_cm"], rel=0.03)


def test_a_seed_in_the_eye_reads_that_eye(photo: Path, read: dict[str, Any], face: Rendered) -> None:
    x, y = np.array(face.truth["eye_outline_px"]).mean(axis=0)
    seeded = said(photo, "--seed", f"{x:.0f},{y:.0f}")
    assert overlap(seeded["outline_px"], read["outline_px"]) > 0.97


def test_a_seed_outside_any_eye_is_refused(photo: Path) -> None:
    answer = run(photo, "--json", "--seed", "3,3")
    assert answer.exit_code == 1
    assert json.loads(answer.stdout)["refused"] is True


def test_the_chine_named_at_either_end_moves_the_fat_line(photo: Path, read: dict[str, Any]) -> None:
    """Three quarters from the chine is nearer to the other end, whichever end the chine is said to be at."""
    wide, high = np.abs(np.subtract(*read["axis_px"]))
    sides, along = (("left", "right"), 0) if wide >= high else (("top", "bottom"), 1)
    one, other = (said(photo, "--chine", side) for side in sides)
    middle = np.mean(read["axis_px"], axis=0)[along]
    assert one["fat_line_px"][0][along] > middle
    assert other["fat_line_px"][0][along] < middle
    assert one["ribeye_cm2"] == pytest.approx(other["ribeye_cm2"])


def test_the_picture_shows_what_was_measured(
    photo: Path, read: dict[str, Any], upright: Image.Image, tmp_path: Path
) -> None:
    out = tmp_path / "drawn" / "read.png"
    assert run(photo, "--picture", out, "--jobs", 1).exit_code == 0
    with Image.open(out) as opened:
        assert (opened.format, opened.size) == ("PNG", SIZE)
        drawn = np.asarray(opened.convert("RGB")).astype(int)
    changed = np.abs(drawn - np.asarray(upright).astype(int)).max(axis=2) > 60
    on_line = [changed[round(y) - 1 : round(y) + 2, round(x) - 1 : round(x) + 2].any()
               for x, y in read["outline_px"]]  # fmt: skip
    assert np.mean(on_line) > 0.8
    assert changed.mean() < 0.25, "the face is still to be seen"


@pytest.fixture(scope="module")
def several(photo: Path) -> Result:
    bad = photo.with_name("notes.jpg")
    bad.write_bytes(b"%PDF-1.7 not a photograph")
    blank = photo.with_name("wall.png")
    Image.new("RGB", (600, 450), (140, 138, 130)).save(blank)
    return run(photo, bad, blank, photo, "--json", "--jobs", 2)


def test_several_in_the_order_given_and_the_bad_ones_said(
    several: Result, photo: Path, read: dict[str, Any]
) -> None:
    lines = [json.loads(line) for line in several.stdout.splitlines()]
    assert several.exit_code == 1
    assert [Path(line["photo"]).name for line in lines] == [photo.name, "notes.jpg", "wall.png", photo.name]
    assert [line["refused"] for line in lines] == [False, True, True, False]
    assert lines[0]["ribeye_cm2"] == lines[3]["ribeye_cm2"] == read["ribeye_cm2"]
    assert all(set(line) == set(read) for line in lines), "every line has every field"
    assert lines[1]["ribeye_cm2"] is None and lines[2]["outline_px"] is None
    assert "PDF" in lines[1]["reason"]
    assert lines[2]["reason"].startswith("no scale card")


def test_complaints_go_to_standard_error_alone(several: Result) -> None:
    assert several.stderr.count("error: ") == 2
    assert "Traceback" not in several.stderr
    for line in several.stdout.splitlines():
        json.loads(line)


def test_no_bar_where_there_is_no_terminal(several: Result, photo: Path) -> None:
    assert "reading" not in several.stderr
    assert "%" not in run(photo, photo, "--json", "--jobs", 1).stderr


def test_a_bar_on_a_terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    from gambrel.cli.ribface import _with_bar
    from gambrel.files.ribface_reading import FaceReading

    readings = [FaceReading("a.jpg", 0.1), FaceReading("b.jpg", 0.1)]
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert list(_with_bar(iter(readings), 2)) == readings
    shown = capsys.readouterr()
    assert "reading" in shown.err
    assert shown.out == ""
    assert list(_with_bar(iter(readings[:1]), 1)) == readings[:1]
    assert capsys.readouterr().err == "", "one photograph needs no bar"


def test_people_read_it_in_both_units(photo: Path, read: dict[str, Any]) -> None:
    shown = run(photo, "--jobs", 1).stdout
    assert f"ribeye {read['ribeye_cm2']:.1f} cm2 ({read['ribeye_cm2'] / 2.54**2:.1f} in2)" in shown
    assert f"fat {read['fat_mm']:.1f} mm ({read['fat_mm'] / 25.4:.2f} in)" in shown
    assert "only a licensed grader gives an official grade" in shown


def test_nothing_is_written_beside_the_photograph(photo: Path, tmp_path: Path) -> None:
    copy = tmp_path / "alone.jpg"
    copy.write_bytes(photo.read_bytes())
    before = copy.stat().st_mtime_ns
    said(copy)
    assert [path.name for path in tmp_path.iterdir()] == ["alone.jpg"]
    assert copy.stat().st_mtime_ns == before


def test_typed_wrong_is_two_and_not_done_is_one(photo: Path, tmp_path: Path) -> None:
    assert run(photo, "--sale").exit_code == 2
    assert run(tmp_path / "gone.jpg", "--json").exit_code == 1
    assert run(photo, "--chine", "north").exit_code == 1


@pytest.mark.parametrize(("want", "start"), [
    ("bad:no_card", "no scale card"), ("bad:blurred", "the picture is blurred"),
    ("bad:eye_cut_off", "the eye runs out"), ("bad:two_animals", "more than one rib face"),
])  # fmt: skip
def test_a_bad_photograph_is_refused_in_the_files_own_words(want: str, start: str, tmp_path: Path) -> None:
    """One face of each fault; a picture may be refused for another of its faults first, but is never read."""
    reasons = []
    for seed in range(50_001_000, 50_001_003):
        made = render_face(seed, size=(1000, 750), difficulty="easy", want=want)
        path = save(Image.fromarray(made.bgr[:, :, ::-1]), tmp_path / f"{seed}.jpg", quality=92)
        answer = run(path, "--json")
        assert answer.exit_code == 1, f"{seed} was read"
        reasons.append(json.loads(answer.stdout)["reason"])
    if want == "bad:no_card":
        assert all(reason.startswith(start) for reason in reasons), reasons
    assert all("; " in reason for reason in reasons)
