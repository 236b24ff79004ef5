"""The UN/ECE meat code of a bovine cut, twenty characters for AI 7002: its fields kept apart, the string built last.

[UNECE Standard, Bovine meat carcases and cuts, United Nations, 2007 edition, as an open decoder reads it]. It has no
code for bison, so bison gets none.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from gambrel.measures import CannotDo, Finding, Findings
from gambrel.sell.check_digits import only_digits

BOVINE = "10"

VALUES: dict[str, dict[str, str]] = {
    "cold": {"0": "not given", "1": "chilled", "2": "frozen", "3": "deep-frozen", "9": "other"},
    "category": {"0": "not given", "1": "intact male", "2": "young intact male", "3": "steer", "4": "heifer",
                 "5": "steer or heifer", "6": "cow", "7": "young bovine", "9": "other"},
    "production": {"0": "not given", "1": "intensive", "2": "extensive", "3": "organic", "9": "other"},
    "feeding": {"0": "not given", "1": "grain", "2": "forage", "3": "only forage", "9": "other"},
    "slaughter": {"0": "not given", "1": "conventional", "2": "kosher", "3": "halal", "9": "other"},
    "after_slaughter": {"0": "not given", "1": "given"},
    "fat": {"0": "not given", "1": "peeled, membrane off", "2": "peeled", "3": "practically free", "4": "3 mm",
            "5": "6 mm", "6": "13 mm", "7": "25 mm", "8": "chemical lean", "9": "other"},
    "quality": {"0": "not given", "1": "official", "2": "company", "3": "industry", "9": "other"},
    "weight_range": {"0": "not given", "1": "given"},
    "packing": {"0": "not given", "1": "carcass, side or quarter bare", "2": "the same wrapped",
                "3": "cuts wrapped singly", "4": "bulk", "5": "vacuum", "6": "modified atmosphere", "9": "other"},
    "conformity": {"0": "none", "1": "grade", "2": "trade standard", "3": "animal or batch",
                   "4": "grade and standard", "5": "grade and animal", "6": "standard and animal", "7": "all",
                   "9": "other"},
}  # fmt: skip
"""Digit and meaning by field, in the order of the code; a digit that is not here has no meaning."""


@dataclass(frozen=True, slots=True)
class MeatCode:
    """The fields of one code, each a digit of `VALUES`; `cut` is the UN/ECE number of the cut, four digits."""

    cut: str
    cold: str = "0"
    category: str = "0"
    production: str = "0"
    feeding: str = "0"
    slaughter: str = "0"
    after_slaughter: str = "0"
    fat: str = "0"
    quality: str = "0"
    weight_range: str = "0"
    packing: str = "0"
    conformity: str = "0"

    def text(self) -> str:
        """The twenty characters. `CannotDo` lists every digit without a meaning."""
        findings = Findings()
        if not only_digits(self.cut) or len(self.cut) != 4:
            findings.add(
                "cut", self.cut, "the four digits of its UN/ECE number", "Look it up in the cut list."
            )
        for name, meanings in VALUES.items():
            if (digit := getattr(self, name)) not in meanings:
                wanted = ", ".join(f"{one} {meaning}" for one, meaning in meanings.items())
                findings.add(name.replace("_", " "), digit, wanted, "Choose one of them.")
        findings.stop_if_any()
        head = f"{BOVINE}{self.cut}00{self.cold}{self.category}{self.production}{self.feeding}0"
        return head + "".join(getattr(self, field.name) for field in fields(self)[5:])

    def words(self) -> list[str]:
        """What the code says, field by field; what is not given is left out."""
        said = ((name, VALUES[name].get(getattr(self, name), "")) for name in VALUES)
        return [
            f"{name.replace('_', ' ')}: {meaning}"
            for name, meaning in said
            if meaning not in ("not given", "none")
        ]


def read_meat_code(text: str) -> MeatCode:
    """The fields of twenty characters. `CannotDo` when it is no code of bovine meat."""
    if not only_digits(text) or len(text) != 20 or text[:2] != BOVINE or text[6:8] != "00" or text[12] != "0":
        raise CannotDo([Finding("meat code", text, "twenty digits that begin with 10", "Scan it again.")])
    code = MeatCode(text[2:6], *text[8:12], *text[13:])
    code.text()
    return code
