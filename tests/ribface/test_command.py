"""`gambrel ribface`: what it takes, what it answers, what it refuses. The reader itself is tried elsewhere.

Where a reading is needed, a stand-in for the reader answers with known figures, so that what is tested is how they are
carried: to stored pixels, to JSON, to the picture, to the exit status.
"""

from __future__ import annotations

import gc
import io
import json
import sys
import types
from pathlib import Path
from typing import Any

import mangled
import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from gambrel.cli.main import main
from gambrel.cli.ribface import picture_files
from gambrel.files.photograph import read_photograph_file
from gambrel.files.ribface_batch import Job, cores, read_here
from gambrel.files.ribface_reading import ByHand, FaceReading
from gambrel.ribface.reading import Reading
from gambrel.ribface.refuse import Reason, Refusal

CONTRACT = (
    "photo", "refused", "reason", "ribeye_cm2", "ribeye_cm2_interval", "fat_mm", "fat_mm_interval", "marbling_pct",
    "marbling_pct_interval", "length_cm", "width_cm", "lean_lab", "fat_lab", "marbling_score", "outline_px",
    "fat_line_px", "mm_per_px", "seconds", "warnings",
)  # fmt: skip


class StandIn:
    """Answers what it is told to, and remembers how it was called."""

    def __init__(self) -> None:
        self.calls: list[dict[str, Any]] = []
        self.refuse: Refusal | None = None

    def read_ribface(self, bgr: np.ndarray, **given: Any) -> Reading | Refusal:
        self.calls.append({"shape": bgr.shape, **given})
        if self.refuse is not None:
            return self.refuse
        scale = given["scale"]
        return Reading(
            ribeye_cm2=82.6 if scale else None, ribeye_cm2_interval=(80.9, 84.3) if scale else None,
            fat_mm=12.1 if scale else None, fat_mm_interval=(10.9, 13.4) if scale else None,
            marbling_pct=5.2, marbling_pct_interval=(4.4, 6.1), length_cm=14.2 if scale else None,
            width_cm=7.3 if scale else None, lean_lab=(39.0, 22.0, 10.5), fat_lab=(77.0, 4.0, 14.0),
            marbling_score=431.4, marbling_score_interval=(380.0, 490.0), lean_fat_pct=5.9,
            lean_fat_pct_interval=(4.1, 7.7), outline_px=np.array([[10.0, 20], [100, 20], [100, 90], [10, 90]]),
            axis_px=np.array([[10.0, 55], [100, 55]]),
            fat_line_px=np.array([[50.0, 5], [50, 20]]) if scale else None,
            mm_per_px=0.08 if scale else None, card_corners_px=None, outline_by="stand-in",
            warnings=("said by the reader",),
        )  # fmt: skip


@pytest.fixture
def reader(monkeypatch: pytest.MonkeyPatch) -> StandIn:
    stand_in = StandIn()
    module = types.ModuleType("gambrel.ribface.read")
    module.read_ribface = stand_in.read_ribface  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "gambrel.ribface.read", module)
    return stand_in


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """320 x 240 stored, to be turned a quarter: upright it is 240 x 320."""
    exif = Image.Exif()
    exif[0x0112] = 6
    path = tmp_path / "side-07-left.jpg"
    path.write_bytes(mangled.encoded("JPEG", exif=exif.tobytes()))
    return path


def run(*words: object) -> Result:
    answer = CliRunner().invoke(main, ["ribface", *map(str, words)])
    assert answer.exception is None or isinstance(answer.exception, SystemExit), answer.exception
    return answer


def findings(answer: Result) -> list[dict[str, str]]:
    assert answer.exit_code == 1
    return json.loads(answer.stdout)["findings"]


