"""The kinds beside each other: areas and covers to one scale, every figure with its unit."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.drawing.inputs import YieldSplit
from gambrel.files.drawing.kinds import COLUMN, FACE_MIDDLE, cover_points, eye_axes_mm, kinds_svg
from gambrel.measures.estimate import Estimate
from gambrel.measures.units import in2_from_cm2, in_from_mm


def test_every_kind_has_its_figures(sample_faces, drawn):
    picture = drawn(kinds_svg(sample_faces, title="Four kinds"))
    assert len(picture.of_class("kind")) == 4
    for kind in sample_faces:
        area, fat = kind.ribeye_cm2.mean, kind.fat_mm.mean
        assert kind.name in picture.texts
        assert f"ribeye {area:.1f} cm² · {in2_from_cm2(area):.1f} in²" in picture.texts
        assert f"cover {fat:.1f} mm · {in_from_mm(fat):.2f} in" in picture.texts
        assert f"{kind.hang_days[0]} to {kind.hang_days[2]} days, best {kind.hang_days[1]}" in picture.texts
        assert f"cuts {100 * kind.split.cuts_share:.1f} %" in picture.texts
    assert "marbling 1.9 %" in picture.texts and "marbling not read" in picture.texts


def test_the_eyes_are_drawn_at_one_scale(sample_faces, drawn):
    eyes = drawn(kinds_svg(sample_faces, title="t")).of_class("eye")
    drawn_areas = [math.pi * float(eye.get("rx")) * float(eye.get("ry")) for eye in eyes]
    per_cm2 = [area / kind.ribeye_cm2.mean for area, kind in zip(drawn_areas, sample_faces, strict=True)]
    assert per_cm2 == pytest.approx([per_cm2[0]] * 4, rel=1e-3)


@given(st.floats(20, 200))
def test_the_ellipse_has_the_area(area_cm2):
    """Area of an ellipse: pi times the half axes."""
    across, deep = eye_axes_mm(area_cm2)
    assert math.pi * across * deep / 100 == pytest.approx(area_cm2)


@given(st.floats(20, 120), st.floats(20, 120), st.floats(0.1, 60))
def test_the_cover_is_as_thick_as_said_over_the_back(across, deep, cover):
    points = cover_points(across, deep, cover)
    outer, rim = points[20], list(reversed(points[41:]))[20]
    assert rim == pytest.approx((0.0, -deep), abs=1e-6)
    assert rim[1] - outer[1] == pytest.approx(cover)
    assert math.dist(points[0], points[-1]) == pytest.approx(0.0, abs=1e-6)


def test_the_stacked_bar_is_as_wide_as_the_side(sample_faces, drawn):
    parts = drawn(kinds_svg(sample_faces, title="t")).of_class("part")
    assert len(parts) == 20
    for start in range(0, 20, 5):
        assert sum(float(part.get("width")) for part in parts[start : start + 5]) == pytest.approx(
            COLUMN - 40, abs=0.1
        )


def test_the_scale_bar_says_what_it_is(sample_faces, drawn):
    """5 cm is 1.97 in."""
    assert "5 cm · 2.0 in" in drawn(kinds_svg(sample_faces, title="t")).texts


def test_the_largest_face_still_fits(sample_faces, drawn):
    huge = replace(sample_faces[3], ribeye_cm2=Estimate.exact(124.0), fat_mm=Estimate.exact(46.0))
    picture = drawn(kinds_svg([huge, sample_faces[0]], title="t"))
    for node in picture.of_class("cover"):
        for pair in node.get("points").split():
            x, y = (float(part) for part in pair.split(","))
            assert -1 <= x <= COLUMN - 20
            assert 86 <= y <= FACE_MIDDLE + 120


def test_prices_are_given_in_both_weights_or_said_to_be_missing(sample_faces, drawn):
    bare = replace(sample_faces[0], low_cents_per_kg=None)
    texts = drawn(kinds_svg([bare, sample_faces[1]], title="t")).texts
    assert "no prices yet" in texts
    assert "$5.90 to $27.22/lb" in texts and "$13.00 to $60.00/kg" in texts


def test_it_never_looks_like_an_official_grade(sample_faces, drawn):
    picture = drawn(kinds_svg(sample_faces, title="t"))
    assert "not an official grade" in " ".join(picture.texts)
    assert "not an official grade" in picture.desc


def test_shares_that_do_not_add_up_are_refused(sample_faces):
    wrong = replace(sample_faces[0], split=YieldSplit(0.5, 0.3, 0.1, 0.1, 0.1))
    with pytest.raises(ValueError, match=r"add to 1\.1000"):
        kinds_svg([wrong], title="t")


def test_no_kinds_and_no_eye_are_refused(sample_faces):
    with pytest.raises(ValueError, match="at least one kind"):
        kinds_svg([], title="t")
    with pytest.raises(ValueError, match="ribeye"):
        kinds_svg([replace(sample_faces[0], ribeye_cm2=Estimate.exact(0.0))], title="t")


@pytest.mark.parametrize("count", [1, 2, 6])
def test_any_number_of_kinds(sample_faces, count, drawn):
    picture = drawn(kinds_svg((sample_faces * 2)[:count], title="<b>t</b>"))
    assert picture.box()[0] == 150 + COLUMN * count
    assert "b" not in picture.tags()
