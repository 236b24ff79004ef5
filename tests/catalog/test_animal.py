"""One animal's carcass: what is read, what is refused, and how wide the limits are."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog import animal as limits
from gambrel.catalog.animal import Animal, read_animal
from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import Entry, Findings

KINDS = shipped_kinds()
STEER = {"kind": "grain-finished", "sex": "steer", "hot": "806lb"}


def read(**fields: Any) -> tuple[Animal | None, list[tuple[str, str]]]:
    findings = Findings()
    animal = read_animal(Entry(fields, "", findings), KINDS)
    return animal, [(finding.where, finding.do) for finding in findings]


def test_everything_known() -> None:
    animal, wrong = read(
        **STEER, age_months=17, fat="1/2in", ribeye="12.6in2", kph=2.5, marbling=430, maturity="a"
    )
    assert wrong == []
    assert animal is not None
    assert animal.kind is KINDS["grain-finished"]
    assert animal.species == "cattle"
    assert animal.hot_kg == pytest.approx(365.6, abs=0.05)
    assert animal.fat_mm == pytest.approx(12.7)
    assert animal.ribeye_cm2 == pytest.approx(81.29, abs=0.005)
    assert (animal.age_months, animal.kph_pct, animal.marbling_score, animal.maturity) == (
        17,
        2.5,
        430.0,
        "A",
    )


def test_what_is_not_known_is_none() -> None:
    animal, wrong = read(kind="bison", sex="bull", hot="308kg")
    assert wrong == []
    assert animal == Animal(kind=KINDS["bison"], sex="bull", hot_kg=308.0)


def test_kind_sex_and_weight_are_needed() -> None:
    animal, wrong = read()
    assert animal is None
    assert [where for where, _ in wrong] == ["kind", "sex", "hot"]


@pytest.mark.parametrize(
    ("name", "odd"),
    [
        ("kind", "bisson"), ("sex", "ox"), ("hot", 806), ("hot", "9000lb"), ("hot", "-806lb"), ("hot", "1lb"),
        ("hot", "806in"), ("age_months", 0), ("age_months", 17.5), ("age_months", 500), ("fat", "0.5"),
        ("fat", "4in"), ("fat", "-1mm"), ("ribeye", "300in2"), ("ribeye", "12.6in"), ("ribeye", "1in2"),
        ("kph", "2.5%"), ("kph", 25), ("kph", -1), ("marbling", 1001), ("marbling", "Plenty"),
        ("maturity", "F"),
    ],
)  # fmt: skip
def test_every_slip_is_a_finding(name: str, odd: object) -> None:
    animal, wrong = read(**{**STEER, name: odd})
    assert animal is None
    assert [where for where, _ in wrong] == [name]


def test_all_slips_at_once() -> None:
    animal, wrong = read(
        kind="grain-finished", sex="ox", hot=806, fat=0.5, ribeye="300in2", kph="x", maturity="Z"
    )
    assert animal is None
    assert [where for where, _ in wrong] == ["sex", "hot", "fat", "ribeye", "kph", "maturity"]


def test_a_sex_that_the_kind_does_not_come_in() -> None:
    animal, wrong = read(kind="bison", sex="bullock", hot="308kg")
    assert animal is None
    assert wrong == [("sex", "Did you mean bull?")]


def test_other_fields_are_left_for_the_caller() -> None:
    findings = Findings()
    entry = Entry({**STEER, "style": "boneless", "colour": "red"}, "", findings)
    assert read_animal(entry, KINDS) is not None
    assert not findings
    entry.word("style", ("boneless",))
    entry.no_more()
    assert [finding.where for finding in findings] == ["colour"]


def test_the_usual_may_stand_in_for_sex_and_weight() -> None:
    findings = Findings()
    animal = read_animal(Entry({"kind": "bison", "fat": "8mm"}, "", findings), KINDS, usual_stands_in=True)
    assert not findings
    assert animal == Animal(kind=KINDS["bison"], sex="bull", hot_kg=KINDS["bison"].hot_kg.mean, fat_mm=8.0)


@pytest.mark.parametrize(("name", "odd"), [("kind", ""), ("sex", "ox"), ("hot", 806)])
def test_the_usual_never_stands_in_for_a_slip(name: str, odd: object) -> None:
    findings = Findings()
    fields = {"kind": "bison", name: odd}
    assert read_animal(Entry(fields, "", findings), KINDS, usual_stands_in=True) is None
    assert [finding.where for finding in findings] == [name]


def test_limits_leave_room_around_what_audits_have_seen() -> None:
    """National Beef Quality Audit, market cows and bulls, 2016: ribeye 19-124 cm2, fat 0-46 mm."""
    assert limits.RIBEYE_CM2_LIMITS[0] <= 19 < 124 < limits.RIBEYE_CM2_LIMITS[1]
    assert limits.FAT_MM_LIMITS[0] <= 0 < 46 < limits.FAT_MM_LIMITS[1]


def test_limits_hold_every_usual_animal_of_every_kind() -> None:
    """Four standard deviations either side of a kind's mean weight can be typed in."""
    for kind in KINDS.values():
        assert limits.HOT_KG_LIMITS[0] < kind.hot_kg.mean - 4 * kind.hot_kg.sd
        assert limits.HOT_KG_LIMITS[1] > kind.hot_kg.mean + 4 * kind.hot_kg.sd


@given(st.floats(60.0, 900.0), st.sampled_from(["kg", "lb"]))
def test_the_weight_typed_is_the_weight_read(hot: float, unit: str) -> None:
    animal, wrong = read(kind="wagyu", sex="heifer", hot=f"{hot:.3f}{unit}")
    metric = float(f"{hot:.3f}") * (0.45359237 if unit == "lb" else 1.0)
    if 60.0 <= metric <= 900.0:
        assert animal is not None
        assert animal.hot_kg == pytest.approx(metric)
    else:
        assert [where for where, _ in wrong] == ["hot"]


FIELDS = st.sampled_from(["kind", "sex", "hot", "age_months", "fat", "ribeye", "kph", "marbling", "maturity"])
JUNK = st.text() | st.integers() | st.floats() | st.lists(st.text()) | st.none()


@given(st.dictionaries(FIELDS, JUNK))
def test_junk_gives_findings_and_no_error(fields: dict[str, Any]) -> None:
    animal, wrong = read(**fields)
    assert animal is not None or wrong
