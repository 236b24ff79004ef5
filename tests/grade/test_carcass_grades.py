"""All systems at once, over any carcass: the answer keeps its promises whatever was read."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.animal import Animal
from gambrel.catalog.grading import face_of
from gambrel.catalog.kinds import shipped_kinds
from gambrel.standards.carcass_grades import RibFace, SixthRib, grade_carcass
from gambrel.standards.maturity import read_maturity
from gambrel.standards.usda_quality import GRADES

maybe = lambda strategy: st.one_of(st.none(), strategy)  # noqa: E731

faces = st.builds(
    RibFace,
    species=st.sampled_from(["cattle", "bison"]),
    sex=st.sampled_from(["steer", "heifer", "cow", "bullock", "bull"]),
    hot_kg=st.floats(60, 900),
    fat_mm=st.floats(0, 75),
    ribeye_cm2=st.floats(19, 200),
    kph_pct=st.floats(0, 12),
    kph_is_usual=st.booleans(),
    marbling_score=maybe(st.floats(0, 1000)),
    maturity=maybe(st.sampled_from(["A", "A20", "B", "B80", "C", "D99", "E"]).map(read_maturity)),
    age_months=maybe(st.integers(1, 400)),
    permanent_incisors=maybe(st.integers(0, 8)),
    ph=maybe(st.floats(4.5, 8)),
    muscle_score=maybe(st.floats(1, 4)),
    sixth_rib=maybe(
        st.builds(
            SixthRib,
            ribeye_cm2=st.floats(10, 150),
            rib_thickness_cm=st.floats(2, 15),
            fat_cm=st.floats(0, 10),
            beef_breed=st.booleans(),
            bms=maybe(st.integers(1, 12)),
        )
    ),
)


@given(face=faces, form=st.sampled_from(["equation", "bench"]))
def test_any_face_gets_an_honest_answer(face, form):
    grades = grade_carcass(face, form=form)
    assert grades.yield_grade_whole in (1, 2, 3, 4, 5)
    assert (grades.quality_grade is None) == bool(grades.findings)
    assert grades.quality_grade in (None, *GRADES)
    if face.species == "bison":
        assert grades.quality_grade is None
        assert set(grades.systems) <= {"bison_canada"}
    if face.sex == "bull":
        assert grades.quality_grade is None
    if face.sex == "cow":
        assert grades.quality_grade != "Prime"
    if face.sex == "bullock":
        assert grades.quality_grade in (None, "Prime", "Choice", "Select", "Standard", "Utility")
    as_json = grades.as_json()
    assert as_json["official"] is False
    json.dumps(as_json, allow_nan=False)


@given(face=faces)
def test_a_dark_lean_changes_the_notes_and_not_the_grade(face):
    dark = RibFace(**{name: getattr(face, name) for name in RibFace.__slots__} | {"ph": 6.5})
    light = RibFace(**{name: getattr(face, name) for name in RibFace.__slots__} | {"ph": 5.4})
    found = grade_carcass(dark)
    assert found.quality_grade == grade_carcass(light).quality_grade
    assert any("dark" in note for note in found.notes) == (found.quality_grade is not None)


def test_an_unknown_form_is_a_mistake():
    face = RibFace(species="cattle", sex="steer", hot_kg=340, fat_mm=10, ribeye_cm2=82, kph_pct=2.5)
    with pytest.raises(ValueError, match="equation, bench"):
        grade_carcass(face, form="guess")


def test_an_animal_as_a_face():
    kind = shipped_kinds()["wagyu"]
    animal = Animal(kind=kind, sex="steer", hot_kg=350, fat_mm=20, ribeye_cm2=84, maturity="A40")
    face = face_of(animal, permanent_incisors=2)
    assert face.kph_pct == kind.kph_pct.mean
    assert face.kph_is_usual
    assert face.maturity.code == 140
    given_fat = face_of(Animal(kind=kind, sex="steer", hot_kg=350, fat_mm=20, ribeye_cm2=84, kph_pct=0.0))
    assert given_fat.kph_pct == 0
    assert not given_fat.kph_is_usual


def test_an_animal_without_a_reading_is_a_mistake_here():
    kind = shipped_kinds()["wagyu"]
    with pytest.raises(ValueError, match="fat and ribeye"):
        face_of(Animal(kind=kind, sex="steer", hot_kg=350, ribeye_cm2=84))
