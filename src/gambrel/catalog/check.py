"""What is wrong with a tree of ways: one small check a rule, all of them run, nothing stopped at the first.

The reader of the ways files already refuses a way that does not balance; these checks look at the whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from gambrel.catalog.cuts import Cut
from gambrel.catalog.kinds import SPECIES
from gambrel.catalog.ways import BALANCE_TOLERANCE, ROOT, WHOLE, Tree, Way
from gambrel.measures import Finding

PRIMAL_PIECES = (
    "chuck-square-cut", "rib-primal", "brisket-bone-in", "foreshank", "short-plate", "short-loin",
    "sirloin-bone-in", "round-primal", "hindshank", "flank-primal",
)  # fmt: skip
"""Pieces that every species must be able to break both bone-in and boneless."""

REST = ("bone", "fat")
"""Uses of what is left when the meat is off."""

HUMP = "bison-hump"
QUARTERS = ("forequarter", "hindquarter")

RIB_PAIRS = {"cattle": 13, "bison": 14}
"""Bison, Hereford, Brahman; Beef Research Progress Report 3:26, USDA-ARS, 1988."""

Check = Callable[[Tree, Mapping[str, Cut]], Iterator[Finding]]


def check_tree(tree: Tree, cuts: Mapping[str, Cut]) -> list[Finding]:
    """Everything that is wrong with the tree, in words for whoever edits the ways; empty when all is well.

    With a slug that the catalogue lacks only the checks that need no catalogue are run; the styles are
    followed down the tree only once the ways are in order.
    """
    found = [finding for check in _WITHOUT_CUTS for finding in check(tree, cuts)]
    unknown = list(every_piece_is_in_the_catalogue(tree, cuts))
    if unknown:
        return found + unknown
    found += [finding for check in _WITH_CUTS for finding in check(tree, cuts)]
    return found or list(every_style_breaks_what_is_no_food_yet(tree, cuts))


def every_way_balances(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    for way in _all_ways(tree):
        if way.is_whole and not way.shares:
            continue
        total, least = sum(way.shares.values()), min(way.shares.values(), default=0.0)
        if abs(total - 1.0) > BALANCE_TOLERANCE or least < 0.0:
            yield Finding(_where(way), f"shares that add to {total:.4f}, the least {least:.4f}",
                          "shares from 0 to 1 that add to 1", "Mend the shares of this way.")  # fmt: skip


def no_minutes_are_negative(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    for way in _all_ways(tree):
        for work, minutes in way.minutes_per_100kg.items():
            if minutes < 0.0:
                yield Finding(_where(way), f"{minutes:g} minutes of {work}", "0 or more", "Mend the minutes.")


def no_piece_comes_out_of_itself(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    """No circle: following the ways down never comes back to the same piece."""
    below = {piece: {slug for way in named.values() for slug in way.outputs if slug in tree.ways}
             for piece, named in tree.ways.items()}  # fmt: skip
    while True:
        ends = {piece for piece, outputs in below.items() if not outputs}
        if not ends:
            break
        below = {piece: outputs - ends for piece, outputs in below.items() if piece not in ends}
    if below:
        yield Finding("ways", "a circle among " + ", ".join(sorted(below)), "pieces that only get smaller",
                      "Take the larger piece out of the outputs of the smaller.")  # fmt: skip


def everything_is_reached_from_the_side(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    reached = {piece for species in SPECIES for piece in _reachable(tree, species)}
    for piece in tree.ways:
        if piece not in reached:
            yield Finding(f"ways of {piece}", "a piece that nothing gives", "a piece out of the side",
                          f"Add {piece} to the outputs of some way, or take its ways out.")  # fmt: skip


def every_style_names_ways_there_are(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    for style, chosen in tree.styles.items():
        for piece, names in chosen.items():
            known = {*tree.ways.get(piece, {}), WHOLE}
            if piece not in tree.ways:
                yield Finding(f"style {style}", f"{piece}, which has no ways", "a piece that has ways",
                              "Mend the name of the piece.")  # fmt: skip
            for name in names:
                if piece in tree.ways and name not in known:
                    yield Finding(f"style {style}, {piece}", name, "one of " + ", ".join(sorted(known)),
                                  "Mend the name of the way.")  # fmt: skip


def every_piece_is_in_the_catalogue(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    for way in _all_ways(tree):
        for slug in (way.piece, *way.outputs):
            if slug not in cuts:
                yield Finding(
                    _where(way), slug, "a slug of the cut catalogue", "Mend its name, or add the cut."
                )


def every_leaf_has_a_use(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    """What no way breaks further must be something that is sold or thrown away, not a piece to be broken."""
    for species in SPECIES:
        for slug in sorted(_reachable(tree, species)):
            if cuts[slug].use == "break" and not tree.ways_of(slug, species):
                yield Finding(slug, f"no way to break it ({species})", "a way, or a use such as roast",
                              f"Add a way of breaking {slug}.")  # fmt: skip


def every_style_breaks_what_is_no_food_yet(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    """A style may leave a quarter or a primal whole only by saying so."""
    for style in tree.styles:
        for species in SPECIES:
            chosen = tree.style(style, species)
            used = {way.piece: way for way in tree.reached(chosen, species)}
            made = {ROOT} | {slug for way in used.values() for slug in way.outputs}
            for slug in sorted(made - set(used)):
                if cuts[slug].use == "break" and chosen.get(slug) != WHOLE:
                    yield Finding(f"style {style} ({species})", f"{slug} left as it is", "a way for it",
                                  f"Name a way for {slug}, or whole.")  # fmt: skip


def every_primal_has_a_bone_in_and_a_boneless_way(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    for species in SPECIES:
        for piece in PRIMAL_PIECES:
            broken = [way for way in tree.ways_of(piece, species).values() if not way.is_whole]
            meat = [[cut for cut in map(cuts.__getitem__, way.outputs) if _is_meat(cut)] for way in broken]
            boneless = any(outputs and all(cut.bone == "out" for cut in outputs) for outputs in meat)
            bone_in = any(cut.bone == "in" for outputs in meat for cut in outputs)
            for there, word in ((boneless, "boneless"), (bone_in, "bone-in")):
                if not there:
                    yield Finding(f"ways of {piece}", f"no {word} way for {species}",
                                  "one bone-in and one boneless", f"Add a {word} way.")  # fmt: skip


def every_species_has_all_its_ribs(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    """Thirteen pairs in cattle, fourteen in bison, over every way of breaking the two quarters."""
    for species in SPECIES:
        counts: list[set[int]] = []
        for quarter in QUARTERS:
            broken = [way for way in tree.ways_of(quarter, species).values() if not way.is_whole]
            counts.append({sum(way.ribs.values()) for way in broken})
        totals = {fore + hind for fore in counts[0] for hind in counts[1]}
        if totals != {RIB_PAIRS[species]}:
            shown = ", ".join(str(total) for total in sorted(totals)) or "no ribs"
            yield Finding(f"quarters of {species}", f"{shown} in the ribs fields",
                          f"{RIB_PAIRS[species]} rib pairs over forequarter and hindquarter",
                          "Count the ribs that go with each piece in every way of the quarters.")  # fmt: skip


def a_bison_keeps_its_hump(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    for way in tree.ways_of("forequarter", "bison").values():
        if not way.is_whole and HUMP not in way.outputs:
            yield Finding(
                _where(way), f"no {HUMP}", f"{HUMP} among what comes out", "Give the hump its share."
            )


def no_cut_comes_from_the_wrong_animal(tree: Tree, cuts: Mapping[str, Cut]) -> Iterator[Finding]:
    """A cut of cattle alone never comes from a bison's way, nor a bison's cut from cattle."""
    for species in SPECIES:
        for piece in sorted(_reachable(tree, species)):
            for way in tree.ways_of(piece, species).values():
                for slug in way.outputs:
                    if cuts[slug].species not in ("any", species):
                        yield Finding(_where(way), f"{slug} out of {species}", f"cuts of {species}",
                                      "Set the species of the way, or take the cut out.")  # fmt: skip


_WITHOUT_CUTS: tuple[Check, ...] = (
    every_way_balances,
    no_minutes_are_negative,
    no_piece_comes_out_of_itself,
    everything_is_reached_from_the_side,
    every_style_names_ways_there_are,
)
_WITH_CUTS: tuple[Check, ...] = (
    every_leaf_has_a_use,
    every_primal_has_a_bone_in_and_a_boneless_way,
    every_species_has_all_its_ribs,
    a_bison_keeps_its_hump,
    no_cut_comes_from_the_wrong_animal,
)


def _all_ways(tree: Tree) -> Iterator[Way]:
    for named in tree.ways.values():
        yield from named.values()


def _is_meat(cut: Cut) -> bool:
    """Whether it says if a way is bone-in or boneless: no bare bone, no fat, no primal of its own."""
    return cut.use not in REST and cut.slug not in PRIMAL_PIECES


def _where(way: Way) -> str:
    return f"{way.piece}: {way.name}"


def _reachable(tree: Tree, species: str) -> set[str]:
    """Everything that can come out of the side of this species by some way or other, the side among it."""
    seen: set[str] = set()
    waiting = [ROOT]
    while waiting:
        piece = waiting.pop()
        if piece not in seen:
            seen.add(piece)
            waiting.extend(slug for way in tree.ways_of(piece, species).values() for slug in way.outputs)
    return seen
