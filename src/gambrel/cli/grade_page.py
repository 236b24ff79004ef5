"""The estimates of one carcass as a short page."""

from __future__ import annotations

from typing import Any

from gambrel.measures.units import in2_from_cm2, in_from_mm, lb_from_kg
from gambrel.standards import europe, marbling
from gambrel.standards.carcass_grades import Grades

_FORMS = {"equation": "published equation", "bench": "bench short cut"}


def page(grades: Grades) -> str:
    """What was read, the grades, the other systems, and what a reader must know, one line each."""
    lines = [*_readings(grades), "", *_grades(grades)]
    systems = _systems(grades.systems)
    if systems:
        lines += ["", "Other systems", *systems]
    remarks = [f"  {finding.where}: {finding.given}. {finding.do}" for finding in grades.findings]
    remarks += [f"  {note}" for note in grades.notes]
    if remarks:
        lines += ["", "Notes", *remarks]
    lines += ["", "Estimates by the shop, none official: only a licensed grader gives a grade."]
    return "\n".join(lines)


def _readings(grades: Grades) -> list[str]:
    face = grades.face
    lines = [
        f"{face.species}, {face.sex}",
        f"  hot carcass        {lb_from_kg(face.hot_kg):8.0f} lb   {face.hot_kg:8.1f} kg",
        f"  fat over the eye   {in_from_mm(face.fat_mm):8.2f} in   {face.fat_mm:8.1f} mm",
        f"  ribeye             {in2_from_cm2(face.ribeye_cm2):8.2f} in2  {face.ribeye_cm2:8.1f} cm2",
        f"  kidney fat         {face.kph_pct:8.1f} %",
    ]
    score = face.marbling_score
    if score is not None:
        lines.append(f"  marbling           {marbling.words(score)} ({score:g}){_fat_of(score)}")
    return lines


def _fat_of(score: float) -> str:
    found = {f"{pct:.1f}": pct for pct in marbling.fat_pct_of_degree(score) if pct is not None}
    if not found:
        return ""
    span = " to ".join(sorted(found, key=lambda shown: found[shown]))
    return f", about {span} % fat, give or take 2"


def _grades(grades: Grades) -> list[str]:
    quality = grades.quality_part or grades.quality_grade or "none, see the notes"
    guide = " (a guide only)" if grades.face.species == "bison" else ""
    return [
        f"Yield grade          {grades.yield_grade:8.2f}   whole {grades.yield_grade_whole}, "
        f"by the {_FORMS[grades.form]}{guide}",
        f"Closely trimmed cuts {grades.bctrc_pct:8.1f} % of the carcass, from the four big primals{guide}",
        f"Quality grade        {quality}",
    ]


def _systems(systems: dict[str, Any]) -> list[str]:
    lines = []
    if "canada_yield_class" in systems:
        lines.append(f"  Canada, yield class since 2019   {systems['canada_yield_class']}")
    if "canada_lean_2018" in systems:
        lean = systems["canada_lean_2018"]
        span = f"{lean['low_pct']:.1f}"
        if lean["high_pct"] != lean["low_pct"]:
            span += f" to {lean['high_pct']:.1f}"
        lines.append(f"  Canada, lean yield to 2018       {span} %, {' or '.join(lean['classes'])}")
    if "canada_quality" in systems:
        quality = systems["canada_quality"] or "not in the A grades"
        lines.append(
            f"  Canada, quality                  {quality}, if lean is bright and firm and fat white"
        )
    if "bison_canada" in systems:
        lines.append(f"  Canada, bison class              {systems['bison_canada']}")
    if "eu_category" in systems:
        letter = systems["eu_category"]
        lines.append(f"  European Union, category         {letter}, {europe.CATEGORIES[letter]}")
    if "japan" in systems:
        japan = systems["japan"]
        lines.append(f"  Japan                            {japan['grade']}, yield {japan['yield_pct']:.2f} %")
    return lines
