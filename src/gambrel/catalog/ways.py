"""The breakdown tree: pieces, the ways each is broken, and named styles that choose one way a piece.

A way says what comes out of one piece as shares of that piece; with the cutting loss they add to 1. The files
under `data/ways/` are written to be read and edited by a butcher; `check.py` says what is wrong with them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any

from gambrel.catalog.kinds import MARKS, SPECIES
from gambrel.measures import Entry, Findings

ROOT = "side"
LOSS = "loss"
WHOLE = "whole"
"""The way that leaves a piece as it is: it is sold whole."""

WORK = ("knife", "saw", "grinder", "packer")
TRIMS = ("close", "light")
"""How far the fat is taken off; light leaves cover and seam fat on the cuts, which then weigh more."""

BALANCE_TOLERANCE = 5e-4


@dataclass(frozen=True, slots=True)
class Way:
    """One way of breaking one piece.

    `shares` of the piece by output slug, `loss` among them, adding to 1; `minutes_per_100kg` of the piece by
    kind of work; `species` any, cattle or bison. Shares are those of the reference animal of
    `breakdown/tissue.py`. `ribs` counts the rib pairs whose upper ends go with an output (a quarter's way
    only), so that a bison's fourteenth rib can be looked for.
    """

    piece: str
    name: str
    shares: Mapping[str, float]
    minutes_per_100kg: Mapping[str, float]
    species: str
    mark: str
    source: str
    ribs: Mapping[str, int] = field(default_factory=dict)
    trim: str = TRIMS[0]

    @property
    def outputs(self) -> tuple[str, ...]:
        """Output slugs in the order of the file, the loss left out."""
        return tuple(slug for slug in self.shares if slug != LOSS)

    @property
    def is_whole(self) -> bool:
        return self.name == WHOLE


@dataclass(frozen=True, slots=True)
class Tree:
    """All ways by piece and name, and the named styles (piece to way names, the first that fits is taken)."""

    ways: Mapping[str, Mapping[str, Way]]
    styles: Mapping[str, Mapping[str, tuple[str, ...]]] = field(default_factory=dict)

    def ways_of(self, piece: str, species: str) -> dict[str, Way]:
        """The ways open to a piece of this species, by name; empty for a leaf."""
        return {
            name: way for name, way in self.ways.get(piece, {}).items() if way.species in ("any", species)
        }

    def trimmed(self, trim: str) -> Tree:
        """The same tree with the ways of a shop that trims so: all of them for light, none of the light for close."""
        if trim == "light":
            return self
        ways = {
            piece: {name: way for name, way in named.items() if way.trim == trim}
            for piece, named in self.ways.items()
        }
        return Tree(ways={piece: named for piece, named in ways.items() if named}, styles=self.styles)

    def style(self, name: str, species: str) -> dict[str, str]:
        """Piece to way name of a named style for this species; a piece that no named way fits is left out.

        Raises `KeyError` when there is no style of this name.
        """
        chosen: dict[str, str] = {}
        for piece, names in self.styles[name].items():
            open_ways = self.ways_of(piece, species)
            fitting = next((way for way in names if way in open_ways), None)
            if fitting is not None:
                chosen[piece] = fitting
        return chosen

    def reached(self, chosen: Mapping[str, str], species: str, *, root: str = ROOT) -> list[Way]:
        """The ways that are really used when each piece is broken as `chosen` says, parents before children.

        A piece that `chosen` does not name is left whole. Pieces come only after everything that makes them.
        """
        order: list[Way] = []
        waiting = [root]
        seen: set[str] = set()
        while waiting:
            piece = waiting.pop(0)
            if piece in seen:
                continue
            seen.add(piece)
            way = self.ways_of(piece, species).get(chosen.get(piece, WHOLE))
            if way is None or way.is_whole:
                continue
            order.append(way)
            waiting.extend(slug for slug in way.outputs if slug in self.ways)
        return _parents_first(order)


def _parents_first(used: list[Way]) -> list[Way]:
    """Order ways so that each piece comes after every way that makes some of it."""
    makers: dict[str, set[str]] = {way.piece: set() for way in used}
    for way in used:
        for slug in way.outputs:
            if slug in makers:
                makers[slug].add(way.piece)
    ordered: list[Way] = []
    remaining = list(used)
    done: set[str] = set()
    while remaining:
        ready = [way for way in remaining if makers[way.piece] <= done]
        if not ready:
            raise ValueError("the ways go round in a circle: " + ", ".join(way.piece for way in remaining))
        ordered.extend(ready)
        done.update(way.piece for way in ready)
        remaining = [way for way in remaining if way.piece not in done]
    return ordered


@cache
def shipped_tree() -> Tree:
    """The tree that comes with the package."""
    folder = resources.files("gambrel.catalog").joinpath("data/ways")
    files = sorted(
        (file for file in folder.iterdir() if file.name.endswith(".toml")), key=lambda file: file.name
    )
    findings = Findings()
    tree = read_tree(((file.name, tomllib.loads(file.read_text("utf-8"))) for file in files), findings)
    findings.stop_if_any()
    return tree


def read_tree(
    files: Iterable[tuple[str, Mapping[str, Any]]], findings: Findings, base: Tree | None = None
) -> Tree:
    """A tree out of files of [[way]] tables and [style.NAME] tables; `base` is extended or overridden."""
    ways: dict[str, dict[str, Way]] = (
        {piece: dict(named) for piece, named in base.ways.items()} if base else {}
    )
    styles: dict[str, dict[str, tuple[str, ...]]] = (
        {name: dict(of) for name, of in base.styles.items()} if base else {})  # fmt: skip
    for file_name, tables in files:
        top = Entry(tables, file_name, findings)
        new: set[tuple[str, str]] = set()
        for entry in top.tables("way"):
            way = _read_way(entry)
            if way is None:
                continue
            if (way.piece, way.name) in new:
                entry.wrong(
                    "name", way.name, f"each way of {way.piece} once", "Rename or take out one of them."
                )
            new.add((way.piece, way.name))
            ways.setdefault(way.piece, {})[way.name] = way
        named = top.table("style")
        for name in named.fields:
            styles[name] = {**styles.get(name, {}), **_read_style(named.table(name))}
        top.no_more()
    return Tree(ways=ways, styles=styles)


def _read_style(entry: Entry) -> dict[str, tuple[str, ...]]:
    """Piece to way names; a list of names is tried in order, for pieces that a bison breaks another way."""
    chosen: dict[str, tuple[str, ...]] = {}
    for piece in entry.fields:
        raw = entry.raw(piece)
        names = [raw] if isinstance(raw, str) else raw
        if (
            not isinstance(names, list)
            or not names
            or not all(isinstance(name, str) and name for name in names)
        ):
            entry.wrong(
                piece,
                raw,
                "the name of a way, or a list of names",
                f'Write {piece} = "whole", or another way.',
            )
            continue
        chosen[piece] = tuple(names)
    return chosen


def _read_way(entry: Entry) -> Way | None:
    before = len(entry.findings)
    piece = entry.text("piece", required=True)
    name = entry.text("name", required=True)
    if piece and name:
        entry.where = f"{entry.where} ({piece}: {name})"
    species = entry.word("species", ("any", *SPECIES)) or "any"
    trim = entry.word("trim", TRIMS) or TRIMS[0]
    mark = entry.word("mark", MARKS) or "shop"
    source = entry.text("source", longest=400) or "the shop's own figure"
    out = entry.table("out")
    shares = {slug: out.number(slug, low=0.0, high=1.0, required=True, what="a share from 0 to 1") or 0.0
              for slug in out.fields}  # fmt: skip
    minutes_entry = entry.table("minutes_per_100kg")
    minutes = {work: minutes_entry.number(work, low=0.0, high=10_000.0) or 0.0 for work in WORK}
    minutes_entry.no_more()
    ribs_entry = entry.table("ribs")
    ribs = {slug: ribs_entry.whole(slug, low=0, high=15, required=True) or 0 for slug in ribs_entry.fields}
    for slug in ribs:
        if slug not in shares:
            ribs_entry.wrong(slug, "a piece that does not come out", "one of the outputs", "Take it out.")
    entry.no_more()
    total = sum(shares.values())
    if shares and abs(total - 1.0) > BALANCE_TOLERANCE:
        entry.wrong("out", f"shares that add to {total:.4f}", "shares, loss among them, that add to 1",
                    f"Change one of them by {1.0 - total:+.4f}.")  # fmt: skip
    if not shares and name != WHOLE:
        entry.wrong("out", "nothing", "the shares of what comes out", "Fill it in.")
    if len(entry.findings) > before or piece is None or name is None:
        return None
    exact = {slug: share / total for slug, share in shares.items()} if shares else {}
    return Way(
        piece=piece,
        name=name,
        shares=exact,
        minutes_per_100kg={work: spent for work, spent in minutes.items() if spent},
        species=species,
        mark=mark,
        source=source,
        ribs=ribs,
        trim=trim,
    )
