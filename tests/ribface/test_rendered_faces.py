"""Whole readings of small rendered faces from held-back seeds, and the fitting of their intervals."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from faces import calibrate
from faces.render import render_face

from gambrel.ribface import chine, read, uncertainty
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Grounds, Reading
from gambrel.ribface.refuse import Reason, Refusal
from gambrel.ribface.uncertainty import Conditions

SIZE = (1600, 1200)
SEEDS = range(50_230_000, 50_230_010)


@pytest.fixture(scope="module")
def rows() -> list[tuple[dict[str, Any], Reading | Refusal]]:
    made = [render_face(seed, size=SIZE, want="good", difficulty="easy") for seed in SEEDS]
    return [(each.truth, read_ribface(each.bgr)) for each in made]


def readings(rows: list[tuple[dict[str, Any], Reading | Refusal]]) -> list[tuple[dict[str, Any], Reading]]:
    return [(truth, answer) for truth, answer in rows if isinstance(answer, Reading)]


def test_good_faces_are_read(rows: list[tuple[dict[str, Any], Reading | Refusal]]) -> None:
    refused = [answer.sentence() for _, answer in rows if isinstance(answer, Refusal)]
    assert len(refused) <= 1, refused


def test_areas_are_near(rows: list[tuple[dict[str, Any], Reading | Refusal]]) -> None:
    off = [
        abs(reading.ribeye_cm2 / truth["eye_area_cm2"] - 1)
        for truth, reading in readings(rows)
        if reading.ribeye_cm2 is not None
    ]
    assert len(off) >= 9
    assert np.median(off) < 0.02


def test_inside_an_outline_drawn_by_hand_fat_is_measured_as_well(
    rows: list[tuple[dict[str, Any], Reading | Refusal]],
) -> None:
    """With the true outline given, chine and surface are still told by the network: a millimetre off at most."""
    off = []
    for seed in SEEDS[:5]:
        made = render_face(seed, size=SIZE, want="good", difficulty="easy")
        reading = read_ribface(made.bgr, outline=np.array(made.truth["eye_outline_px"]))
        assert isinstance(reading, Reading), reading
        assert reading.outline_by == "hand"
        assert reading.ribeye_cm2 == pytest.approx(made.truth["eye_area_cm2"], rel=0.02)
        if reading.fat_mm is not None and made.truth["fat_thickness_mm"] is not None:
            off.append(abs(reading.fat_mm - made.truth["fat_thickness_mm"]))
    assert len(off) >= 3
    assert np.median(off) < 1.0


def test_an_unsure_chine_is_asked_for_instead_of_measured_at_the_wrong_end(
    rows: list[tuple[dict[str, Any], Reading | Refusal]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With no end sure and no gap allowed fat is left out with a sentence; the end said, it is measured as before."""
    at = next(k for k, (_, reading) in enumerate(rows) if isinstance(reading, Reading) and reading.fat_mm)
    before = rows[at][1]
    assert isinstance(before, Reading)
    made = render_face(SEEDS[at], size=SIZE, want="good", difficulty="easy")
    monkeypatch.setattr(chine, "SURE_MARGIN", 99.0)
    monkeypatch.setattr(read, "MOST_CHINE_GAP_MM", 0.0)
    asked = read_ribface(made.bgr)
    assert isinstance(asked, Reading)
    assert (asked.fat_mm, asked.fat_mm_interval, asked.fat_line_px) == (None, None, None)
    assert asked.ribeye_cm2 == before.ribeye_cm2
    assert sum("fat is not measured; say the end" in said for said in asked.warnings) == 1
    assert not any("surface" in said for said in asked.warnings)
    assert before.axis_px is not None
    along = before.axis_px[0] - before.axis_px[1]
    level = "left" if along[0] < 0 else "right"
    upright = "top" if along[1] < 0 else "bottom"
    told = read_ribface(made.bgr, chine=level if abs(along[0]) > abs(along[1]) else upright)
    assert isinstance(told, Reading)
    assert told.fat_mm == pytest.approx(before.fat_mm)


