"""A whole plan made better: a few animals are opened again and settled anew around the rest, while it helps."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from gambrel.plan.decompose.whole import Dive

AT_ONCE = 3
"""So many groups are opened together: enough that two may change places."""

IN_VAIN = 2
"""After so many rounds over all groups that brought nothing it is given up."""


def mend(dive: Dive, *, good_enough: Callable[[Dive], bool]) -> None:
    """Better the settled plan of `dive` until it is good enough, time is up, or opening brings nothing more."""
    best, best_cents, kept = dict(dive.taken), dive.gain_cents, dive.kept
    vain = 0
    for groups, is_new_round in _in_turn(dive):
        vain = vain + 1 if is_new_round else vain
        if vain > IN_VAIN or good_enough(dive) or dive.seconds_left() <= 0:
            return
        dive.open_again(groups)
        dive.run()
        better = dive.answer is not None and not dive.left.any() and dive.gain_cents > best_cents + 1.0
        if better and (dive.kept or not kept):
            best, best_cents, kept = dict(dive.taken), dive.gain_cents, dive.kept
            vain = 0
        else:
            dive.restore(best)


def _in_turn(dive: Dive) -> Iterator[tuple[list[int], bool]]:
    """Groups to open together: those that lose most against the bound first, then by chance, round after round."""
    order = np.argsort(-losses(dive))
    draw = np.random.default_rng(1)
    while True:
        for first in range(0, len(order), AT_ONCE):
            yield [int(group) for group in order[first : first + AT_ONCE]], first == 0
        order = draw.permutation(len(order))


def losses(dive: Dive) -> np.ndarray:
    """What each group's settled sides earn less than at their best, at the prices of the bound."""
    apart = dive.apart
    _, _, worth = apart.priced(apart.prices)
    lost = worth * np.asarray([group.count for group in apart.model.groups])
    for cutting, much in dive.cuttings():
        column = cutting.column
        lost[cutting.group] -= much * (column.gain - float(column.entries @ apart.prices[column.rules]))
    return np.asarray(lost)
