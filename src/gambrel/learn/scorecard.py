"""Suppliers, kinds and animals beside each other: what they brought, which differences are real, what to bid.

Animals are the units. The effect of a supplier is what its animals bring against the middle supplier, kinds made
equal; that of a kind against the middle kind, suppliers made equal. None is called real unless all together are told
apart (F test); then the share of false ones among those called real is held at `FALSE_SHARE` [Benjamini & Hochberg,
"Controlling the false discovery rate", Journal of the Royal Statistical Society B 57, 1995]. What is shown and bid
upon is the effect shrunk towards nothing by how little is known of it [Efron & Morris, "Stein's estimation rule and
its competitors", Journal of the American Statistical Association 68, 1973].

    supplier_cards(scores), kind_cards(scores)      one card a supplier or kind, the best first
    real_differences(scores, by="supplier")         every two beside each other
    animal_cards(scores)                            every animal against its own kind

`learn.score_figures` makes the scores: yield, grade, profit a head, a kg and a rail day.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gambrel.breakdown.composition import Floats
from gambrel.learn.chances import f_upper, student_width, two_sided
from gambrel.measures import Estimate

FALSE_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Score:
    """One animal in the figure compared. `given` are figures made equal as well, the same for every animal: with the
    fat cover (mm) there, what is compared is the meat of animals as fat as each other."""

    supplier: str
    kind: str
    value: float
    animal: str = ""
    given: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Card:
    """`name` of the supplier, kind or animal. `usual` is the mean of its animals; `beyond` its effect against the
    middle one, all else made equal, shrunk; both with 90 % intervals, in the unit of the value.

    `probability` is that of so large a difference where all are alike; `is_real`: told apart, false ones held down.
    """

    name: str
    animals: int
    usual: Estimate
    beyond: Estimate
    probability: float
    is_real: bool


@dataclass(frozen=True, slots=True)
class Difference:
    """How much more `first` brings than `second`, all else made equal, not shrunk, with its 90 % interval."""

    first: str
    second: str
    more: Estimate
    probability: float
    is_real: bool


def supplier_cards(scores: Sequence[Score], *, false_share: float = FALSE_SHARE) -> tuple[Card, ...]:
    """Cards by supplier, the best first; none where fewer than two, or too few animals, can be compared."""
    return _cards(scores, "supplier", false_share)


def kind_cards(scores: Sequence[Score], *, false_share: float = FALSE_SHARE) -> tuple[Card, ...]:
    """Cards by kind, the best first, suppliers made equal as far as they brought more than one kind."""
    return _cards(scores, "kind", false_share)


def real_differences(
    scores: Sequence[Score], *, by: str = "supplier", false_share: float = FALSE_SHARE
) -> tuple[Difference, ...]:
    """Every two suppliers, or kinds (`by`), the surest difference first; () where nothing can be compared."""
    fit = _fit(scores, by)
    if fit is None:
        return ()
    pairs = list(itertools.combinations(range(len(fit.names)), 2))
    off = [float(fit.effect[one] - fit.effect[two]) for one, two in pairs]
    sd = [math.sqrt(fit.cov[one, one] + fit.cov[two, two] - 2.0 * fit.cov[one, two]) for one, two in pairs]
    chance = [two_sided(a / b, fit.df) if b > 0.0 else 1.0 for a, b in zip(off, sd, strict=True)]
    real = real_ones(chance, false_share=false_share)
    wide = student_width(fit.df)
    found = [
        Difference(fit.names[one], fit.names[two], Estimate(a, a - wide * b, a + wide * b), p, is_real)
        for (one, two), a, b, p, is_real in zip(pairs, off, sd, chance, real, strict=True)
    ]
    return tuple(sorted(found, key=lambda difference: difference.probability))


def animal_cards(scores: Sequence[Score], *, false_share: float = FALSE_SHARE) -> tuple[Card, ...]:
    """Every animal against the others of its own kind, the best first; kinds of fewer than four are left out.

    `usual` is the animal's own value, `beyond` how far it lies from the others' mean (the interval is the mean's).
    `probability` and `is_real` ask whether it is odd among them [externally studentised residual: Cook & Weisberg,
    "Residuals and Influence in Regression", section 2.2, Chapman & Hall, 1982].
    """
    found: list[Card] = []
    for kind in sorted({one.kind for one in scores}):
        own = [one for one in scores if one.kind == kind]
        if len(own) < 4:
            continue
        for one in own:
            rest = np.array([other.value for other in own if other is not one])
            off, sd, df = one.value - float(rest.mean()), float(rest.std(ddof=1)), len(rest) - 1
            half = student_width(df) * sd / math.sqrt(len(rest))
            wide = sd * math.sqrt(1.0 + 1.0 / len(rest))
            chance = two_sided(off / wide, df) if wide > 0.0 else 1.0
            found.append(Card(one.animal, 1, Estimate(one.value, one.value, one.value),
                              Estimate(off, off - half, off + half), chance, False))  # fmt: skip
    real = real_ones([card.probability for card in found], false_share=false_share)
    cards = [
        Card(card.name, 1, card.usual, card.beyond, card.probability, is_real)
        for card, is_real in zip(found, real, strict=True)
    ]
    return tuple(sorted(cards, key=lambda card: -card.beyond.mean))


@dataclass(frozen=True)
class _Fit:
    """Effects by name (names,) with their covariance; `alike` is the probability of the F test that all are equal."""

    names: tuple[str, ...]
    effect: Floats
    cov: Floats
    df: int
    alike: float


def comparable(scores: Sequence[Score], by: str) -> tuple[Score, ...]:
    """The animals of the suppliers (or kinds) that can be set beside each other: those that hang together by the kinds
    (or suppliers) they share. Of several such groups the one with most animals; who alone brings a kind that nobody
    else brings is in a group of his own, for nobody can say what is the kind's and what is his [Searle, "Linear
    Models", chapter 5, estimable functions, Wiley, 1971]."""
    other = {"supplier": "kind", "kind": "supplier"}[by]
    groups: list[set[tuple[str, str]]] = []
    for one in scores:
        if getattr(one, by):
            tied = {(by, getattr(one, by)), (other, getattr(one, other))}
            touched = [group for group in groups if group & tied]
            groups = [group for group in groups if not group & tied] + [tied.union(*touched)]
    members = [tuple(one for one in scores if (by, getattr(one, by)) in group) for group in groups]
    return max(members, key=_count, default=())


def _count(scores: Sequence[Score]) -> int:
    return len(scores)


def _fit(scores: Sequence[Score], by: str) -> _Fit | None:
    """Least squares of the value on one column a name, the other group's less one, and what is given."""
    other = {"supplier": "kind", "kind": "supplier"}[by]
    used = comparable(scores, by)
    names = tuple(sorted({getattr(one, by) for one in used}))
    if len(names) < 2:
        return None
    rest = sorted({getattr(one, other) for one in used})[1:]
    own = np.array([[float(getattr(one, by) == name) for name in names] for one in used])
    given = np.array([one.given for one in used], dtype=float).reshape(len(used), -1)
    beside = np.array([[float(getattr(one, other) == name) for name in rest] for one in used])
    beside = np.hstack([beside.reshape(len(used), -1), given - given.mean(axis=0)])
    value = np.array([one.value for one in used])
    rows = np.hstack([own, beside])
    df = len(used) - int(np.linalg.matrix_rank(rows))
    if df < 2:
        return None
    inverse = np.linalg.pinv(rows.T @ rows)
    solved = inverse @ rows.T @ value
    left = float(np.square(value - rows @ solved).sum())
    size = len(names)
    return _Fit(
        names, solved[:size], left / df * inverse[:size, :size], df, _alike(value, beside, rows, left, df)
    )


def _alike(value: Floats, beside: Floats, rows: Floats, left: float, df: int) -> float:
    """Probability of the F test: by how much the names leave less unexplained than one mean for all would."""
    without = np.hstack([np.ones((len(value), 1)), beside])
    told, *_ = np.linalg.lstsq(without, value, rcond=None)
    more = int(np.linalg.matrix_rank(rows) - np.linalg.matrix_rank(without))
    gained = float(np.square(value - without @ told).sum()) - left
    if more < 1 or left <= 0.0:
        return 1.0
    return f_upper(max(gained, 0.0) / more / (left / df), more, df)


def _cards(scores: Sequence[Score], by: str, false_share: float) -> tuple[Card, ...]:
    fit = _fit(scores, by)
    if fit is None:
        return ()
    size = len(fit.names)
    # The middle one is unsure itself; it counts as unsure as the mean of all, and a little more (see the tests).
    against = np.eye(size) - 1.0 / size
    sd = np.sqrt(np.diag(against @ fit.cov @ against.T) * size / (size - 1.0))
    beyond = fit.effect - float(np.median(fit.effect))
    chance = [
        two_sided(float(off / one), fit.df) if one > 0.0 else 1.0 for off, one in zip(beyond, sd, strict=True)
    ]
    told_apart = fit.alike <= false_share
    real = [one and told_apart for one in real_ones(chance, false_share=false_share)]
    between = max(float(np.mean(np.square(beyond))) - float(np.mean(np.square(sd))), 0.0)
    wide = student_width(fit.df)
    cards = []
    for number, name in enumerate(fit.names):
        own = [one.value for one in scores if getattr(one, by) == name]
        keep = between / (between + sd[number] ** 2) if between > 0.0 else 0.0
        mean, half = keep * float(beyond[number]), wide * math.sqrt(keep) * float(sd[number])
        shrunk = Estimate(mean, mean - half, mean + half)
        cards.append(Card(name, len(own), usual_of(own), shrunk, chance[number], real[number]))
    return tuple(sorted(cards, key=lambda card: -card.beyond.mean))


def usual_of(values: Sequence[float]) -> Estimate:
    """The mean with Student's interval; one animal alone has none."""
    mean = float(np.mean(values))
    if len(values) < 2:
        return Estimate(mean, mean, mean)
    half = student_width(len(values) - 1) * float(np.std(values, ddof=1)) / math.sqrt(len(values))
    return Estimate(mean, mean - half, mean + half)


def real_ones(probabilities: Sequence[float], *, false_share: float) -> list[bool]:
    """Which of several differences are real, the expected share of false ones among them at most `false_share`."""
    order = sorted(range(len(probabilities)), key=lambda number: probabilities[number])
    last = -1
    for rank, number in enumerate(order, start=1):
        if probabilities[number] <= false_share * rank / len(order):
            last = rank
    return [order.index(number) < last for number in range(len(order))]


def bid_cents_per_kg(now_cents_per_kg: float, profit_card: Card) -> Estimate:
    """What may be bid on the rail for these animals where `now_cents_per_kg` is bid for the middle one's: the profit
    a hung kg that they bring beyond it is theirs to give. `profit_card` compares profit in cents a kg."""
    beyond = profit_card.beyond
    return Estimate(
        now_cents_per_kg + beyond.mean, now_cents_per_kg + beyond.p05, now_cents_per_kg + beyond.p95
    )
