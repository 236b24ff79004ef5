"""The tree walked for one animal: which ways are open to it, and the places and choices they make."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from gambrel.catalog.ways import LOSS, ROOT, Tree, Way
from gambrel.plan.drafts import Draft, Fork, lay_out, undominated
from gambrel.plan.places import DUST, NO_LOSSES, Losses, Options
from gambrel.plan.shares import Shares
from gambrel.plan.week import Hanging


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
        gathered = self.pooled()
        pooled = frozenset(self.order[1:]) if pool_all else gathered
        top = Draft({}, loss_cents=self.losses.at_start)
        drawn = [self._fork(ROOT, 1.0, pooled, top)]
        for piece in self.order:
            if piece in pooled:
                drawn.append(self._pool(piece, pooled))
        folded = {fork.piece: fork.drafts[0] for fork in drawn[1:] if len(fork.drafts) == 1}
        options = lay_out([fork for fork in drawn if fork.piece not in folded], folded)
        limit_cents = self.losses.limit_cents if self.losses.at_start else math.inf
        return replace(options, limit_cents=limit_cents, gathered=gathered)

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

    def _pool(self, piece: str, pooled: frozenset[str]) -> Fork:
        """The pooled place of `piece`: ways that cost too much even where least of it comes about are left out."""
        least = self.losses.least_share.get(piece, 0.0)
        none = Draft({}, loss_cents=(0.0,) * len(self.losses.at_start), path=("pooled",))
        fork = self._fork(piece, 1.0, pooled, none)
        kept = [
            one for one in fork.drafts if self.losses.worth_it(tuple(least * each for each in one.loss_cents))
        ]
        for draft in kept:
            draft.loss_cents = ()
        return Fork(piece, kept or fork.drafts[:1])

    def _fork(self, piece: str, share: float, pooled: frozenset[str], above: Draft) -> Fork:
        """The place of `piece` holding `share` of the side, with a draft for each way that is open."""
        is_pool = above.path == ("pooled",)
        drafts = []
        for way in self.ways[piece].values():
            loss = self.losses.after(above.loss_cents, piece, way.name, share)
            if is_pool or self.losses.worth_it(loss):
                path = (*above.path, piece, way.name)
                drafts.append(self._draft(way, share, pooled, Draft({}, loss_cents=loss, path=path)))
        drafts = [one for one in drafts if is_pool or self.losses.worth_it(one.loss_cents)]
        if self.prune:
            drafts = undominated(drafts)
        if not self.ways[piece]:
            drafts = [self._as_it_is(piece, share, above)]
        return Fork(piece, drafts)

    def _as_it_is(self, piece: str, share: float, above: Draft) -> Draft:
        draft = Draft({}, loss_cents=above.loss_cents, path=above.path)
        if self.sellable(piece):
            draft.leaves[piece] = share
        else:
            draft.waste_share = share
        return draft

    def _draft(self, way: Way, share: float, pooled: frozenset[str], draft: Draft) -> Draft:
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
