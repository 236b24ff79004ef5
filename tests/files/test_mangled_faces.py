"""Mangled photographs of a rendered face through the whole reader, one of every recipe, and the tool that runs more.

Thousands are run by `python tools/mangle.py`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import mangle
import mangled
import pytest

from gambrel.files.ribface_reading import FaceReading, read_photograph

pytest.importorskip("onnxruntime")
FIRST = 320


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, FaceReading]]:
    """Recipe to answer. The base picture is put back afterwards for the other tests."""
    folder = tmp_path_factory.mktemp("mangled")
    mangled.use_face()
    found = {}
    for seed in range(FIRST, FIRST + len(mangled.RECIPES)):
        recipe, name, data = mangled.mangled(seed)
        (folder / name).write_bytes(data)
        found[recipe] = read_photograph(folder / name)
    yield found
    mangled.Base.face = False
    mangled.scene.cache_clear()
    mangled.whole.cache_clear()


def test_every_recipe_is_read_or_refused_with_a_reason(answers: dict[str, FaceReading]) -> None:
    assert len(answers) == len(mangled.RECIPES)
    for recipe, answer in answers.items():
        if answer.refused is None:
            assert answer.marbling_pct is not None and answer.outline_px, recipe
        else:
            assert answer.reason and answer.refused.do, recipe
            assert answer.ribeye_cm2 is None, recipe


def test_a_wrong_ending_and_mad_exif_do_not_hinder(answers: dict[str, FaceReading]) -> None:
    """That these are read shows that the base picture is a face, and that the whole reader was tried."""
    for recipe in ("wrong ending", "mad exif"):
        assert answers[recipe].refused is None, answers[recipe].reason
    assert any("the name ends in" in warning for warning in answers["wrong ending"].warnings)


def test_area_is_that_of_the_face_whatever_was_done_to_the_file(answers: dict[str, FaceReading]) -> None:
    """81.7 cm2 is what the renderer drew for this seed; exotic files may shift colours, not sizes."""
    areas = {recipe: answer.ribeye_cm2.mean for recipe, answer in answers.items() if answer.ribeye_cm2}
    assert len(areas) >= 3
    assert all(area == pytest.approx(81.7, rel=0.08) for area in areas.values()), areas


@pytest.mark.parametrize("recipe", ["zero size", "giant claim", "other file", "noise", "bomb"])
def test_what_cannot_be_read_is_refused(recipe: str, answers: dict[str, FaceReading]) -> None:
    assert answers[recipe].refused is not None


def test_answers_go_into_json(answers: dict[str, FaceReading]) -> None:
    fields = [set(json.loads(json.dumps(answer.as_json(), allow_nan=False))) for answer in answers.values()]
    assert all(names == fields[0] for names in fields)


def line(outcome: str = "read", seconds: float = 0.1, gb: float = 0.2) -> dict[str, object]:
    return {"recipe": "odd", "file": "7.jpg", "outcome": outcome, "seconds": seconds, "gb": gb}


@pytest.mark.parametrize(("broken", "said"), [
    ({"outcome": "raised KeyError: 'x'"}, "raised KeyError"), ({"outcome": "hung"}, "hung"),
    ({"outcome": "crashed"}, "crashed"), ({"outcome": "no reason"}, "no reason"),
    ({"seconds": mangle.MOST_SECONDS + 1}, "read, 11.0 s"), ({"gb": mangle.MOST_GB + 0.1}, "1.60 GB"),
])  # fmt: skip
def test_the_tool_says_what_broke_a_limit(
    broken: dict[str, object], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    table = mangle.Table()
    table.add(line())
    table.add(line("refused"))
    assert table.broken == []
    table.add(line() | broken)
    (found,) = table.broken
    assert "7.jpg" in found and said in found
    table.show()
    assert f"BROKEN {found}" in capsys.readouterr().out


def test_the_tool_counts_by_recipe(capsys: pytest.CaptureFixture[str]) -> None:
    table = mangle.Table()
    assert table.count() == 0
    for outcome, seconds in (("read", 0.5), ("refused", 1.25), ("refused", 0.1)):
        table.add(line(outcome, seconds, 0.3))
    table.show()
    assert table.count() == 3
    row = next(row for row in capsys.readouterr().out.splitlines() if row.startswith("odd"))
    assert row.split() == ["odd", "3", "1", "2", "0", "1.25"]
    assert table.most_gb == 0.3


@pytest.mark.parametrize(("sentence", "kind"), [
    ("65,500 x 65,500 pixels (4,290.2 million); wanted at most 50 million pixels. Save it smaller.", "# x # pixels"),
    ("a broken PNG file (OSError); wanted a whole photograph. Take it again.", "a broken PNG file"),
    ("the picture is blurred: edges on the card are 2.1 mm wide; wipe the lens", "the picture is blurred"),
])  # fmt: skip
def test_refusals_are_counted_by_what_they_have_in_common(sentence: str, kind: str) -> None:
    assert mangle.kind_of(sentence) == kind


def test_the_tool_counts_reasons(capsys: pytest.CaptureFixture[str]) -> None:
    table = mangle.Table()
    for reason in ("too dark", "no card", "no card", None):
        table.add(line("refused" if reason else "read") | {"reason": reason})
    table.show()
    said = capsys.readouterr().out
    assert said.index("2 refused: no card") < said.index("1 refused: too dark")


def test_the_tool_reads_a_few_in_a_process_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files that are refused at once, so that it is quick: recipe 5 is another kind of file."""
    monkeypatch.setenv("PYTHONWARNINGS", "ignore")
    table = mangle.Table()
    step = len(mangled.RECIPES)
    mangle.watch(range(5, 5 + 3 * step, step), table, files_only=True)
    assert dict(table.outcomes["other file"]) == {"refused": 3}
    assert table.reasons.total() == 3
    assert table.broken == []


def test_the_tool_goes_on_behind_a_file_that_ends_its_worker(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A worker that begins a file and dies, twice, then one that finishes."""
    worker = tmp_path / "worker.py"
    worker.write_text(
        "import json, os, sys\n"
        "seed = int(sys.argv[sys.argv.index('--from') + 1])\n"
        "print(json.dumps({'begun': seed, 'recipe': 'odd', 'file': f'{seed}.jpg'}), flush=True)\n"
        "if seed < 2:\n"
        "    os._exit(9)\n"
        "said = {'recipe': 'odd', 'file': '2.jpg', 'outcome': 'read', 'seconds': 0, 'gb': 0}\n"
        "print(json.dumps({'done': seed, **said}))\n"
    )
    monkeypatch.setattr(mangle, "__file__", str(worker))
    table = mangle.Table()
    mangle.watch(range(3), table, files_only=True)
    assert dict(table.outcomes["odd"]) == {"crashed": 2, "read": 1}
    assert len(table.broken) == 2