def test_every_field_of_the_contract_in_stored_pixels(reader: StandIn, photo: Path) -> None:
    answer = run(photo, "--json", "--jobs", 1)
    assert answer.exit_code == 0, answer.stderr
    said = json.loads(answer.stdout)
    assert set(CONTRACT) <= set(said)
    assert said["photo"] == str(photo)
    assert (said["refused"], said["reason"], said["official"]) == (False, None, False)
    assert (said["ribeye_cm2"], said["ribeye_cm2_interval"]) == (82.6, [80.9, 84.3])
    assert (said["fat_mm"], said["marbling_pct_interval"]) == (12.1, [4.4, 6.1])
    assert (said["marbling_score"], said["marbling_score_interval"]) == (431, [380, 490])
    # A quarter turn to the right: stored x is upright y, stored y is the upright width less 1 less x.
    assert said["outline_px"] == [[20, 229], [20, 139], [90, 139], [90, 229]]
    assert said["fat_line_px"] == [[5, 189], [20, 189]]
    assert said["warnings"] == ["said by the reader"]
    assert said["seconds"] > 0
    assert reader.calls[0]["shape"] == (320, 240, 3)


def test_what_is_given_by_hand_reaches_the_reader_upright(
    reader: StandIn, photo: Path, tmp_path: Path
) -> None:
    outline = tmp_path / "outline.json"
    stored = [[60, 60], [120, 50], [180, 60], [190, 120], [120, 160], [60, 120]]
    outline.write_text(json.dumps({"outline_px": [*stored, stored[0]]}))
    answer = run(photo, "--json", "--chine", "left", "--length", "20,30,20,130,120mm", "--outline", outline)
    assert answer.exit_code == 0, answer.stderr
    call = reader.calls[0]
    assert call["chine"] == "left"
    assert call["outline"].tolist() == [[239 - y, x] for x, y in stored]
    ends = call["plane"].to_mm(np.array([[239 - 30.0, 20.0], [239 - 130.0, 20.0]]))
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(120)
    run(photo, "--json", "--seed", "100,50")
    assert reader.calls[1]["seed"] == (189.0, 100.0)


def test_without_scale_the_sizes_are_null(reader: StandIn, photo: Path) -> None:
    said = json.loads(run(photo, "--json", "--no-scale").stdout)
    assert reader.calls[0]["scale"] is False
    for name in (
        "ribeye_cm2",
        "ribeye_cm2_interval",
        "fat_mm",
        "fat_mm_interval",
        "length_cm",
        "fat_line_px",
        "mm_per_px",
    ):
        assert said[name] is None, name
    assert said["marbling_pct"] == 5.2


def test_a_refusal_has_its_reason_and_nothing_else(reader: StandIn, photo: Path) -> None:
    reader.refuse = Refusal(Reason.NO_CARD, "none of the card's 4 markers seen")
    answer = run(photo, "--json")
    assert answer.exit_code == 1
    said = json.loads(answer.stdout)
    assert said["refused"] is True
    assert "no scale card" in said["reason"]
    empty = set(CONTRACT) - {"photo", "refused", "reason", "seconds", "warnings"}
    assert all(said[name] is None for name in empty)
    assert "none of the card's 4 markers seen" in answer.stderr


def test_one_bad_file_does_not_stop_the_rest(reader: StandIn, photo: Path, tmp_path: Path) -> None:
    bad = tmp_path / "notes.jpg"
    bad.write_bytes(b"not a photograph")
    answer = run(photo, bad, tmp_path / "gone.jpg", photo, "--json", "--jobs", 1)
    assert answer.exit_code == 1
    lines = [json.loads(line) for line in answer.stdout.splitlines()]
    assert [line["refused"] for line in lines] == [False, True, True, False]
    assert lines[1]["reason"].startswith("no picture that is known; wanted JPEG")
    assert "no such file" in lines[2]["reason"]
    assert answer.stderr.count("error: ") == 2


def test_people_read_both_units(reader: StandIn, photo: Path) -> None:
    answer = run(photo)
    for words in ("82.6 cm2 (12.8 in2)", "12.1 mm (0.48 in)", "5.2 %", "score about 431", "look at: said by the reader",
                  "only a licensed grader"):  # fmt: skip
        assert words in answer.stdout


def test_the_picture_is_upright_and_drawn_on(reader: StandIn, photo: Path, tmp_path: Path) -> None:
    out = tmp_path / "drawn" / "face.png"
    assert run(photo, "--picture", out).exit_code == 0
    drawn = np.asarray(Image.open(io.BytesIO(out.read_bytes())).convert("RGB")).astype(int)
    plain = read_photograph_file(photo).bgr[:, :, ::-1]
    assert drawn.shape == plain.shape == (320, 240, 3)
    changed = np.abs(drawn - plain).max(axis=2) > 60
    assert changed[60:85, 10].mean() > 0.9, "the outline's left side"
    assert not changed[200:310, 120:230].any()


