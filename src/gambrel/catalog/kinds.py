"""Kinds of animal as rows of a table: species, finish, ribs, hanging days and what is usual for them.

The four kinds of `data/kinds.toml` come with the package; a shop adds its own in a TOML file of that form.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
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
    """One kind of animal. Weights are of the hot carcass (both sides); days are from the kill.

    `like` is the shipped kind whose priors it leans on: for a shop's own kind the one it names, or else the
    nearest by species and finish.
    """

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
"""Fields of the form [mean, sd, mark, source], with the span that the mean may have."""

_SLOPES = ("fat_mm_per_hot_kg", "ribeye_cm2_per_hot_kg")
LONGEST_HANG_DAYS = 120


@cache
def shipped_kinds() -> dict[str, Kind]:
    """The four kinds of the package by slug."""
    text = resources.files("gambrel.catalog").joinpath("data/kinds.toml").read_text("utf-8")
    findings = Findings()
    kinds = read_kinds(tomllib.loads(text), {}, findings)
    findings.stop_if_any()
    return kinds


def read_kinds(tables: Mapping[str, Any], known: Mapping[str, Kind], findings: Findings) -> dict[str, Kind]:
    """`known` kinds plus those of `tables` (slug to fields).

    A table may lean on another kind by `like` and then gives only what differs; every slip is a finding and
    leaves that kind out. With nothing known, each kind stands for itself.
    """
    kinds = dict(known)
    for slug, fields in tables.items():
        if not isinstance(fields, Mapping):
            wanted, do = "a table of fields", f"Write [{slug}] and its fields below it."
            findings.add(f"kind {slug}", fields, wanted, do)
            continue
        kind = _read_kind(slug, Entry(fields, f"kind {slug}", findings), kinds, priors=known)
        if kind is not None:
            kinds[slug] = kind
    return kinds


def _read_kind(
    slug: str, entry: Entry, known: Mapping[str, Kind], *, priors: Mapping[str, Kind]
) -> Kind | None:
    before = len(entry.findings)
    base = known.get(entry.word("like", known) or "")
    given = _read_fields(entry, required=not entry.has("like"))
    entry.no_more()
    if len(entry.findings) > before:
        return None
    if base is not None:
        kind = replace(base, slug=slug, **given)
    else:
        kind = Kind(slug=slug, like=_nearest(slug, given, priors), **given)
    _check_together(entry, kind)
    return kind if len(entry.findings) == before else None


def _read_fields(entry: Entry, *, required: bool) -> dict[str, Any]:
    """The fields that are there and right, by their name in `Kind`; the others gave findings if required."""
    read = {
        "name": entry.text("name", required=required),
        "species": entry.word("species", SPECIES, required=required),
        "finish": entry.word("finish", FINISHES, required=required),
        "sexes": _sexes(entry, required=required),
        "rib_pairs": entry.whole("rib_pairs", low=12, high=15, required=required),
        "ribbed_between": _whole_numbers(entry, "ribbed_between", 2, required=required),
        "hang_days": _whole_numbers(entry, "hang_days", 3, required=required),
        "usual_age_months": entry.whole("usual_age_months", low=1, high=300, required=required),
        **{name: _spread(entry, name, required=required) for name in _SPREADS},
        **{name: entry.number(name, low=-1.0, high=1.0, required=required) for name in _SLOPES},
    }
    return {name: value for name, value in read.items() if value is not None}


def _check_together(entry: Entry, kind: Kind) -> None:
    """What only shows when the fields are seen side by side."""
    earliest, target, latest = kind.hang_days
    if not 0 <= earliest <= target <= latest <= LONGEST_HANG_DAYS:
        wanted = f"earliest, target and latest day, rising, from 0 to {LONGEST_HANG_DAYS}"
        entry.wrong("hang_days", list(kind.hang_days), wanted, "Put them in order.")
    front, back = kind.ribbed_between
    if not 1 <= front == back - 1 < kind.rib_pairs:
        wanted = f"two neighbouring ribs out of {kind.rib_pairs}"
        entry.wrong("ribbed_between", [front, back], wanted, "Give the ribs either side of the cut.")


def _nearest(slug: str, given: Mapping[str, Any], priors: Mapping[str, Kind]) -> str:
    """Slug of the kind to lean on: of the same species, the same finish before another; else its own."""
    same_species = [prior for prior in priors.values() if prior.species == given["species"]]
    same_finish = [prior for prior in same_species if prior.finish == given["finish"]]
    return next((prior.like for prior in same_finish + same_species), slug)


def _sexes(entry: Entry, *, required: bool) -> tuple[str, ...] | None:
    """The sexes it comes in; all of them where none are named."""
    raw = entry.raw("sexes")
    if raw is None:
        return SEXES if required else None
    if not isinstance(raw, list) or not raw or any(sex not in SEXES for sex in raw):
        wanted = "a list out of " + ", ".join(SEXES)
        entry.wrong("sexes", raw, wanted, "Write the sexes this kind comes in.")
        return None
    return tuple(dict.fromkeys(raw))


def _whole_numbers(entry: Entry, name: str, length: int, *, required: bool) -> tuple[int, ...] | None:
    raw = entry.raw(name)
    if raw is None and not required:
        return None
    if not isinstance(raw, list) or len(raw) != length or any(type(item) is not int for item in raw):
        given = "nothing" if raw is None else raw
        entry.wrong(name, given, f"a list of {length} whole numbers", "Fill it in.")
        return None
    return tuple(raw)


def _spread(entry: Entry, name: str, *, required: bool) -> Spread | None:
    raw = entry.raw(name)
    if raw is None and not required:
        return None
    if not isinstance(raw, list) or len(raw) not in (2, 4) or not all(map(_is_number, raw[:2])):
        given = "nothing" if raw is None else raw
        entry.wrong(name, given, "[mean, sd] or [mean, sd, mark, source]", "Fill it in.")
        return None
    mean, sd = raw[:2]
    mark, source = raw[2:] or ("shop", "the shop's own figure")
    low, high = _SPREADS[name]
    if not low <= mean <= high or not 0 < sd < high:
        wanted = f"a mean from {low:g} to {high:g} and an sd above 0"
        entry.wrong(name, [mean, sd], wanted, "Check the figure and its unit.")
        return None
    if mark not in MARKS:
        entry.wrong(name, mark, "a mark out of " + ", ".join(MARKS), "Say where the figure comes from.")
        return None
    return Spread(float(mean), float(sd), mark, str(source))


def _is_number(item: object) -> bool:
    return isinstance(item, (int, float)) and not isinstance(item, bool)
