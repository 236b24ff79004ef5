"""What the counter may be asked for: what comes off a side, what is ground, and the rest of the catalogue."""

from __future__ import annotations

from functools import cache

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import Findings
from gambrel.plan.look import cuts_made, unknown_cut


@cache
def off_the_side() -> frozenset[str]:
    """Slugs that some way of the breakdown gives; only with these, and with what is ground, can be planned."""
    return frozenset(cuts_made(shipped_tree()))


@cache
def ground_pieces() -> frozenset[str]:
    """Slugs of the catalogue that a grinder makes; what is else of use to it goes into it."""
    named = ("ground-", "hamburger", "beef-patty")
    return frozenset(slug for slug in shipped_cuts() if slug.startswith(named))


def look_at_product(slug: str, *, ground: bool, findings: Findings) -> None:
    """A finding where the counter cannot be planned with: no way gives the piece, or no grinder makes it."""
    known = ground_pieces() if ground else off_the_side()
    if slug not in known:
        unknown_cut("product", slug, set(known), findings)


def look_at_order(slug: str, findings: Findings, *, where: str = "order, cut") -> None:
    """A finding where the catalogue has no such piece. What does not hang, like liver, may be promised too."""
    if slug not in shipped_cuts():
        unknown_cut(where, slug, set(shipped_cuts()), findings)