def test_a_picture_that_cannot_be_written_is_a_warning(reader: StandIn, photo: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file where a folder is wanted")
    answer = run(photo, "--json", "--picture", tmp_path / "taken" / "face.png")
    said = json.loads(answer.stdout)
    assert answer.exit_code == 0
    assert said["ribeye_cm2"] == 82.6
    assert "taken" in said["warnings"][-1]


def test_where_pictures_go() -> None:
    one, two = Path("a/face.jpg"), Path("b/face.jpg")
    assert picture_files([one], Path("out.png")) == [Path("out.png")]
    assert picture_files([one, two], Path("out.png")) == [Path("out-1.png"), Path("out-2.png")]
    assert picture_files([one, two], Path("drawn")) == [Path("drawn/face-1.png"), Path("drawn/face-2.png")]
    assert picture_files([one, Path("a/other.jpg")], Path("drawn"))[0] == Path("drawn/face.png")
    assert picture_files([one], None) == [None]


def test_no_two_pictures_have_one_name() -> None:
    photos = [Path(name) for name in ("a/face.jpg", "b/face.jpg", "face-1.jpg", "face-2.jpg", "c/face.png")]
    for picture in (Path("drawn"), Path("out.png")):
        assert len(set(picture_files(photos, picture))) == len(photos)


def test_a_picture_is_never_drawn_over_a_photograph(reader: StandIn, photo: Path, tmp_path: Path) -> None:
    """Named outright, by another way to it, and by a folder in which the photograph lies as PNG."""
    as_png = tmp_path / "face.png"
    as_png.write_bytes(photo.read_bytes())
    link = tmp_path / "link.jpg"
    link.symlink_to(photo)
    numbered = tmp_path / "out-2.jpg"
    numbered.write_bytes(photo.read_bytes())
    for words in ((photo, photo), (photo, link), (as_png, tmp_path), (photo, numbered, tmp_path / "out.jpg")):
        before = photo.read_bytes()
        (finding,) = findings(run(*words[:-1], "--json", "--picture", words[-1]))
        assert finding["where"] == "--picture"
        assert "is a photograph to be read" in finding["given"]
        assert photo.read_bytes() == as_png.read_bytes() == before
    assert reader.calls == []


@pytest.mark.parametrize("name", ["face.gif", "drawn.tif", "face.png.txt", "out.PDF"])
def test_a_picture_of_another_kind_is_refused_before_anything_is_read(
    name: str, reader: StandIn, photo: Path, tmp_path: Path
) -> None:
    (finding,) = findings(run(photo, "--json", "--picture", tmp_path / name))
    assert finding["given"] == str(tmp_path / name)
    assert ".png or .jpg" in finding["wanted"]
    assert not (tmp_path / name).exists()
    assert reader.calls == []


def test_all_that_is_typed_wrong_is_said_at_once(photo: Path) -> None:
    answer = run(
        photo, "--json", "--chine", "north", "--length", "1,2,3,4,120", "--seed", "here", "--jobs", "none"
    )
    assert [finding["where"] for finding in findings(answer)] == ["--chine", "--length", "--seed", "--jobs"]
    assert "Say the unit" in findings(answer)[1]["do"]


@pytest.mark.parametrize(
    ("length", "wanted"),
    [("1,2,3,120mm", "two points"), ("a,b,c,d,120mm", "two points"), ("1,2,nan,4,120mm", "two points"),
     ("1,2,300,4,1mm", "from 5 mm"), ("1,2,1,2,120mm", "well apart"), ("1,2,3,4,5lb", "a length in")],
)  # fmt: skip
def test_lengths_that_are_none(length: str, wanted: str, photo: Path) -> None:
    assert wanted in findings(run(photo, "--json", "--length", length))[0]["wanted"]


BOW_TIE = [[10, 10], [90, 90], [100, 95], [90, 10], [50, 60], [10, 90]]


@pytest.mark.parametrize(
    ("text", "given"),
    [
        ("{", "not JSON"), ("[" * 100_000, "not JSON"), ("[]", "no points"), ("7", "no points"),
        ('{"outline": []}', "no points"), ("[[1, 2], [3]]", "1 of 2 points"), ("[[1, NaN], [3, 4]]", "1 of 2 points"),
        ("[[1, true], [1e999, 4]]", "2 of 2 points"), ("[[1, 2], [3, 4], [5, 9]]", "3 points"),
        (json.dumps([[n, n * n % 97] for n in range(5000)]), "5000 points"), (json.dumps(BOW_TIE), "crosses itself"),
    ],
)  # fmt: skip
def test_outlines_that_are_none(text: str, given: str, photo: Path, tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    path.write_text(text)
    (finding,) = findings(run(photo, "--json", "--outline", path))
    assert given in finding["given"]
    assert finding["where"] == str(path)


def test_an_outline_outside_the_picture_is_refused(reader: StandIn, photo: Path, tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    path.write_text(json.dumps([[60, 60], [120, 50], [180, 60], [400, 120], [120, 160], [60, 120]]))
    answer = run(photo, "--json", "--outline", path)
    assert answer.exit_code == 1
    assert "outside the picture" in json.loads(answer.stdout)["reason"]
    assert reader.calls == []


def test_an_outline_belongs_to_one_photograph(photo: Path, tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    path.write_text(json.dumps([[60, 60], [120, 50], [180, 60], [190, 120], [120, 160], [60, 120]]))
    assert findings(run(photo, photo, "--json", "--outline", path))[0]["wanted"] == "one photograph"
    assert (
        findings(run(photo, "--json", "--no-scale", "--length", "1,2,300,4,9cm"))[0]["wanted"]
        == "one of the two"
    )
    assert run("--json").exit_code == 2


def test_side_by_side_in_the_order_given(tmp_path: Path) -> None:
    """In processes of their own, on files that are refused before a rib face is looked for."""
    jobs = []
    for number in range(6):
        path = tmp_path / f"{number}.jpg"
        path.write_bytes(b"" if number % 2 else b"%PDF-1.7")
        jobs.append(Job(path))
    answers: list[FaceReading] = list(read_here(jobs, ByHand(), processes=2))
    assert [answer.photo for answer in answers] == [str(job.photo) for job in jobs]
    words = ["PDF file", "an empty file"] * 3
    assert [answer.refused.given for answer in answers if answer.refused] == words
    assert cores() >= 1


def test_a_plant_without_dask_is_told_so(photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "dask", None)
    monkeypatch.setitem(sys.modules, "dask.distributed", None)
    (finding,) = findings(run(photo, "--json", "--scheduler", "tcp://plant.invalid:8786"))
    assert finding["given"] == "Dask is not installed"


@pytest.mark.parametrize(
    "address", ["nonsense", "tcp://127.0.0.1", "http://plant.invalid:80", "tcp://:::8786"]
)
def test_an_address_that_is_none_is_said_and_nothing_else(
    photo: Path, address: str, capfd: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("dask.distributed", reason="Dask is an optional extra (gambrel[plant])")
    (finding,) = findings(run(photo, "--json", "--scheduler", address))
    assert finding["where"] == "--scheduler"
    assert finding["given"].startswith(address)
    gc.collect()
    assert "Traceback" not in capfd.readouterr().err


@pytest.mark.filterwarnings("ignore")
def test_a_plants_archive_over_a_local_cluster(tmp_path: Path) -> None:
    distributed = pytest.importorskip("dask.distributed", reason="Dask is an optional extra (gambrel[plant])")
    for number in range(8):
        (tmp_path / f"{number}.jpg").write_bytes(b"%PDF-1.7" if number % 2 else b"")
    photos = sorted(tmp_path.glob("*.jpg"))
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        answer = run(*photos, "--json", "--scheduler", cluster.scheduler_address)
    lines = [json.loads(line) for line in answer.stdout.splitlines()]
    assert [line["photo"] for line in lines] == [str(photo) for photo in photos]
    assert all(line["refused"] for line in lines)
    assert answer.exit_code == 1
