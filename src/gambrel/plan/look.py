"""Look before solving: everything about the week that cannot be right, and what a person should know of it."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import replace

from gambrel.catalog.ways import LOSS, Tree
from gambrel.measures import Finding, Findings
from gambrel.plan.lawful import law_notes, lawful_names
from gambrel.plan.owners import share_notes
from gambrel.plan.sides import window_notes
from gambrel.plan.walk import open_ways
from gambrel.plan.week import Hanging, OwnersSide, Week


def look_at_week(week: Week, tree: Tree, findings: Findings) -> tuple[Finding, ...]:
    """Slips go into `findings`; what is only worth knowing is returned."""
    known = cuts_made(tree)
    ground = {demand.slug for demand in week.demands if demand.is_ground}
    for demand in week.demands:
        if not demand.is_ground and demand.slug not in known:
            unknown_cut(f"demand {demand.name}, cut", demand.slug, known, findings)
    for order in week.orders:
        if order.slug not in known | ground:
            unknown_cut(f"order {order.id}, cut", order.slug, known | ground, findings)
    for line in week.stock:
        if line.slug not in known | ground:
            unknown_cut(f"stock {line.name}, cut", line.slug, known | ground, findings)
    notes = window_notes(week)
    notes.extend(share_notes(week.animals, week.shares))
    for line in week.stock:
        if not line.keeps_until(week.shop.start):
            notes.add(f"stock {line.name}", f"past its last day on {week.shop.start}", "meat that still keeps",
                      "It is not planned for: look at it and take it off the list.")  # fmt: skip
    for hanging in week.animals:
        _look_at_ways(hanging, tree, lawful_names(tree, hanging, week.shop), findings)
        notes.extend(law_notes(hanging, week.shop))
    return tuple(notes)


def with_styles(week: Week, tree: Tree, findings: Findings) -> Week:
    """The week with the ways of every animal's style filled in; custom animals go boneless when none is named."""
    animals = []
    for hanging in week.animals:
        name = hanging.style_name or (None if hanging.is_sold else "boneless")
        if name is not None and name not in tree.styles:
            if hanging.style_name is not None:
                findings.add(
                    f"animal {hanging.id}, style", name, "one of " + ", ".join(tree.styles), "Mend its name."
                )
            name = None
        styled = replace(hanging, style=tree.style(name, hanging.animal.species)) if name else hanging
        animals.append(replace(styled, owned=_owners_styles(hanging, tree, findings)))
    return replace(week, animals=tuple(animals))


def _owners_styles(hanging: Hanging, tree: Tree, findings: Findings) -> dict[str, OwnersSide]:
    """The sides in shares with the ways of their style, and those their owners wish besides."""
    owned = {}
    for half, side in hanging.owned.items():
        if side.style_name not in tree.styles:
            findings.add(f"share {side.shares[0]}, style", side.style_name, "one of " + ", ".join(tree.styles),
                         "Mend its name.")  # fmt: skip
            continue
        for piece, way in side.ways.items():
            there = tree.ways_of(piece, hanging.animal.species)
            if way not in there:
                findings.add(f"share {side.shares[0]}, ways", f"{piece} = {way}",
                             f"a way of {piece}: {', '.join(there)}" if there else "a piece that is broken further",
                             "Mend the name of the piece or the way.")  # fmt: skip
        owned[half] = replace(
            side, style={**tree.style(side.style_name, hanging.animal.species), **side.ways}
        )
    return owned


def cuts_made(tree: Tree) -> set[str]:
    """Every slug that comes out of some way, or is sold as it is."""
    made = {slug for named in tree.ways.values() for way in named.values() for slug in way.shares} - {LOSS}
    return made | {piece for piece, named in tree.ways.items() if any(way.is_whole for way in named.values())}


def unknown_cut(where: str, slug: str, known: set[str], findings: Findings) -> None:
    """A finding that names the nearest piece there is."""
    close = difflib.get_close_matches(slug, known, n=1)
    findings.add(where, slug, "a cut that some way of the breakdown gives",
                 f"Did you mean {close[0]}?" if close else "Mend its name, or add a way that gives it.")  # fmt: skip


def _look_at_ways(
    hanging: Hanging, tree: Tree, lawful: Mapping[str, tuple[str, ...]], findings: Findings
) -> None:
    """Pieces and ways that the animal's entry names must exist, and leave at least one way open."""
    named = {
        "ways_allowed": hanging.ways_allowed,
        "ways_forbidden": hanging.ways_forbidden,
        "pin ways": {piece: (way,) for piece, way in hanging.pin.ways.items()},
    }
    for field, ways in named.items():
        for piece, names in ways.items():
            there = tree.ways_of(piece, hanging.animal.species)
            for name in names:
                if name not in there:
                    findings.add(f"animal {hanging.id}, {field}", f"{piece} = {name}",
                                 f"a way of {piece}: {', '.join(there)}" if there else "a piece that is broken further",
                                 "Mend the name of the piece or the way.")  # fmt: skip
            shut = [name for name in names if name in there and name not in lawful.get(piece, (name,))]
            if shut and field != "ways_forbidden":
                findings.add(f"animal {hanging.id}, {field}", f"{piece} = {', '.join(shut)}",
                             "a way the law leaves open for an animal of this age",
                             "Take one of: " + (", ".join(lawful[piece]) or "none is") + ".")  # fmt: skip
            elif there and not open_ways(hanging, tree, piece, lawful):
                findings.add(f"animal {hanging.id}, {field}", f"every way of {piece} is shut",
                             "at least one way left open", "Allow one of: " + ", ".join(there) + ".")  # fmt: skip
