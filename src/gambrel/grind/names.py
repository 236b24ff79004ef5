"""Names a ground product may carry, and what each may hold: the law as rows of a table.

A row carries its citation and a mark: read (seen in the text), memory (recalled; check the current text
before it decides anything) or practice (common practice, no source). Laws change: this is a working table.
"""

from __future__ import annotations

from dataclasses import dataclass

FAT_CEILING_PCT = 30.0
"""Most fat in ground beef, chopped beef and hamburger [%]. 9 CFR 319.15(a) and (b), read."""

FAT_TEST_PCT = 28.0
"""Above this expected fat [%] a batch is tested before it is sold: lean points are estimates. Practice."""

LOOKS_LIKE_FAT_PCT = 30.0
"""Below this lean [%] a line that is not entered as fat is asked about. Practice."""

CHEEK_LIMIT_PCT = 25.0
"""Most cheek meat in ground beef [%]. 9 CFR 319.15, as given in Meat Calculations (teaching slides), read."""

NATURAL_SHANK_PCT = 6.0
"""Shank meat within the natural proportion of chuck and round [%]. IMPS 100, USDA AMS, 2014, read."""

PRIMALS = ("chuck", "rib", "short-loin", "sirloin", "round", "brisket", "plate", "flank", "foreshank",
           "hindshank", "hump")  # fmt: skip
"""Where a trim may say that it came from."""

_CFR_A = "9 CFR 319.15(a)"
_IMPS = "IMPS 100 Fresh Beef, USDA AMS, November 2014, ground beef"


@dataclass(frozen=True, slots=True)
class GroundName:
    """One name and what it may hold.

    `species` in the order the name says them; `added_fat` whether a line of fat (suet, cod fat, rendered fat)
    may go in; `primal` the only primal allowed, or "" for any; `shank` the shank that grows on that primal,
    allowed within the natural proportion, or without limit once the fat is at or under `shank_free_fat_pct`.
    """

    slug: str
    words: str
    species: tuple[str, ...]
    added_fat: bool
    cite: str
    mark: str
    primal: str = ""
    shank: str = ""
    shank_free_fat_pct: float = 0.0
    fat_ceiling_pct: float = FAT_CEILING_PCT
    cheek_limit_pct: float = CHEEK_LIMIT_PCT

    @property
    def leanest_pct(self) -> float:
        """The least lean this name may be sold at [%]."""
        return 100.0 - self.fat_ceiling_pct

    @property
    def is_mixed(self) -> bool:
        return len(self.species) > 1


_ROWS = (
    GroundName("ground-beef", "GROUND BEEF", ("cattle",), False, _CFR_A, "read"),
    GroundName("chopped-beef", "CHOPPED BEEF", ("cattle",), False, _CFR_A, "read"),
    GroundName("hamburger", "HAMBURGER", ("cattle",), True, "9 CFR 319.15(b)", "read"),
    GroundName("beef-patties", "BEEF PATTIES", ("cattle",), True, "9 CFR 319.15(c)", "memory"),
    GroundName("ground-chuck", "GROUND CHUCK", ("cattle",), False, f"{_CFR_A}; {_IMPS}", "read",
               primal="chuck", shank="foreshank", shank_free_fat_pct=20.0),
    GroundName("ground-round", "GROUND ROUND", ("cattle",), False, f"{_CFR_A}; {_IMPS}", "read",
               primal="round", shank="hindshank", shank_free_fat_pct=15.0),
    GroundName("ground-sirloin", "GROUND SIRLOIN", ("cattle",), False, f"{_CFR_A}; {_IMPS}", "read",
               primal="sirloin"),
    # Bison is outside 319.15 (it is inspected under 9 CFR 352); the limits of ground beef are kept.
    GroundName("ground-bison", "GROUND BISON", ("bison",), False, "the limits of 9 CFR 319.15(a) kept",
               "practice"),
    GroundName("ground-bison-and-beef", "GROUND BISON AND BEEF", ("bison", "cattle"), False,
               "both species named, the larger first", "memory"),
    GroundName("ground-beef-and-bison", "GROUND BEEF AND BISON", ("cattle", "bison"), False,
               "both species named, the larger first", "memory"),
)  # fmt: skip

GROUND_NAMES: dict[str, GroundName] = {row.slug: row for row in _ROWS}
"""Every name by slug, for this step and for the planner."""


def label_words(name: GroundName, *, lean_pct: float, custom: bool) -> tuple[str, ...]:
    """The words a label may carry: the name, and lean with fat beside it as one string.

    Lean may be printed on a product that is not low in fat only with the fat beside it, in the same size,
    colour and type [9 CFR 317.362(f), read in part]. Custom work carries Not for Sale and the name only
    [9 CFR 316.16 and 317.16, read].
    """
    if custom:
        return ("NOT FOR SALE", name.words)
    return (name.words, f"{lean_pct:g}% LEAN / {100.0 - lean_pct:g}% FAT")
