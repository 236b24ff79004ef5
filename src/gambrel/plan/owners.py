"""Shares of an animal dealt out to its sides: a side goes to owners who wish it cut alike, and to nobody else."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from gambrel.measures import Findings
from gambrel.measures.money import round_half_up
from gambrel.plan.week import Hanging, OwnersSide, Share

Wishes = tuple[str, tuple[tuple[str, str], ...], date | None]
FULL = 1.0 - 1e-9


@dataclass
class _Filling:
    """A side while it is dealt out: the part that is taken, by whom, and what they pay for it."""

    half: str
    part: float
    shares: list[Share]
    cents: int


def with_owners(
    animals: Iterable[Hanging], shares: Iterable[Share], findings: Findings
) -> tuple[Hanging, ...]:
    """The animals with every share on a side of its own; one that no side is left for is a finding.

    Shares that wish the same go on the same side, the largest first, left before right. What of such a side is not
    anybody's yet is kept for a share too: owners' meat and the counter's are not mixed.
    """
    of_animal: dict[str, list[Share]] = {}
    for share in shares:
        of_animal.setdefault(share.animal, []).append(share)
    return tuple(_dealt(hanging, of_animal.get(hanging.id, []), findings) for hanging in animals)


def _dealt(hanging: Hanging, shares: list[Share], findings: Findings) -> Hanging:
    by_wishes: dict[Wishes, list[Share]] = {}
    for share in sorted(shares, key=lambda one: -one.sides):
        by_wishes.setdefault(_wishes(share), []).append(share)
    halves = list(hanging.side_hot_kg)
    owned: dict[str, OwnersSide] = {}
    for alike in sorted(by_wishes.values(), key=lambda ones: -sum(one.sides for one in ones)):
        wanted = math.ceil(sum(one.sides for one in alike) - 1e-9)
        if wanted > len(halves):
            _no_side(hanging, alike, wanted, len(halves), findings)
            continue
        mine, halves = halves[:wanted], halves[wanted:]
        owned |= {one.half: _side(one) for one in _filled(alike, mine, hanging.side_hot_kg)}
    return replace(hanging, owned=owned) if owned else hanging


def _wishes(share: Share) -> Wishes:
    return share.style_name, tuple(sorted(share.ways.items())), share.by


def _filled(shares: list[Share], halves: list[str], hot_kg: Mapping[str, float]) -> list[_Filling]:
    """The shares put side by side; a whole animal fills two."""
    sides = [_Filling(half, 0.0, [], 0) for half in halves]
    for share in shares:
        left = share.sides
        for side in sides:
            part = min(left, 1.0 - side.part)
            if part > 1e-9:
                left -= part
                side.part += part
                side.shares.append(share)
                side.cents += round_half_up(part * hot_kg[side.half] * share.price_cents_per_kg)
    return sides


def _side(filling: _Filling) -> OwnersSide:
    first = filling.shares[0]
    return OwnersSide(
        tuple(share.id for share in filling.shares),
        ", ".join(dict.fromkeys(share.owner for share in filling.shares)),
        filling.part,
        filling.cents,
        first.style_name,
        first.ways,
        first.by,
    )


def _no_side(hanging: Hanging, shares: list[Share], wanted: int, there: int, findings: Findings) -> None:
    for share in shares:
        findings.add(f"share {share.id}", f"{wanted} side(s) of {hanging.id} cut the way it is wished",
                     f"no more than the {there} that others leave",
                     "Agree with the other owners on one way and day, or take another animal.")  # fmt: skip


def share_notes(animals: Iterable[Hanging], shares: Iterable[Share]) -> Findings:
    """What a person should know of the shares: those without a side, and sides that are not all sold."""
    notes = Findings()
    on_rail = {hanging.id: hanging for hanging in animals}
    dealt = {name for hanging in on_rail.values() for side in hanging.owned.values() for name in side.shares}
    for share in shares:
        if share.id not in dealt:
            notes.add(f"share {share.id}", f"no side of {share.animal} in this plan", "a side cut as it is wished",
                      "It is not planned: agree with the other owners on one way, or take another animal.")  # fmt: skip
    for hanging in on_rail.values():
        for half, side in hanging.owned.items():
            if side.part_share < FULL:
                sold = f"{side.part_share:.0%} of it is sold in shares"
                notes.add(f"side {hanging.side_id(half)}", sold, "all of it",
                          "The rest is kept for shares too: find an owner, or sell what they leave.")  # fmt: skip
    return notes
