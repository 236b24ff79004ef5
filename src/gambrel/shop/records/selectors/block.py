"""What the block pages show: whose turn it is today, and the side on the block with its weights and its balance."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5

from gambrel.breakdown.balance import GROUPS, Balance, group_of, tolerance_kg
from gambrel.breakdown.doubt import Known
from gambrel.catalog.cuts import Cut, shipped_cuts
from gambrel.hang.window import ready_window
from gambrel.measures import Estimate
from gambrel.measures.scale import digit_of
from gambrel.plan.week import Hanging
from gambrel.shop.records.models import (
    Cutting,
    PlannedSide,
    ScaleWeight,
    ShopProfile,
    Side,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.selectors.block_expected import Expected, expected_of, hanging_animal
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.shop_yields import Taught
from gambrel.shop.records.side_forecasts import TOGETHER
from gambrel.shop.records.week import kinds_of_shop, sides_on_rail

MOST_LISTED = 60
STRIP_PX = 1000


@dataclass(frozen=True, slots=True)
class Turn:
    """A side whose turn it is: `why` is planned, late or ready; `hung_days` from the kill."""

    side: Side
    kind: str
    why: str
    hung_days: int
    hot_kg: float
    latest: date


@dataclass(frozen=True, slots=True)
class BlockPage:
    """The cutting day. `early` are hanging sides whose window is not open yet; they can be begun all the same."""

    on_block: tuple[Cutting, ...]
    turns: tuple[Turn, ...]
    early: tuple[Turn, ...]
    done: tuple[Cutting, ...]
    has_plan: bool


def block_page(today: date, *, day_began: datetime) -> BlockPage:
    """Sides of today: those the plan names first, then late and ready ones, the oldest before."""
    plan = accepted_plan()
    planned = (
        set(PlannedSide.objects.filter(plan=plan, day__lte=today).values_list("side_id", flat=True))
        if plan
        else set()
    )
    kinds = kinds_of_shop()
    turns = []
    for side in sides_on_rail():
        kind = kinds.get(side.animal.kind)
        if kind is None:
            continue
        window = ready_window(kind, side.animal.killed_on)
        why = "planned" if side.pk in planned else window.says(today)
        hung_days = (today - side.animal.killed_on).days
        turns.append(Turn(side, kind.name, why, hung_days, float(side.hot_kg), window.latest))
    turns.sort(key=lambda turn: (_URGENT.index(turn.why), turn.latest, turn.side.animal.tag, turn.side.half))
    cuttings = Cutting.objects.select_related("side__animal", "begun_by")
    return BlockPage(
        on_block=tuple(cuttings.filter(ended_at__isnull=True).order_by("begun_at")),
        turns=tuple(turn for turn in turns if turn.why != "early")[:MOST_LISTED],
        early=tuple(turn for turn in turns if turn.why == "early")[:MOST_LISTED],
        done=tuple(cuttings.filter(ended_at__gte=day_began).order_by("-ended_at")[:MOST_LISTED]),
        has_plan=plan is not None,
    )


_URGENT = ("planned", "late", "ready", "early")


@dataclass(frozen=True, slots=True)
class Target:
    """A piece to be weighed: what is expected of it, what was weighed of it so far and in how many weights."""

    slug: str
    expected: Estimate | None
    weighed_kg: float
    weights_count: int

    @property
    def is_low(self) -> bool:
        """Weighed, but less of it than nineteen times in twenty."""
        return self.expected is not None and 0 < self.weighed_kg < self.expected.p05

    @property
    def is_high(self) -> bool:
        return self.expected is not None and self.weighed_kg > self.expected.p95

    @property
    def is_awaited(self) -> bool:
        """Nothing of it was weighed yet."""
        return self.weights_count == 0


@dataclass(frozen=True, slots=True)
class Line:
    """One weight as it was written; `replaced` by a later one, or `taken_out` itself."""

    weight: ScaleWeight
    replaced: bool

    @property
    def counts(self) -> bool:
        return not self.replaced and not self.weight.taken_out


@dataclass(frozen=True, slots=True)
class Bar:
    """A part of the strip, in its own units: where it begins and how wide it is."""

    name: str
    x: int
    width: int


@dataclass(frozen=True, slots=True)
class CuttingPage:
    """One side on the block. `groups`: name and targets; `lines` newest first; `other`: the animal's other side.

    `together`: all bones and all fat, each as one target. `known`: the yields that it went to the block with.
    """

    cutting: Cutting
    hanging: Hanging
    species: str
    groups: tuple[tuple[str, tuple[Target, ...]], ...]
    together: tuple[tuple[str, Target], ...]
    balance: Balance
    lines: tuple[Line, ...]
    other: Cutting | None
    newest: ScaleWeight | None
    known: Taught

    @property
    def side(self) -> Side:
        return self.cutting.side

    @property
    def targets(self) -> dict[str, Target]:
        return {target.slug: target for _, targets in self.groups for target in targets}

    @property
    def bars(self) -> tuple[Bar, ...]:
        """The side as a strip: what was weighed group by group, and what is missing."""
        whole_kg = max(self.balance.begun_kg, self.balance.weighed_kg)
        parts = [*self.balance.group_kg.items(), ("missing", max(0.0, self.balance.missing_kg))]
        bars, at = [], 0.0
        for name, part_kg in parts:
            bars.append(Bar(name, round(at), round(at + STRIP_PX * part_kg / whole_kg) - round(at)))
            at += STRIP_PX * part_kg / whole_kg
        return tuple(bars)

    @property
    def undo_key(self) -> UUID | None:
        """The same for the same line, so that undo pressed twice takes out one line."""
        return uuid5(self.newest.key, "undo") if self.newest else None

    @property
    def awaited(self) -> tuple[Target, ...]:
        """Pieces that nothing was weighed of, and of which more than the scale's digits is expected.

        Bones or fat are not awaited one by one once so much of them was weighed that they were weighed together.
        """
        least_kg = self.balance.tolerance_kg
        done = {name for name, target in self.together if target.expected and not target.is_low
                and not target.is_awaited}  # fmt: skip
        return tuple(
            one for name, targets in self.groups if name not in done for one in targets
            if one.is_awaited and one.expected is not None and one.expected.mean > least_kg
        )  # fmt: skip

    @property
    def odd(self) -> tuple[Target, ...]:
        """Pieces of meat outside their interval; bones and fat are looked at together."""
        return tuple(one for name, targets in self.groups if name not in TOGETHER for one in targets
                     if one.is_low or one.is_high)  # fmt: skip

    @property
    def odd_together(self) -> tuple[tuple[str, Target], ...]:
        return tuple((name, one) for name, one in self.together if one.is_low or one.is_high)


def cutting_page(cutting: Cutting, shop: ShopProfile) -> CuttingPage:
    """Everything about a side on the block, in a handful of queries however much was weighed."""
    hanging = hanging_animal(cutting.side)
    expected = expected_of(cutting, hanging, trim=shop.trim)
    weights = list(ScaleWeight.objects.filter(cutting=cutting).select_related("by").order_by("-at", "-pk"))
    replaced = {weight.corrects_id for weight in weights}
    lines = tuple(Line(weight, weight.pk in replaced) for weight in weights)
    standing = [line.weight for line in lines if line.counts]
    groups = _groups(expected, standing)
    others = Cutting.objects.filter(side__animal_id=cutting.side.animal_id, ended_at__isnull=True)
    return CuttingPage(
        cutting=cutting,
        hanging=hanging,
        species=hanging.animal.species,
        groups=groups,
        together=tuple(
            (
                name,
                Target(
                    TOGETHER[name],
                    expected_kg,
                    sum(one.weighed_kg for one in dict(groups)[name]),
                    sum(one.weights_count for one in dict(groups)[name]),
                ),
            )
            for name, expected_kg in expected.together_kg.items()
        ),
        balance=_balance(cutting, expected, standing),
        lines=lines,
        other=others.exclude(pk=cutting.pk).select_related("side__animal").first(),
        newest=standing[0] if standing else None,
        known=expected.known,
    )


def _groups(expected: Expected, standing: list[ScaleWeight]) -> tuple[tuple[str, tuple[Target, ...]], ...]:
    weighed: dict[str, list[float]] = {}
    for line in standing:
        weighed.setdefault(line.slug, []).append(float(line.weight_kg))

    def target(slug: str) -> Target:
        found = weighed.get(slug, [])
        return Target(slug, expected.pieces.get(slug), sum(found), len(found))

    listed = [(name, _with_tub(name, slugs)) for name, slugs in expected.groups]
    groups = [(name, tuple(map(target, slugs))) for name, slugs in listed]
    others = tuple(target(slug) for slug in weighed if all(slug not in slugs for _, slugs in listed))
    return (*groups, ("others", others)) if others else tuple(groups)


def _with_tub(name: str, slugs: tuple[str, ...]) -> tuple[str, ...]:
    """The pieces of a group, and last what all of them may be weighed as."""
    tub = TOGETHER.get(name)
    return slugs if tub is None or tub in slugs else (*slugs, tub)


def _balance(cutting: Cutting, expected: Expected, standing: list[ScaleWeight]) -> Balance:
    cuts = shipped_cuts()
    group_kg = dict.fromkeys(GROUPS, 0.0)
    for line in standing:
        group_kg[group_of(cuts[line.slug])] += float(line.weight_kg)
    off_rail = Weighing.objects.filter(side_id=cutting.side_id, weight_kg=cutting.begun_kg)
    begun = off_rail.order_by("-at", "-pk").values_list("typed", flat=True).first()
    typed = [*(line.typed for line in standing), *([begun] if begun else [])]
    digits = (digit_of(text, bare_unit="kg") for text in typed)
    return Balance(
        float(cutting.begun_kg), group_kg, expected.loss_kg, tolerance_kg(float(one) for one in digits if one)
    )


def known_of(page: CuttingPage, slug: str, *, at: datetime) -> Known:
    """What is known of a piece before its next weight is kept."""
    tubs = {TOGETHER[name]: target for name, target in page.together}
    target = tubs.get(slug) or page.targets.get(slug)
    of_piece = [line.weight for line in page.lines if line.counts and line.weight.slug == slug]
    last = of_piece[0] if of_piece else None
    lacks = page.other is not None and not _weighed_there(page.other, slug)
    return Known(
        expected=target.expected if target else None,
        weighed_kg=target.weighed_kg if target else 0.0,
        left_kg=page.balance.missing_kg + page.balance.tolerance_kg,
        last_kg=float(last.weight_kg) if last else None,
        last_s=(at - last.at).total_seconds() if last else None,
        other_side_lacks_it=lacks,
    )


def _weighed_there(other: Cutting, slug: str) -> bool:
    return ScaleWeight.objects.standing().filter(cutting=other, slug=slug).exists()


def other_pieces(page: CuttingPage) -> list[Cut]:
    """The rest of the catalogue for this species, for a piece that the chosen ways do not give."""
    there = page.targets
    return [cut for cut in shipped_cuts().values()
            if cut.slug not in there and cut.use != "break" and cut.species in ("any", page.species)]  # fmt: skip
