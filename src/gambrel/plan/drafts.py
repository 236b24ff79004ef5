"""Choices while the tree is walked, what of them can be left out, and how they are numbered in the end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gambrel.plan.places import DUST, Choice, Options, Place


@dataclass
class Draft:
    """A choice while the tree is walked; `below` are its forks, `pooled` its shares of pooled pieces."""

    ways: dict[str, str]
    leaves: dict[str, float] = field(default_factory=dict)
    waste_share: float = 0.0
    minutes_per_kg: dict[str, float] = field(default_factory=dict)
    below: list[Fork] = field(default_factory=list)
    pooled: dict[str, float] = field(default_factory=dict)
    loss_cents: tuple[float, ...] = ()
    path: tuple[str, ...] = ()

    def take(self, other: Draft) -> None:
        """Fold `other`, which follows of necessity, into this one."""
        self.ways.update(other.ways)
        add(self.leaves, other.leaves)
        add(self.minutes_per_kg, other.minutes_per_kg)
        add(self.pooled, other.pooled)
        self.waste_share += other.waste_share
        self.below.extend(other.below)
        self.loss_cents = other.loss_cents or self.loss_cents


@dataclass
class Fork:
    piece: str
    drafts: list[Draft]


def lay_out(forks: list[Fork], folded: Mapping[str, Draft]) -> Options:
    """Number the places and choices; `forks` are the side and the pooled pieces, parents first.

    A pooled piece with a single way (`folded`) is put into every choice that gives some of it.
    """
    places: list[Place] = []
    choices: list[Choice] = []
    given: dict[str, dict[int, float]] = {}

    def place(fork: Fork, above: Mapping[int, float], is_pooled: bool) -> None:
        first = len(choices)
        number = len(places)
        places.append(Place(fork.piece, above, tuple(range(first, first + len(fork.drafts))), is_pooled))
        for draft in fork.drafts:
            _fold_in(draft, folded)
            choices.append(
                Choice(number, draft.path, draft.loss_cents, draft.ways, draft.leaves, draft.waste_share,
                       draft.minutes_per_kg)
            )  # fmt: skip
        for offset, draft in enumerate(fork.drafts):
            for slug, share in draft.pooled.items():
                given.setdefault(slug, {})[first + offset] = share
            for below in draft.below:
                place(below, {first + offset: 1.0}, False)

    place(forks[0], {}, False)
    for fork in forks[1:]:
        if fork.piece in given:
            place(fork, given[fork.piece], True)
    return Options(tuple(places), tuple(choices))


def _fold_in(draft: Draft, folded: Mapping[str, Draft]) -> None:
    while single := next((slug for slug in draft.pooled if slug in folded), None):
        share, other = draft.pooled.pop(single), folded[single]
        draft.ways.update(other.ways)
        add(draft.leaves, {slug: share * much for slug, much in other.leaves.items()})
        add(draft.minutes_per_kg, {work: share * each for work, each in other.minutes_per_kg.items()})
        add(draft.pooled, {slug: share * much for slug, much in other.pooled.items()})
        draft.waste_share += share * other.waste_share


def add(into: dict[str, float], more: Mapping[str, float]) -> None:
    for name, value in more.items():
        into[name] = into.get(name, 0.0) + value


def undominated(drafts: list[Draft]) -> list[Draft]:
    """Drafts without those that another one beats or equals in every respect (the first of equals stays)."""
    kept: list[Draft] = []
    for draft in drafts:
        if any(_beats(other, draft) for other in kept):
            continue
        kept = [other for other in kept if not _beats(draft, other)]
        kept.append(draft)
    return kept


def _beats(one: Draft, other: Draft) -> bool:
    """Whether `one` gives at least as much of everything for no more work, and no more to haul away.

    What it gives more of can at worst be thrown away, so it is counted as waste. Only for drafts that end here.
    """
    if one.below or other.below or one.pooled or other.pooled:
        return False
    if any(one.leaves.get(slug, 0.0) < much - DUST for slug, much in other.leaves.items()):
        return False
    allowed = other.minutes_per_kg
    if any(much > allowed.get(work, 0.0) + DUST for work, much in one.minutes_per_kg.items()):
        return False
    more = sum(one.leaves.values()) - sum(other.leaves.values())
    return one.waste_share + more <= other.waste_share + 1e-9
