"""A plan of whole sides with its proof, for a week too large to be put to the solver in one piece."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from gambrel.optimize import Watch
from gambrel.plan.bound import Bound
from gambrel.plan.decompose.master import is_stuck
from gambrel.plan.decompose.mend import mend
from gambrel.plan.decompose.shared import lay_down_shared
from gambrel.plan.decompose.sides import sides_of_cuttings
from gambrel.plan.decompose.taken_apart import Apart, least_breach, settle, take_apart
from gambrel.plan.decompose.whole import Dive
from gambrel.plan.likely import likely_ways
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Hanging

if TYPE_CHECKING:
    from gambrel.plan.search import Search

MANY_DAYS = 100
"""A week whose groups have more cutting days than this between them is taken apart: from here on that is faster."""

SETTLE_SHARE, MEND_SHARE = 0.5, 0.5
"""Finding prices, and mending, take at most these shares of the time that is left."""

FIRST_CLOSE = 0.02
"""The prices of a first plan need be no closer than this."""


def is_large(groups: tuple[SideGroup, ...]) -> bool:
    return sum(len(group.days) for group in groups) > MANY_DAYS


def first_plan(search: Search, groups: tuple[SideGroup, ...], seconds: float) -> None:
    """A plan of likely ways on the days of `groups`; what is proven holds for those alone and is not kept."""

    def likely(hanging: Hanging) -> Hanging:
        return likely_ways(hanging, search.week, search.tree, search.shares_of[hanging.id])

    apart = _taken(search, groups, likely)
    until = time.perf_counter() + min(seconds, search.seconds_left)
    if not any(map(is_stuck, groups)) and _settled(search, apart, FIRST_CLOSE, until, whole=False):
        _dived(search, apart, until)


def plan_apart(search: Search) -> Bound | None:
    """The whole week taken apart: a plan, if one is found, and the bound with what every way costs against it.

    None where no prices were found under which every promise is kept. If that is because none can be, the search
    is told that it is impossible, and by how much.
    """
    apart = _taken(search, search.groups)
    close_share = min(1e-3, max(2e-5, 0.1 * search.gap))
    until = time.perf_counter() + SETTLE_SHARE * search.seconds_left
    stuck = any(is_stuck(group) for group in search.groups)
    if stuck or not _settled(search, apart, close_share, until, whole=True, patient=False):
        if search.seconds_left <= 0:
            return None
        _name_breach(search, apart)
        if search.impossible is not None or not _settled(search, apart, close_share, until, whole=True):
            return None
    dive = _dived(search, apart, math.inf)
    if dive is not None and not search.proven:
        _mended(search, dive)
    return apart.bound()


def _name_breach(search: Search, apart: Apart) -> None:
    """Tell the search which rules must give way, where it is proven that some must."""
    try:
        breach = least_breach(apart.model, known=apart.master.cuttings, seconds_left=lambda: search.seconds_left,
                              watch=Watch(stop=lambda: search.stopped))  # fmt: skip
    except TimeoutError:
        return
    if breach:
        search.impossible, search.breach = apart.model, breach


def _taken(
    search: Search,
    groups: tuple[SideGroup, ...],
    narrowed: Callable[[Hanging], Hanging] = lambda hanging: hanging,
) -> Apart:
    model = search.built(split=True, groups=groups, narrowed=narrowed, lay_down=lay_down_shared)
    return take_apart(model, threads=1, watch=Watch(stop=lambda: search.stopped))


def _settled(
    search: Search, apart: Apart, close_share: float, until: float, *, whole: bool, patient: bool = True
) -> bool:
    def told(so_far: Apart) -> None:
        if whole and so_far.bound_cents < search.bound_cents:
            search.bound_cents = so_far.bound_cents
            search.tell(search.gain_cents, so_far.bound_cents)

    return settle(apart, close_share=close_share, told=told, patient=patient,
                  seconds_left=lambda: min(search.seconds_left, until - time.perf_counter()))  # fmt: skip


def _dived(search: Search, apart: Apart, until: float) -> Dive | None:
    dive = Dive(apart, lambda: min(search.seconds_left, until - time.perf_counter()))
    dive.run()
    return dive if _kept(search, dive) or not dive.left.any() else None


def _kept(search: Search, dive: Dive) -> bool:
    """Keep the plan that the dive has come to, if it is one."""
    if dive.left.any() or not dive.kept:
        return False
    search.keep_sides(sides_of_cuttings(dive.apart.model, dive.cuttings()))
    return True


def _mended(search: Search, dive: Dive) -> None:
    bound = dive.apart.bound_cents
    until = time.perf_counter() + MEND_SHARE * search.seconds_left
    dive.seconds_left = lambda: min(search.seconds_left, until - time.perf_counter())
    kept = dive.kept

    def good_enough(so_far: Dive) -> bool:
        nonlocal kept
        if so_far.kept and not kept:
            kept = _kept(search, so_far)  # the first plan that keeps every promise is worth telling at once
        return so_far.kept and bound - so_far.gain_cents <= 0.95 * search.gap * abs(so_far.gain_cents)

    mend(dive, good_enough=good_enough)
    _kept(search, dive)
