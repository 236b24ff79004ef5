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
BALANCE_TOLERANCE = 5e-4


@dataclass(frozen=True, slots=True)
class Way:
    """One way of breaking one piece.

    `shares` of the piece by output slug, `loss` among them, adding to 1; `minutes_per_100kg` of the piece by
    kind of work; `species` any, cattle or bison. Shares are those of the reference animal of
    `breakdown/tissue.py`.
    """

    piece: str
    name: str
    shares: Mapping[str, float]
    minutes_per_100kg: Mapping[str, float]
    species: str
    mark: str
    source: str

    @property
    def outputs(self) -> tuple[str, ...]:
        """Output slugs in the order of the file, the loss left out."""
        return tuple(slug for slug in self.shares if slug != LOSS)

    @property
    def is_whole(self) -> bool:
        return self.name == WHOLE


@dataclass(frozen=True, slots=True)
class Tree:
    """All ways by piece and name, and the named styles (piece to way name)."""

    ways: Mapping[str, Mapping[str, Way]]
    styles: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def ways_of(self, piece: str, species: str) -> dict[str, Way]:
        """The ways open to a piece of this species, by name; empty for a leaf."""
        return {name: way for name, way in self.ways.get(piece, {}).items() if way.species in ("any", species)}

    def reached(self, chosen: Mapping[str, str], species: str) -> list[Way]:
        """The ways that are really used when each piece is broken as `chosen` says, parents before children.

        A piece that `chosen` does not name is left whole. Pieces come only after everything that makes them.
        """
        order: list[Way] = []
        waiting = [ROOT]
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
    files = sorted((file for file in folder.iterdir() if file.name.endswith(".toml")), key=lambda file: file.name)
    findings = Findings()
    tree = read_tree(((file.name, tomllib.loads(file.read_text("utf-8"))) for file in files), findings)
    findings.stop_if_any()
    return tree


def read_tree(files: Iterable[tuple[str, Mapping[str, Any]]], findings: Findings, base: Tree | None = None) -> Tree:
    """A tree out of files of [[way]] tables and [style.NAME] tables; `base` is extended or overridden."""
    ways: dict[str, dict[str, Way]] = {piece: dict(named) for piece, named in base.ways.items()} if base else {}
    styles: dict[str, dict[str, str]] = {name: dict(of) for name, of in base.styles.items()} if base else {}
    for file_name, tables in files:
        top = Entry(tables, file_name, findings)
        new: set[tuple[str, str]] = set()
        for entry in top.tables("way"):
            way = _read_way(entry)
            if way is None:
                continue
            if (way.piece, way.name) in new:
                entry.wrong("name", way.name, f"each way of {way.piece} once", "Rename or take out one of them.")
            new.add((way.piece, way.name))
            ways.setdefault(way.piece, {})[way.name] = way
        for name, chosen in top.table("style").fields.items():
            styles[name] = {**styles.get(name, {}), **{str(piece): str(way) for piece, way in chosen.items()}}
        top.no_more()
    return Tree(ways=ways, styles=styles)


def _read_way(entry: Entry) -> Way | None:
    before = len(entry.findings)
    piece = entry.text("piece", required=True)
    name = entry.text("name", required=True)
    if piece and name:
        entry.where = f"{entry.where} ({piece}: {name})"
    species = entry.word("species", ("any", *SPECIES)) or "any"
    mark = entry.word("mark", MARKS) or "shop"
    source = entry.text("source", longest=400) or "the shop's own figure"
    out = entry.table("out")
    shares = {slug: out.number(slug, low=0.0, high=1.0, required=True, what="a share from 0 to 1") or 0.0
              for slug in out.fields}  # fmt: skip
    minutes_entry = entry.table("minutes_per_100kg")
    minutes = {work: minutes_entry.number(work, low=0.0, high=10_000.0) or 0.0 for work in WORK}
    minutes_entry.no_more()
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
    return Way(piece=piece, name=name, shares=exact, minutes_per_100kg={w: m for w, m in minutes.items() if m},
               species=species, mark=mark, source=source)  # fmt: skip
