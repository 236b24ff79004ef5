"""All the published systems that apply to one carcass, from what was read at its rib face.

Every grade here is the shop's own estimate. Only a licensed grader gives an official one.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from gambrel.measures import Finding
from gambrel.measures.units import in2_from_cm2, in_from_mm, lb_from_kg
from gambrel.standards import bison, canada, europe, japan, marbling, usda_quality, usda_yield, usual
from gambrel.standards.maturity import Maturity, classed_maturity

FORMS = ("equation", "bench")
BULL_FROM_MONTHS = 24
"""An intact male is a bullock under about this age [months]. [us-cow-bullock-rules]"""


@dataclass(frozen=True, slots=True)
class SixthRib:
    """Readings between the 6th and 7th rib, for the Japanese grade; `bms` is the marbling standard, 1-12."""

    ribeye_cm2: float
    rib_thickness_cm: float
    fat_cm: float
    beef_breed: bool
    bms: int | None = None


@dataclass(frozen=True, slots=True)
class RibFace:
    """What was read of one carcass; None means not known. Weight is of both sides, hot."""

    species: str
    sex: str
    hot_kg: float
    fat_mm: float
    ribeye_cm2: float
    kph_pct: float
    kph_is_usual: bool = False
    marbling_score: float | None = None
    maturity: Maturity | None = None
    age_months: int | None = None
    permanent_incisors: int | None = None
    ph: float | None = None
    muscle_score: float | None = None
    sixth_rib: SixthRib | None = None

    def in_us_units(self) -> dict[str, float]:
        """Fat [in], ribeye [in2], hot carcass [lb] and kidney fat [%], as the US formulas take them."""
        return {"fat_in": in_from_mm(self.fat_mm), "ribeye_in2": in2_from_cm2(self.ribeye_cm2),
                "hot_lb": lb_from_kg(self.hot_kg), "kph_pct": self.kph_pct}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Grades:
    """The estimates; `quality_grade` is None when a finding says why."""

    face: RibFace
    form: str
    yield_grade: float
    yield_grade_whole: int
    bctrc_pct: float
    quality_grade: str | None
    quality_part: str | None
    systems: dict[str, Any]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        face = self.face
        score = face.marbling_score
        return {
            "yield_grade": self.yield_grade,
            "yield_grade_whole": self.yield_grade_whole,
            "form": self.form,
            "bctrc_pct": self.bctrc_pct,
            "quality_grade": self.quality_grade,
            "quality_part": self.quality_part,
            "marbling_degree": None if score is None else marbling.words(score),
            "hot_kg": face.hot_kg,
            "fat_mm": face.fat_mm,
            "ribeye_cm2": face.ribeye_cm2,
            "kph_pct": face.kph_pct,
            "systems": self.systems,
            "findings": [finding.as_json() for finding in self.findings],
            "notes": list(self.notes),
            "official": False,
        }


@dataclass(slots=True)
class _Remarks:
    findings: list[Finding] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def no_quality(self, given: str, wanted: str, do: str) -> None:
        self.findings.append(Finding("quality grade", given, wanted, do))


def grade_carcass(face: RibFace, *, form: str = "equation") -> Grades:
    """Yield grade by `form`, retail cuts, quality grade and the other systems that apply."""
    if form not in FORMS:
        raise ValueError(f"form is one of {', '.join(FORMS)}, not {form}")
    us = face.in_us_units()
    by_form = usda_yield.bench_yield_grade if form == "bench" else usda_yield.beef_yield_grade
    yield_grade = by_form(**us)
    bctrc_pct = usda_yield.retail_cut_pct(**us)
    remarks = _Remarks()
    maturity = classed_maturity(
        read=face.maturity, age_months=face.age_months, permanent_incisors=face.permanent_incisors
    )
    quality = _quality(face, maturity, remarks)
    systems = _other_systems(face, maturity, bctrc_pct, remarks)
    _remark_on_readings(face, us, yield_grade, remarks)
    if quality is not None and face.ph is not None and usda_quality.is_dark_cutter_ph(face.ph):
        span = " to ".join(usda_quality.dark_cutter_range(quality.grade))
        remarks.notes.append(f"pH {face.ph:g} is at or above 5.87: the lean is likely dark, and a grader may "
                             f"lower the grade ({span}). It is not lowered here.")  # fmt: skip
    return Grades(
        face=face, form=form, yield_grade=yield_grade, yield_grade_whole=usda_yield.whole_grade(yield_grade),
        bctrc_pct=bctrc_pct, quality_grade=quality.grade if quality else None,
        quality_part=quality.part if quality else None, systems=systems,
        findings=tuple(remarks.findings), notes=tuple(remarks.notes),
    )  # fmt: skip


def _quality(face: RibFace, maturity: Maturity | None, remarks: _Remarks) -> usda_quality.GridGrade | None:
    score = face.marbling_score
    if face.species == "bison":
        remarks.no_quality("bison", "cattle", "No USDA grade covers bison; sell it without one.")
        remarks.notes.append(
            "No USDA yield standard covers bison: its yield grade and retail cuts are a guide only."
        )
        return None
    if face.sex == "bull":
        remarks.no_quality(
            "a bull",
            "a steer, heifer, cow or bullock",
            "Bulls get a yield grade only; an intact male under about 24 months is a bullock.",
        )
        return None
    if score is None:
        remarks.no_quality("no marbling", "a marbling score such as 430 or Small 30", "Give the marbling.")
        return None
    if face.sex == "bullock":
        return _bullock(face, score, remarks)
    if maturity is None:
        remarks.no_quality(
            _what_tells_age(face),
            "maturity A to E, or an age of nine months or more",
            "Give the maturity read at the bones, the age in months, or the permanent incisors.",
        )
        return None
    if score < usda_quality.LOWEST_GRID_SCORE:
        remarks.no_quality(
            f"marbling {score:g}",
            "100 (Practically Devoid) or more",
            "The printed grid ends there; leave the grade to the grader.",
        )
        return None
    found = usda_quality.grid_grade(marbling_score=score, maturity_code=maturity.code)
    if len(found.cell) == 2 and not maturity.exact:
        remarks.notes.append(
            f"This much marbling is {' or '.join(found.cell)} in maturity {maturity.group}, by "
            f"where in the group the bones are; the middle was taken."
        )
    if face.maturity is None or maturity is not face.maturity:
        remarks.notes.append(f"Maturity {maturity.group}: {maturity.how}.")
    if face.sex == "cow" and found.grade == "Prime":
        remarks.notes.append("Cows are not graded Prime.")
        return usda_quality.cow_grade(found)
    return found


def _bullock(face: RibFace, score: float, remarks: _Remarks) -> usda_quality.GridGrade | None:
    old = face.age_months is not None and face.age_months >= BULL_FROM_MONTHS
    if old or (face.maturity is not None and face.maturity.group in "CDE"):
        remarks.no_quality(
            "an intact male past bullock age",
            "a bullock, under about 24 months",
            "From there on it is a bull and gets no quality grade.",
        )
        return None
    remarks.notes.append("The grade is for bullock beef, and bullock must stand beside it.")
    return usda_quality.bullock_grade(marbling_score=score)


def _what_tells_age(face: RibFace) -> str:
    if face.age_months is not None:
        return f"{face.age_months} months, a calf"
    if face.permanent_incisors is not None:
        return f"{face.permanent_incisors} permanent incisors: 30 months or more, B or older"
    return "neither maturity, age nor teeth"


def _other_systems(
    face: RibFace, maturity: Maturity | None, bctrc_pct: float, remarks: _Remarks
) -> dict[str, Any]:
    youthful = maturity is None or maturity.group == "A"
    if face.species == "bison":
        if youthful:
            remarks.notes.append("The Canadian bison class takes the carcass as youthful.")
            return {"bison_canada": bison.bison_class(fat_mm=face.fat_mm)}
        remarks.notes.append("No Canadian bison class: those here are for youthful carcasses.")
        return {}
    systems: dict[str, Any] = {}
    if youthful and face.sex in ("steer", "heifer"):
        systems.update(_canadian(face, bctrc_pct))
    category = europe.category(sex=face.sex, age_months=face.age_months)
    if category is not None:
        systems["eu_category"] = category
    if face.sixth_rib is not None:
        systems["japan"] = _japanese(face.sixth_rib, face.hot_kg / 2)
    return systems


def _canadian(face: RibFace, bctrc_pct: float) -> dict[str, Any]:
    scores = canada.MUSCLE_SCORES if face.muscle_score is None else (face.muscle_score,)
    lean = [canada.ruler_lean_pct(muscle_score=score, grade_fat_mm=face.fat_mm) for score in scores]
    classes = list(dict.fromkeys(canada.lean_class(pct) for pct in lean))
    systems: dict[str, Any] = {
        "canada_yield_class": canada.yield_class(bctrc_pct),
        "canada_lean_2018": {"low_pct": lean[0], "high_pct": lean[-1], "classes": classes},
    }
    if face.marbling_score is not None:
        systems["canada_quality"] = canada.quality_grade(
            marbling_score=face.marbling_score, fat_mm=face.fat_mm
        )
    return systems


def _japanese(sixth: SixthRib, side_kg: float) -> dict[str, Any]:
    pct = japan.yield_pct(
        ribeye_cm2=sixth.ribeye_cm2,
        rib_thickness_cm=sixth.rib_thickness_cm,
        side_kg=side_kg,
        fat_cm=sixth.fat_cm,
        beef_breed=sixth.beef_breed,
    )
    quality = japan.quality_grade(bms=sixth.bms) if sixth.bms is not None else None
    grade = f"{japan.yield_class(pct)}{quality if quality is not None else ''}"
    return {"yield_pct": pct, "yield_class": japan.yield_class(pct), "quality_grade": quality, "grade": grade}


def _remark_on_readings(face: RibFace, us: dict[str, float], yield_grade: float, remarks: _Remarks) -> None:
    if face.kph_is_usual:
        remarks.notes.append(
            f"Kidney, pelvic and heart fat not given: {face.kph_pct:g} %, the kind's mean, stands in."
        )
    if not 1 <= yield_grade < 6:
        whole = usda_yield.whole_grade(yield_grade)
        remarks.notes.append(
            f"A yield grade of {yield_grade:.2f} is off the scale; {whole} is the nearest on it."
        )
    for name, value, (low, high), unit in (
        ("ribeye", us["ribeye_in2"], usual.USUAL_RIBEYE_IN2, "in2"),
        ("fat", us["fat_in"], usual.USUAL_FAT_IN, "in"),
        ("kidney fat", us["kph_pct"], usual.USUAL_KPH_PCT, "%"),
    ):
        if face.species != "bison" and not low - 1e-6 <= value <= high + 1e-6:
            remarks.notes.append(
                f"The {name} of {value:.2f} {unit} is outside the usual {low:g} to {high:g}."
            )
