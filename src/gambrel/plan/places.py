"""The breakdown tree as one animal's choices.

A *place* is a piece where it turns up, a *choice* is one way taken there. On its own path down the tree a piece
is a fixed share of the side, so that "broken one way" is exact: the choices at a place, counted in sides, add up
to the choice above it. Some pieces (fat, bones, the under blade) come from several places of one side at once:
those are *pooled*, weighed as shares of a side, and broken one way for the whole animal. Places with a single
way are no choice and are folded into the choice that leads to them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from gambrel.catalog.ways import LOSS, ROOT, Tree, Way
from gambrel.plan.shares import Shares
from gambrel.plan.week import Hanging

DUST = 1e-12


@dataclass(frozen=True, slots=True)
class Choice:
    """One way at one place with everything below it that is settled by it.

    Shares and minutes are of a kilogram of side for each unit of the choice: a side at a place on a path, a
    whole side's weight of the piece at a pooled one. `leaves` can be sold or ground; `waste_share` cannot.
    `loss_cents` is by cutting day what a plan with this choice is known to fall short of the bound (see
    `bound.py`); `path` tells the choice from all others of the animal.
    """

    place: int
    path: tuple[str, ...]
    loss_cents: tuple[float, ...]
    ways: Mapping[str, str]
    leaves: Mapping[str, float]
    waste_share: float
    minutes_per_kg: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Place:
    """A piece where it turns up; `above` are the choices that lead to it and what each gives it.

    The side itself has nothing above. A place on a path has one choice above, which gives it 1; a pooled one
    may have many, each giving its share.
    """

    piece: str
    above: Mapping[int, float]
    choices: tuple[int, ...]
    pooled: bool


@dataclass(frozen=True, slots=True)
class Options:
    """All places and choices of one animal, each place after everything above it; place 0 is the side."""

    places: tuple[Place, ...]
    choices: tuple[Choice, ...]
    limit_cents: float = math.inf

    def looked_at(self, choice: Choice, day_number: int) -> bool:
        """Whether the choice is worth a column on the day of that number."""
        return not choice.loss_cents or choice.loss_cents[day_number] <= self.limit_cents

    def below(self) -> dict[int, list[tuple[int, float]]]:
        """By choice, the places it leads to and what it gives each."""
        found: dict[int, list[tuple[int, float]]] = {}
        for number, place in enumerate(self.places):
            for choice, share in place.above.items():
                found.setdefault(choice, []).append((number, share))
        return found


@dataclass
class _Draft:
    """A choice while the tree is walked; `below` are its forks, `pooled` its shares of pooled pieces."""

    ways: dict[str, str]
    leaves: dict[str, float] = field(default_factory=dict)
    waste_share: float = 0.0
    minutes_per_kg: dict[str, float] = field(default_factory=dict)
    below: list[_Fork] = field(default_factory=list)
    pooled: dict[str, float] = field(default_factory=dict)
    loss_cents: tuple[float, ...] = ()
    path: tuple[str, ...] = ()

    def take(self, other: _Draft) -> None:
        """Fold `other`, which follows of necessity, into this one."""
        self.ways.update(other.ways)
        _add(self.leaves, other.leaves)
        _add(self.minutes_per_kg, other.minutes_per_kg)
        _add(self.pooled, other.pooled)
        self.waste_share += other.waste_share
        self.below.extend(other.below)
        self.loss_cents = other.loss_cents or self.loss_cents


@dataclass
class _Fork:
    piece: str
    drafts: list[_Draft]


@dataclass(frozen=True, slots=True)
class Losses:
    """What each way at each piece costs against the bound, and how much is still worth looking at.

    `by_way` is (piece, way) to cents a whole side's weight of the piece, by cutting day; `at_start` by cutting
    day for the side itself; `least_share` the least share of a side in which a piece comes about.
    """

    by_way: Mapping[tuple[str, str], tuple[float, ...]]
    at_start: tuple[float, ...]
    least_share: Mapping[str, float]
    limit_cents: float

    def after(self, so_far: tuple[float, ...], piece: str, way: str, share: float) -> tuple[float, ...]:
        """`so_far` and the cost of this way, by day; nobody looks at a day once it is over the limit."""
        cost = self.by_way.get((piece, way))
        return so_far if cost is None else tuple(a + share * b for a, b in zip(so_far, cost, strict=False))

    def worth_it(self, loss_cents: tuple[float, ...]) -> bool:
        return not loss_cents or min(loss_cents) <= self.limit_cents


NO_LOSSES = Losses({}, (), {}, 0.0)


def open_ways(
    hanging: Hanging, tree: Tree, piece: str, lawful: Mapping[str, tuple[str, ...]]
) -> dict[str, Way]:
    """Ways of a piece open for this animal: lawful, allowed, not forbidden, pinned when pinned.

    Where the law leaves a piece no way at all it is not broken, and what it is may not be sold.
    """
    ways = tree.ways_of(piece, hanging.animal.species)
    allowed = hanging.ways_allowed.get(piece)
    pinned = hanging.pin.ways.get(piece) or hanging.style.get(piece)
    barred = hanging.ways_forbidden.get(piece, ())
    open_by_law = {name: way for name, way in ways.items() if name in lawful.get(piece, (name,))}
    settled = {name: way for name, way in open_by_law.items() if name == pinned}
    if settled:
        return settled
    return {name: way for name, way in open_by_law.items()
            if (allowed is None or name in allowed) and name not in barred}  # fmt: skip


class Walk:
    """The tree as it stands open for one animal.

    `sellable` says whether a leaf has any buyer who may have it. With `prune`, ways that can never earn more
    than another at the same place are left out. `losses` leave out ways that cost too much against the bound.
    """

    def __init__(
        self,
        hanging: Hanging,
        tree: Tree,
        shares: Shares,
        *,
        sellable: Callable[[str], bool],
        lawful: Mapping[str, tuple[str, ...]],
        losses: Losses = NO_LOSSES,
        prune: bool = True,
    ) -> None:
        self.shares, self.sellable, self.losses = shares, sellable, losses
        pinned = hanging.pin.ways
        self.ways: dict[str, dict[str, Way]] = {
            piece: open_ways(hanging, tree, piece, lawful) for piece in tree.ways
        }
        self._earning: dict[str, bool] = {}
        if prune:
            for piece in [one for one in self.ways if one not in pinned]:
                worth = {name: way for name, way in self.ways[piece].items() if self._may_earn(way)}
                self.ways[piece] = worth or self.ways[piece]
        self.prune = prune
        self.order = self._parents_first()

    def options(self, *, pool_all: bool = False) -> Options:
        """Places and choices; `pool_all` pools every piece, which allows splitting and is good for a bound."""
        pooled = frozenset(self.order[1:]) if pool_all else self.pooled()
        top = _Draft({}, loss_cents=self.losses.at_start)
        drawn = [self._fork(ROOT, 1.0, pooled, top)]
        for piece in self.order:
            if piece in pooled:
                drawn.append(self._pool(piece, pooled))
        folded = {fork.piece: fork.drafts[0] for fork in drawn[1:] if len(fork.drafts) == 1}
        options = _lay_out([fork for fork in drawn if fork.piece not in folded], folded)
        return replace(options, limit_cents=self.losses.limit_cents if self.losses.at_start else math.inf)

    def pooled(self) -> frozenset[str]:
        """Pieces that can come from two outputs of one way at once."""
        reach: dict[str, frozenset[str]] = {}
        for piece in reversed(self.order):
            below = {slug for way in self.ways[piece].values() for slug in way.outputs if self.ways.get(slug)}
            reach[piece] = frozenset((piece,)).union(*(reach[slug] for slug in below))
        found: set[str] = set()
        for piece in self.order:
            for way in self.ways[piece].values():
                pieces = [slug for slug in way.outputs if slug in reach]
                for one, other in itertools.combinations(pieces, 2):
                    found |= reach[one] & reach[other]
        return frozenset(found)

    def _parents_first(self) -> list[str]:
        """Pieces that can come about, each after everything that gives it."""
        done: list[str] = []
        state: dict[str, int] = {}

        def visit(piece: str) -> None:
            if state.get(piece) == 1:
                raise ValueError(f"the ways go round in a circle at {piece}")
            if piece in state:
                return
            state[piece] = 1
            for way in self.ways[piece].values():
                for slug in way.outputs:
                    if self.ways.get(slug):
                        visit(slug)
            state[piece] = 2
            done.append(piece)

        if not self.ways.get(ROOT):
            self.ways[ROOT] = {}
        visit(ROOT)
        return done[::-1]

    def _may_earn(self, way: Way) -> bool:
        if way.is_whole:
            return self.sellable(way.piece)
        return any(self._reaches_sale(slug) for slug in way.outputs)

    def _reaches_sale(self, slug: str) -> bool:
        if not self.ways.get(slug):
            return self.sellable(slug)
        if slug not in self._earning:
            self._earning[slug] = False  # a circle earns nothing; it is refused later
            self._earning[slug] = any(self._may_earn(way) for way in self.ways[slug].values())
        return self._earning[slug]

    def _pool(self, piece: str, pooled: frozenset[str]) -> _Fork:
        """The pooled place of `piece`: ways that cost too much even where least of it comes about are left out."""
        least = self.losses.least_share.get(piece, 0.0)
        none = _Draft({}, loss_cents=(0.0,) * len(self.losses.at_start), path=("pooled",))
        fork = self._fork(piece, 1.0, pooled, none)
        kept = [
            one for one in fork.drafts if self.losses.worth_it(tuple(least * each for each in one.loss_cents))
        ]
        for draft in kept:
            draft.loss_cents = ()
        return _Fork(piece, kept or fork.drafts[:1])

    def _fork(self, piece: str, share: float, pooled: frozenset[str], above: _Draft) -> _Fork:
        """The place of `piece` holding `share` of the side, with a draft for each way that is open."""
        is_pool = above.path == ("pooled",)
        drafts = []
        for way in self.ways[piece].values():
            loss = self.losses.after(above.loss_cents, piece, way.name, share)
            if is_pool or self.losses.worth_it(loss):
                path = (*above.path, piece, way.name)
                drafts.append(self._draft(way, share, pooled, _Draft({}, loss_cents=loss, path=path)))
        drafts = [one for one in drafts if is_pool or self.losses.worth_it(one.loss_cents)]
        if self.prune:
            drafts = _undominated(drafts)
        if not self.ways[piece]:
            drafts = [self._as_it_is(piece, share, above)]
        return _Fork(piece, drafts)

    def _as_it_is(self, piece: str, share: float, above: _Draft) -> _Draft:
        draft = _Draft({}, loss_cents=above.loss_cents, path=above.path)
        if self.sellable(piece):
            draft.leaves[piece] = share
        else:
            draft.waste_share = share
        return draft

    def _draft(self, way: Way, share: float, pooled: frozenset[str], draft: _Draft) -> _Draft:
        """`draft`, which knows its path and loss so far, filled in with what the way gives."""
        draft.ways[way.piece] = way.name
        draft.minutes_per_kg = {work: share * each / 100.0 for work, each in way.minutes_per_100kg.items()}
        if way.is_whole:
            draft.take(self._as_it_is(way.piece, share, draft))
            return draft
        for slug, part in self.shares[way.piece, way.name].items():
            if slug == LOSS or share * part <= DUST:
                continue
            if not self.ways.get(slug):
                draft.take(self._as_it_is(slug, share * part, draft))
            elif slug in pooled:
                draft.pooled[slug] = draft.pooled.get(slug, 0.0) + share * part
            else:
                fork = self._fork(slug, share * part, pooled, draft)
                if not fork.drafts:  # whatever is done with it costs too much
                    draft.loss_cents = (math.inf,)
                elif len(fork.drafts) == 1:
                    draft.take(fork.drafts[0])
                else:
                    draft.below.append(fork)
        return draft


def _lay_out(forks: list[_Fork], folded: Mapping[str, _Draft]) -> Options:
    """Number the places and choices; `forks` are the side and the pooled pieces, parents first.

    A pooled piece with a single way (`folded`) is put into every choice that gives some of it.
    """
    places: list[Place] = []
    choices: list[Choice] = []
    given: dict[str, dict[int, float]] = {}

    def place(fork: _Fork, above: Mapping[int, float], is_pooled: bool) -> None:
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


def _fold_in(draft: _Draft, folded: Mapping[str, _Draft]) -> None:
    while single := next((slug for slug in draft.pooled if slug in folded), None):
        share, other = draft.pooled.pop(single), folded[single]
        draft.ways.update(other.ways)
        _add(draft.leaves, {slug: share * much for slug, much in other.leaves.items()})
        _add(draft.minutes_per_kg, {work: share * each for work, each in other.minutes_per_kg.items()})
        _add(draft.pooled, {slug: share * much for slug, much in other.pooled.items()})
        draft.waste_share += share * other.waste_share


def _add(into: dict[str, float], more: Mapping[str, float]) -> None:
    for name, value in more.items():
        into[name] = into.get(name, 0.0) + value


def _undominated(drafts: list[_Draft]) -> list[_Draft]:
    """Drafts without those that another one beats or equals in every respect (the first of equals stays)."""
    kept: list[_Draft] = []
    for draft in drafts:
        if any(_beats(other, draft) for other in kept):
            continue
        kept = [other for other in kept if not _beats(draft, other)]
        kept.append(draft)
    return kept


def _beats(one: _Draft, other: _Draft) -> bool:
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