def test_intervals_hold_the_truth_most_times(rows: list[tuple[dict[str, Any], Reading | Refusal]]) -> None:
    held = []
    for truth, reading in readings(rows):
        for true, interval in (
            (truth["eye_area_cm2"], reading.ribeye_cm2_interval),
            (truth["fat_thickness_mm"], reading.fat_mm_interval),
            (truth["marbling_percent"], reading.marbling_pct_interval),
        ):
            if true is not None and interval is not None:
                held.append(interval[0] <= true <= interval[1])
    assert len(held) >= 24
    assert np.mean(held) >= 0.75


def test_a_reading_says_what_its_intervals_rest_on(
    rows: list[tuple[dict[str, Any], Reading | Refusal]],
) -> None:
    for _, reading in readings(rows):
        assert reading.grounds is not None
        assert reading.outline_by == "network"
        assert any("three reference pictures" in said for said in reading.warnings)
        assert (reading.lean_fat_pct is None) == (not 6.1 <= reading.marbling_pct <= 56.8)


@pytest.mark.parametrize(
    "want,reasons",
    [
        ("no_card", {Reason.NO_CARD}),
        ("card_tilted", {Reason.CARD_TILTED, Reason.CARD_NOT_FLAT}),
        ("eye_cut_off", {Reason.EYE_CUT_OFF, Reason.NOT_A_RIB_FACE}),
        ("blown_out", {Reason.BLOWN_OUT, Reason.NO_CARD, Reason.TOO_LITTLE_CARD}),
        ("not_a_rib_face", {Reason.NOT_A_RIB_FACE}),
        ("two_animals", {Reason.TWO_FACES}),
    ],
)
def test_bad_faces_are_refused_for_what_is_wrong(want: str, reasons: set[Reason]) -> None:
    answer = read_ribface(render_face(50_240_003, size=SIZE, want=f"bad:{want}").bgr)
    assert isinstance(answer, Refusal)
    assert answer.reason in reasons, answer.sentence()


def invented(off: float, count: int = 200) -> list[calibrate.Pair]:
    """Areas read with an error of `off` as a share of the area."""
    draw = np.random.default_rng(3)
    grounds = Grounds(Conditions(confidence=0.96), 0.2, 1.0)
    return [
        calibrate.Pair(k, 80.0, float(80.0 * (1 + off * draw.standard_normal())), grounds)
        for k in range(count)
    ]


@pytest.mark.parametrize("off", [0.01, 0.05])
def test_fitting_makes_the_intervals_hold(off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    tables = {name: dict(part) for name, part in uncertainty.table().items()}
    monkeypatch.setattr(uncertainty, "table", lambda: tables)
    pairs = invented(off)
    calibrate.fit("area", pairs, tables["area"])
    assert calibrate.held(pairs, calibrate.WIDTHS["area"]) >= calibrate.FITTED_SHARE
    low, high = uncertainty.area_interval(80.0, pairs[0].grounds.conditions)
    assert (high - low) / 2 / 80 == pytest.approx(1.645 * off, rel=0.6)


def test_the_score_punishes_what_lies_outside() -> None:
    grounds = Grounds(Conditions(), 0.0, 0.0)
    inside = [calibrate.Pair(0, 80.0, 80.0, grounds)]
    outside = [calibrate.Pair(0, 95.0, 80.0, grounds)]
    width = calibrate.WIDTHS["area"]
    assert calibrate.score(outside, width) > calibrate.score(inside, width) + 20


def test_the_packaged_table_was_fitted() -> None:
    from importlib import resources

    text = resources.files("gambrel.ribface").joinpath("data/uncertainty.toml").read_text("utf-8")
    assert "calibrated = true" in text
    assert "calibrate.py" in text
