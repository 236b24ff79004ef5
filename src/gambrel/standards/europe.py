"""European Union carcass classes: category by sex and age, conformation, fat cover.

Conformation and fat cover are judged by eye against these words; no figure here replaces that.
"""

from __future__ import annotations

CONFORMATION = {"S": "superior", "E": "excellent", "U": "very good", "R": "good", "O": "fair", "P": "poor"}
"""Best first: profile of round, back and shoulder. [eu-1308-2013; eu-2017-1182]"""

FAT_COVER = {
    1: ("low", "no fat within the thoracic cavity"),
    2: ("slight", "muscle clearly visible between the ribs"),
    3: ("average", "muscle still visible between the ribs"),
    4: ("high", "muscle between the ribs may be infiltrated with fat"),
    5: ("very high", "muscle between the ribs infiltrated with fat"),
}
"""Fat on the outside, and within the thoracic cavity. [eu-2017-1182]"""

CATEGORIES = {
    "Z": "8 to under 12 months",
    "A": "uncastrated male, 12 to under 24 months",
    "B": "uncastrated male from 24 months",
    "C": "castrated male from 12 months",
    "D": "female that has calved",
    "E": "other female from 12 months",
}
"""Categories of carcasses. [eu-1308-2013, annex IV]"""

UNCASTRATED = ("bull", "bullock")


def category(*, sex: str, age_months: float | None) -> str | None:
    """Category Z or A to E; None under eight months, or where the age would be needed and is not known.

    `sex` is steer, heifer, cow (a female that has calved), bull or bullock. [eu-1308-2013, annex IV]
    """
    if age_months is None:
        return "D" if sex == "cow" else None
    if age_months < 8:
        return None
    if age_months < 12:
        return "Z"
    if sex in UNCASTRATED:
        return "A" if age_months < 24 else "B"
    return {"steer": "C", "cow": "D", "heifer": "E"}[sex]


def carcass_class(*, conformation: str, fat_cover: int) -> str:
    """The two judged by eye as they are written together, such as R3; `ValueError` for what is in neither
    scale.
    """
    if conformation not in CONFORMATION or fat_cover not in FAT_COVER:
        raise ValueError(
            f"conformation is one of S E U R O P and fat cover 1 to 5, not {conformation}{fat_cover}"
        )
    return f"{conformation}{fat_cover}"
