"""One animal's rib face for the grading formulas, with the kind's mean where kidney fat was not given."""

from __future__ import annotations

from gambrel.catalog.animal import Animal
from gambrel.standards.carcass_grades import RibFace, SixthRib
from gambrel.standards.maturity import read_maturity


def face_of(
    animal: Animal,
    *,
    permanent_incisors: int | None = None,
    ph: float | None = None,
    muscle_score: float | None = None,
    sixth_rib: SixthRib | None = None,
) -> RibFace:
    """What was read of `animal`; `ValueError` when fat or ribeye were not, for then nothing can be graded."""
    if animal.fat_mm is None or animal.ribeye_cm2 is None:
        raise ValueError("fat and ribeye must be known before an animal is graded")
    given_pct = animal.kph_pct
    return RibFace(
        species=animal.species, sex=animal.sex, hot_kg=animal.hot_kg, fat_mm=animal.fat_mm,
        ribeye_cm2=animal.ribeye_cm2, kph_pct=animal.kind.kph_pct.mean if given_pct is None else given_pct,
        kph_is_usual=given_pct is None, marbling_score=animal.marbling_score,
        maturity=None if animal.maturity is None else read_maturity(animal.maturity),
        age_months=animal.age_months, permanent_incisors=permanent_incisors, ph=ph, muscle_score=muscle_score,
        sixth_rib=sixth_rib,
    )  # fmt: skip
