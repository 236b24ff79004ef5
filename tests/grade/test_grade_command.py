"""`gambrel grade` for one carcass: what it answers, what it refuses, and what it never claims."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

FIELDS = {
    "yield_grade",
    "yield_grade_whole",
    "bctrc_pct",
    "quality_grade",
    "systems",
    "findings",
    "notes",
    "official",
}


def test_the_published_example_as_a_program_reads_it(carcass):
    """North Dakota State University extension: 750 lb, 0.40 in, 12.8 in2, 2.5 % is 2.75, stamped 2."""
    answer = carcass("--json")
    assert answer.status == 0
    assert answer.value.keys() >= FIELDS
    assert answer.value["yield_grade"] == pytest.approx(2.754, abs=0.0005)
    assert answer.value["yield_grade_whole"] == 2
    assert answer.value["quality_grade"] == "Choice"
    assert answer.value["official"] is False
    assert answer.value["findings"] == []


def test_pounds_and_kilograms_agree(carcass):
    metric = carcass("--json", hot="340.1942775kg", fat="10.16mm", ribeye="82.58048cm2").value
    assert metric["yield_grade"] == pytest.approx(carcass("--json").value["yield_grade"], abs=1e-9)


def test_the_short_cut_is_named(carcass):
    """South Dakota State University extension, 2022: 700 lb, 0.40 in, 14.0 in2, 2.0 % is 2.16 by the short
    cut.
    """
    readings = {"hot": "700lb", "ribeye": "14.0in2", "kph": "2.0", "form": "bench"}
    answer = carcass("--json", **readings)
    assert answer.value["yield_grade"] == pytest.approx(2.16, abs=0.005)
    assert answer.value["form"] == "bench"
    assert "short cut" in carcass(**readings).out


def test_dots_instead_of_an_area(carcass):
    """USDA AMS grid method sheet, 2011, quoted: 98 inside and 9 on the edge are 10.15 in2."""
    value = carcass("--json", ribeye=None, dots="98,9").value
    assert value["ribeye_cm2"] == pytest.approx(10.15 * 6.4516)


def test_kidney_fat_not_given_is_the_kinds_mean_and_said(carcass):
    """National Beef Quality Audit 2016: mean 1.9 %, the mean of the grain-finished kind."""
    value = carcass("--json", kph=None).value
    assert value["kph_pct"] == 1.9
    assert any("1.9 %" in note and "mean" in note for note in value["notes"])


def test_the_page_for_people(carcass):
    out = carcass().out
    for words in (
        "750 lb",
        "340.2 kg",
        "0.40 in",
        "10.2 mm",
        "2.75",
        "whole 2",
        "Choice",
        "Small 30",
        "none official",
        "licensed grader",
    ):
        assert words in out, words


def test_bison_is_told_that_no_usda_grade_covers_it(grade):
    typed = ("--kind", "bison", "--sex", "bull", "--hot", "308kg", "--fat", "10mm", "--ribeye", "70cm2")
    value = grade(*typed, "--json").value
    assert value["quality_grade"] is None
    assert any("No USDA grade covers bison" in finding["do"] for finding in value["findings"])
    assert any("guide only" in note for note in value["notes"])
    assert value["systems"] == {"bison_canada": "A2"}  # agency slides: 7 to 12 mm
    page = grade(*typed)
    assert page.status == 0
    assert "guide only" in page.out
    assert "A2" in page.out


@pytest.mark.parametrize(
    ("changed", "grade_word"),
    [
        ({"maturity": "B"}, "Standard"),  # 61 FR 2891, 1996
        ({"marbling": "350"}, "Select"),
        ({"marbling": "Slight 50"}, "Select"),
        ({"marbling": "720"}, "Prime"),
        ({"marbling": "720", "sex": "cow"}, "Choice"),  # cows: every grade except Prime
        ({"marbling": "410", "sex": "bullock", "maturity": None}, "Choice"),
        ({"maturity": None, "teeth": "2"}, "Choice"),  # 82 FR 57569, 2017
        ({"maturity": None, "age_months": "20"}, "Choice"),
        ({"maturity": "B20", "age_months": "20"}, "Choice"),
        ({"maturity": "E", "marbling": "550"}, "Utility"),
    ],
)
def test_quality_grades_by_the_published_rules(carcass, changed, grade_word):
    assert carcass("--json", **changed).value["quality_grade"] == grade_word


@pytest.mark.parametrize(
    ("changed", "given"),
    [
        ({"sex": "bull"}, "a bull"),  # export handbook: no quality grade
        ({"maturity": None}, "neither maturity, age nor teeth"),
        ({"maturity": None, "teeth": "4"}, "4 permanent incisors: 30 months or more, B or older"),
        ({"maturity": None, "age_months": "6"}, "6 months, a calf"),
        ({"marbling": None}, "no marbling"),
        ({"marbling": "60"}, "marbling 60"),
        ({"sex": "bullock", "age_months": "30"}, "an intact male past bullock age"),
        ({"sex": "bullock", "maturity": "C"}, "an intact male past bullock age"),
    ],
)
def test_no_quality_grade_comes_with_its_reason(carcass, changed, given):
    answer = carcass("--json", **changed)
    assert answer.status == 0
    assert answer.value["quality_grade"] is None
    assert [finding["given"] for finding in answer.value["findings"]] == [given]
    assert answer.value["yield_grade"] == pytest.approx(2.754, abs=0.0005)
    assert given in carcass(**changed).out


def test_a_split_cell_says_that_it_is_split(carcass):
    notes = carcass("--json", marbling="760", maturity="B").value["notes"]
    assert any("Prime or Choice" in note for note in notes)
    notes = carcass("--json", marbling="760", maturity="B10").value["notes"]
    assert not any("Prime or Choice" in note for note in notes)


def test_dark_cutters_are_noted_and_never_lowered(carcass):
    """J. Anim. Sci. 79: 678, 2001: pH about 5.87; 7 CFR 53: Choice by up to a full grade."""
    value = carcass("--json", ph="6.2").value
    assert value["quality_grade"] == "Choice"
    assert any("Choice to Select" in note and "not lowered" in note for note in value["notes"])
    assert carcass("--json", ph="5.5").value["notes"] == []


def test_other_systems(carcass):
    systems = carcass("--json", age_months="18", muscle_score="3", fat="6mm", marbling="350").value["systems"]
    assert systems["eu_category"] == "C"  # Regulation (EU) 1308/2013, annex IV
    assert systems["canada_lean_2018"]["low_pct"] == pytest.approx(62.24, abs=0.01)  # Ontario ministry, 2009
    assert systems["canada_lean_2018"]["classes"] == ["Y1"]
    assert systems["canada_quality"] == "AA"  # SOR/92-541, section 31
    assert systems["canada_yield_class"] in (1, 2)
    assert "japan" not in systems


def test_the_japanese_grade_needs_its_own_readings(carcass):
    """J. Anim. Sci. 101: skac343, 2023, third group: 70.34 printed, 72.39 with the Wagyu term."""
    readings = {"hot": "326kg", "sixth_rib": "40.8cm2,6.74cm,3.07cm", "bms": "8"}
    wagyu = carcass("--json", kind="wagyu", **readings).value["systems"]["japan"]
    assert wagyu["yield_pct"] == pytest.approx(72.39, abs=0.05)
    assert wagyu["grade"] == "A5"
    other = carcass("--json", **readings).value["systems"]["japan"]
    assert other["yield_pct"] == pytest.approx(70.34, abs=0.05)
    assert other["yield_class"] == "B"
    assert "72.39 %" in carcass(kind="wagyu", **readings).out


def test_usual_spans_and_the_ends_of_the_scale_are_noted(carcass):
    """Usual ribeye 10 to 18 in2, fat 0.15 to 0.8 in: South Dakota State University text."""
    notes = " ".join(carcass("--json", fat="2.0in", ribeye="9in2").value["notes"])
    assert "off the scale" in notes
    assert "0.15 to 0.8" in notes
    assert "10 to 18" in notes


@pytest.mark.parametrize(
    ("changed", "places"),
    [
        ({"kind": "bufalo"}, ["kind"]),
        ({"kind": None}, ["kind"]),
        ({"sex": "ox"}, ["sex"]),
        ({"hot": "750"}, ["hot"]),
        ({"hot": None}, ["hot"]),
        ({"hot": "9000lb"}, ["hot"]),
        ({"hot": "-750lb"}, ["hot"]),
        ({"hot": "nanlb"}, ["hot"]),
        ({"hot": "750in"}, ["hot"]),
        ({"fat": None}, ["fat"]),
        ({"fat": "-1mm"}, ["fat"]),
        ({"ribeye": None}, ["ribeye"]),
        ({"ribeye": "300in2"}, ["ribeye"]),
        ({"ribeye": None, "dots": "98"}, ["dots"]),
        ({"ribeye": None, "dots": "-3,4"}, ["dots"]),
        ({"dots": "98,9"}, ["dots"]),
        ({"ribeye": None, "dots": "1,0"}, ["ribeye"]),
        ({"kph": "nan"}, ["kph"]),
        ({"kph": "25"}, ["kph"]),
        ({"marbling": "2000"}, ["marbling"]),
        ({"marbling": "lots"}, ["marbling"]),
        ({"maturity": "F"}, ["maturity"]),
        ({"teeth": "9"}, ["teeth"]),
        ({"age_months": "2.5"}, ["age_months"]),
        ({"ph": "12"}, ["ph"]),
        ({"muscle_score": "5"}, ["muscle_score"]),
        ({"bms": "8"}, ["bms"]),
        ({"sixth_rib": "40cm2,6cm"}, ["sixth_rib"]),
        ({"sixth_rib": "40,6,3"}, ["sixth_rib"]),
        ({"form": "guess"}, ["form"]),
        ({"hot": "750", "fat": "x", "ribeye": None, "maturity": "Q"}, ["hot", "fat", "ribeye", "maturity"]),
    ],
)
def test_slips_are_findings_all_at_once(carcass, changed, places):
    answer = carcass("--json", **changed)
    assert answer.status == 1
    assert sorted(finding["where"] for finding in answer.value["findings"]) == sorted(places)
    assert all(finding.keys() == {"where", "given", "wanted", "do"} for finding in answer.value["findings"])
    assert answer.err.count("error:") == len(places)


def test_an_unknown_option_is_typed_wrong(grade):
    assert grade("--weight", "750lb").status == 2


def test_table_and_carcass_together_are_refused(grade):
    answer = grade("--table", "x.csv", "--sex", "steer", "--json")
    assert answer.status == 1
    assert answer.value["findings"][0]["where"] == "sex"


def test_a_shops_own_kind(carcass, tmp_path):
    path = tmp_path / "kinds.toml"
    path.write_text('[dairy-cross]\nlike = "grain-finished"\nkph_pct = [2.4, 0.5]\n', "utf-8")
    value = carcass("--json", "--kinds", str(path), kind="dairy-cross", kph=None).value
    assert value["kph_pct"] == 2.4


def test_a_bad_kinds_file_is_a_finding(carcass, tmp_path):
    path = tmp_path / "kinds.toml"
    path.write_text("[dairy-cross\n", "utf-8")
    assert carcass("--json", "--kinds", str(path)).status == 1
    assert carcass("--json", "--kinds", str(tmp_path / "none.toml")).status == 1


def test_the_installed_command():
    typed = [
        sys.executable,
        "-m",
        "gambrel.cli.main",
        "grade",
        "--kind",
        "grain-finished",
        "--sex",
        "steer",
        "--hot",
        "750lb",
        "--fat",
        "0.40in",
        "--ribeye",
        "12.8in2",
        "--kph",
        "2.5",
        "--json",
    ]
    done = subprocess.run(typed, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["yield_grade_whole"] == 2
    refused = subprocess.run([*typed[:-1], "--hot", "750"], capture_output=True, text=True, check=False)
    assert refused.returncode == 1
    assert refused.stdout == ""
    assert "Traceback" not in refused.stderr


words = st.one_of(st.none(), st.text(alphabet=st.characters(codec="utf-8"), max_size=12))


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    typed=st.fixed_dictionaries(
        dict.fromkeys(("hot", "fat", "kph", "marbling", "maturity", "teeth", "ph"), words)
    )
)
def test_whatever_is_typed_there_is_an_answer(carcass, typed):
    answer = carcass(
        "--json", **{name: value for name, value in typed.items() if not (value or "").startswith("-")}
    )
    assert answer.status in (0, 1)
    assert ("yield_grade" in answer.value) == (answer.status == 0)
