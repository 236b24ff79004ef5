"""The ways the law leaves open for one animal, and what to take instead of one that it closes."""

from __future__ import annotations

from collections.abc import Mapping

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.law import NO_FOOD_USES, POLICIES, forbidden_leaf
from gambrel.catalog.ways import ROOT, WHOLE, Tree, Way
from gambrel.measures import Finding

Open = dict[str, tuple[str, ...]]


def lawful_ways(
    tree: Tree, cuts: Mapping[str, Cut], animal: Animal, *, srm_policy_bison: str = POLICIES[0]
) -> Open:
    """Names of the lawful ways by piece, `whole` among them where the piece may be sold as it is.

    A way is lawful when all that comes out of it may be sold, or can be broken further into what may be.
    Bones and fat never close a way: those that may not be sold weigh as inedible.
    """
    open_ways: Open = {}

    def settle(slug: str) -> bool:
        """Whether something lawful can be made of this piece or leaf."""
        cut = cuts[slug]
        sold_so = cut.use != "break" or WHOLE in tree.ways_of(slug, animal.species)
        lawful = sold_so and forbidden_leaf(cut, animal, srm_policy_bison=srm_policy_bison) is None
        if slug not in tree.ways:
            return lawful or cut.use in NO_FOOD_USES
        if slug not in open_ways:
            names = [WHOLE] if lawful else []
            for way in tree.ways_of(slug, animal.species).values():
                if not way.is_whole and all(settle(out) for out in way.outputs):
                    names.append(way.name)
            open_ways[slug] = tuple(names)
        return bool(open_ways[slug]) or cut.use in NO_FOOD_USES

    for piece in (ROOT, *tree.ways):
        settle(piece)
    return open_ways


def boneless_alternative(
    tree: Tree,
    cuts: Mapping[str, Cut],
    piece: str,
    way: str,
    animal: Animal,
    *,
    srm_policy_bison: str = POLICIES[0],
) -> str | None:
    """The lawful way to take instead of `way`; None when there is none.

    One called boneless goes before others, then what keeps most as cuts, then the order of the file.
    """
    open_ways = lawful_ways(tree, cuts, animal, srm_policy_bison=srm_policy_bison).get(piece, ())
    named = tree.ways_of(piece, animal.species)
    others = [named[name] for name in open_ways if name not in (way, WHOLE)]
    if not others:
        return None

    def worth(other: Way) -> tuple[bool, float]:
        kept = sum(
            other.shares[slug] for slug in other.outputs if cuts[slug].use not in (*NO_FOOD_USES, "grind")
        )
        return (other.name.split(",")[0] == "boneless", round(kept, 2))

    return max(others, key=worth).name


def lawful_choice(
    tree: Tree,
    cuts: Mapping[str, Cut],
    animal: Animal,
    chosen: Mapping[str, str],
    *,
    asked: Mapping[str, str] | None = None,
    srm_policy_bison: str = POLICIES[0],
) -> tuple[dict[str, str], list[Finding], list[Finding]]:
    """`chosen` made lawful for this animal, what was changed for it, and what had to be refused.

    A way of a style that the law closes gives way to its boneless alternative, with a finding. A way in
    `asked` was named outright: it is not changed, and a finding in the last list says why it cannot be.
    """
    asked = asked or {}
    mended = dict(chosen)
    changed: list[Finding] = []
    while True:
        fault = _first_fault(tree, cuts, animal, mended, srm_policy_bison)
        if fault is None:
            return mended, changed, []
        finding, pieces = fault
        for piece in pieces:
            now = mended.get(piece, WHOLE)
            other = boneless_alternative(tree, cuts, piece, now, animal, srm_policy_bison=srm_policy_bison)
            if other is None:
                continue
            said = _instead(finding, piece, now, other)
            if piece in asked:
                return mended, changed, [said]
            mended[piece] = other
            changed.append(said)
            break
        else:
            return mended, changed, [finding]


def _first_fault(
    tree: Tree, cuts: Mapping[str, Cut], animal: Animal, chosen: Mapping[str, str], policy: str
) -> tuple[Finding, list[str]] | None:
    """A leaf that may not be food, and the pieces whose way could be changed: itself, then upward."""
    used = tree.reached(chosen, animal.species)
    broken = {way.piece for way in used}
    made_by = {slug: way.piece for way in used for slug in way.outputs}
    for slug in [ROOT, *made_by]:
        if slug in broken or cuts[slug].use in NO_FOOD_USES:
            continue
        finding = forbidden_leaf(cuts[slug], animal, srm_policy_bison=policy)
        if finding is not None:
            upward = [slug]
            while upward[-1] in made_by:
                upward.append(made_by[upward[-1]])
            return finding, upward
    return None


def _instead(finding: Finding, piece: str, now: str, other: str) -> Finding:
    return Finding(where=f"{piece}: {now}", given=finding.given, wanted=finding.wanted,
                   do=f"Take the way {other} of {piece} instead. {finding.do}")  # fmt: skip
