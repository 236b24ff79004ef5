"""Kinds of animal as rows of a table: species, finish, ribs, hanging days and what is usual for them.

The four kinds of `data/kinds.toml` come with the package; a shop adds its own in a TOML file of the same form.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from gambrel.measures import Entry, Findings

SPECIES = ("cattle", "bison")
FINISHES = ("grain", "grass", "mixed")
SEXES = ("steer", "heifer", "cow", "bullock", "bull")
MARKS = ("read", "derived", "practice", "memory", "shop")


@dataclass(frozen=True, slots=True)
class Spread:
    """What is usual: mean and standard deviation in the unit of the field, with mark and source."""

    mean: float
    sd: float
    mark: str
    source: str


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of animal. Weights are of the hot carcass (both sides); days are from the kill."""

    slug: str
    name: str
    species: str
    finish: str
    sexes: tuple[str, ...]
    rib_pairs: int
    ribbed_between: tuple[int, int]
    hang_days: tuple[int, int, int]
    usual_age_months: int
    dressing_share: Spread
    hot_kg: Spread
    fat_mm: Spread
    ribeye_cm2: Spread
    kph_pct: Spread
    marbling_score: Spread
    fat_mm_per_hot_kg: float
    ribeye_cm2_per_hot_kg: float
    like: str

    def usual_fat_mm(self, hot_kg: float) -> float:
        """Fat thickness to expect at this hot weight [mm], never below 0.5."""
        return max(0.5, self.fat_mm.mean + self.fat_mm_per_hot_kg * (hot_kg - self.hot_kg.mean))

    def usual_ribeye_cm2(self, hot_kg: float) -> float:
        """Ribeye area to expect at this hot weight [cm2], never below 20."""
        return max(20.0, self.ribeye_cm2.mean + self.ribeye_cm2_per_hot_kg * (hot_kg - self.hot_kg.mean))


_SPREADS = {"dressing_share": (0.3, 0.8), "hot_kg": (30.0, 900.0), "fat_mm": (0.0, 60.0),
            "ribeye_cm2": (20.0, 200.0), "kph_pct": (0.0, 10.0), "marbling_score": (0.0, 1000.0)}  # fmt: skip


@cache
def shipped_kinds() -> dict[str, Kind]:
    """The four kinds of the package by slug."""
    text = resources.files("gambrel.catalog").joinpath("data/kinds.toml").read_text("utf-8")
    findings = Findings()
    kinds = read_kinds(tomllib.loads(text), {}, findings)
    findings.stop_if_any()
    return kinds


def read_kinds(tables: Mapping[str, Any], known: Mapping[str, Kind], findings: Findings) -> dict[str, Kind]:
    """`known` kinds plus those of `tables` (slug to fields); a table may lean on another by `like`."""
    kinds = dict(known)
    for slug, fields in tables.items():
        if not isinstance(fields, Mapping):
            findings.add(f"kind {slug}", fields, "a table of fields", f"Write [{slug}] and its fields below it.")
            continue
        kind = _read_kind(slug, Entry(fields, f"kind {slug}", findings), kinds)
        if kind is not None:
            kinds[slug] = kind
    return kinds


def _read_kind(slug: str, entry: Entry, known: Mapping[str, Kind]) -> Kind | None:
    before = len(entry.findings)
    like = entry.word("like", known) if entry.has("like") else None
    base = known[like] if like else None
    needed = base is None
    species = entry.word("species", SPECIES, required=needed) or (base.species if base else "")
    finish = entry.word("finish", FINISHES, required=needed) or (base.finish if base else "")
    name = entry.text("name", required=needed) or (base.name if base else slug)
    sexes = _sexes(entry) or (base.sexes if base else SEXES)
    pairs = entry.whole("rib_pairs", low=12, high=15, required=needed) or (base.rib_pairs if base else 13)
    ribbed = _whole_list(entry, "ribbed_between", 2, needed) or (base.ribbed_between if base else (12, 13))
    days = _whole_list(entry, "hang_days", 3, needed) or (base.hang_days if base else (1, 1, 1))
    age = entry.whole("usual_age_months", low=1, high=300, required=needed) or (
        base.usual_age_months if base else 18)  # fmt: skip
    if tuple(sorted(days)) != tuple(days) or days[0] < 0 or days[2] > 120:
        entry.wrong("hang_days", list(days), "earliest, target and latest day, rising, from 0 to 120", "Put them in order.")
    if ribbed[1] != ribbed[0] + 1 or ribbed[1] > pairs:
        entry.wrong("ribbed_between", list(ribbed), f"two neighbouring ribs, at most {pairs}", "Give the two ribs either side of the cut.")
    spreads = {name_: _spread(entry, name_, getattr(base, name_, None)) for name_ in _SPREADS}
    slopes = {name_: _slope(entry, name_, getattr(base, name_, None))
              for name_ in ("fat_mm_per_hot_kg", "ribeye_cm2_per_hot_kg")}  # fmt: skip
    entry.no_more()
    if len(entry.findings) > before:
        return None
    return Kind(slug=slug, name=name, species=species, finish=finish, sexes=sexes, rib_pairs=pairs,
                ribbed_between=(ribbed[0], ribbed[1]), hang_days=(days[0], days[1], days[2]),
                usual_age_months=age, like=base.like if base else slug, **spreads, **slopes)  # type: ignore[arg-type]  # fmt: skip


def _sexes(entry: Entry) -> tuple[str, ...]:
    raw = entry.raw("sexes")
    if raw is None:
        return ()
    if not isinstance(raw, list) or not raw or any(sex not in SEXES for sex in raw):
        entry.wrong("sexes", raw, "a list out of " + ", ".join(SEXES), "Write the sexes this kind comes in.")
        return ()
    return tuple(raw)


def _whole_list(entry: Entry, name: str, length: int, needed: bool) -> tuple[int, ...]:
    raw = entry.raw(name)
    if raw is None and not needed:
        return ()
    if not isinstance(raw, list) or len(raw) != length or any(type(item) is not int for item in raw):
        entry.wrong(name, raw if raw is not None else "nothing", f"a list of {length} whole numbers", "Fill it in.")
        return ()
    return tuple(raw)


def _spread(entry: Entry, name: str, base: Spread | None) -> Spread | None:
    low, high = _SPREADS[name]
    raw = entry.raw(name)
    if raw is None and base is not None:
        return base
    good = (isinstance(raw, list) and len(raw) in (2, 4)
            and all(isinstance(item, (int, float)) and not isinstance(item, bool) for item in raw[:2]))  # fmt: skip
    if not good or raw is None:
        entry.wrong(name, raw if raw is not None else "nothing", "[mean, sd] or [mean, sd, mark, source]", "Fill it in.")
        return None
    mark, source = (raw[2], raw[3]) if len(raw) == 4 else ("shop", "the shop's own figure")
    if not low <= raw[0] <= high or not 0 < raw[1] < high:
        entry.wrong(name, raw[:2], f"a mean from {low:g} to {high:g} and an sd above 0", "Check the figure and its unit.")
        return None
    if mark not in MARKS:
        entry.wrong(name, mark, "a mark out of " + ", ".join(MARKS), "Say where the figure comes from.")
        return None
    return Spread(float(raw[0]), float(raw[1]), str(mark), str(source))


def _slope(entry: Entry, name: str, base: float | None) -> float:
    value = entry.number(name, low=-1.0, high=1.0, required=base is None)
    if value is None:
        return base if base is not None else 0.0
    return value
