"""Any pack back to its animals, and forward to every other pack and buyer of the same meat."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count

from gambrel.measures import CannotDo, Finding
from gambrel.sell.lot_balance import LotBalance, balances
from gambrel.sell.trace import PACK, Node, Recall, graph, recall
from gambrel.shop.clock import today
from gambrel.shop.records.lot_lines import lines_of_lots
from gambrel.shop.records.models import (
    Animal,
    Batch,
    Customer,
    Drill,
    Lot,
    LotHold,
    OnHand,
    OrderState,
    Pack,
    PackEnd,
    Share,
    ShopProfile,
    SideMove,
)  # fmt: skip
from gambrel.shop.records.selectors.scan import packs_meant
from gambrel.shop.records.tracing import (
    ANIMAL,
    BATCH,
    BOX,
    LOT,
    End,
    Traced,
    ahead,
    behind,
    lot_by_code,
    lot_node,
    lot_of_pack,
    lots_of_animals,
    pack_node,
    with_packs,
)


@dataclass(frozen=True, slots=True)
class TracedPack:
    """A pack, where it lies, or what took it away."""

    pack: Pack
    place: str
    end: End | None


@dataclass(frozen=True, slots=True)
class PackGroup:
    """Packs of one product and lot in one place, or that went the same way: one line of a list."""

    lot: Lot
    slug: str
    where: str
    packs: tuple[TracedPack, ...]

    @property
    def weight_kg(self) -> float:
        return _kg(self.packs)

    @property
    def numbers(self) -> str:
        """ "4711-4714, 4720": every number, those in a row together."""
        runs: list[list[int]] = []
        for number in sorted(one.pack.pk for one in self.packs):
            if runs and number == runs[-1][1] + 1:
                runs[-1][1] = number
            else:
                runs.append([number, number])
        return ", ".join(f"{first}" if first == last else f"{first}-{last}" for first, last in runs)

    @property
    def times(self) -> tuple[datetime, datetime] | None:
        """When the first and the last of them went."""
        at = [one.end.at for one in self.packs if one.end is not None and not one.place]
        return (min(at), max(at)) if at else None


def grouped(packs: Iterable[TracedPack]) -> tuple[PackGroup, ...]:
    """By place or what became of them, product and lot; hundreds of packs are a dozen lines."""
    groups: dict[tuple[str, str, str], list[TracedPack]] = {}
    for one in packs:
        where = one.place or (one.end.what if one.end else "")
        groups.setdefault((where, one.pack.slug, one.pack.lot.code), []).append(one)
    return tuple(PackGroup(found[0].pack.lot, slug, where, tuple(found))
                 for (where, slug, _), found in sorted(groups.items()))  # fmt: skip


@dataclass(frozen=True, slots=True)
class SideStory:
    """One side behind the meat: its animal, the rooms it hung in, who cut it and when."""

    lot: Lot
    rooms: tuple[str, ...]

    @property
    def animal(self) -> Animal:
        assert self.lot.cutting is not None
        return self.lot.cutting.side.animal


@dataclass(frozen=True, slots=True)
class RecallPage:
    """Everything that hangs together with what was asked. `wide`: all of the animals, not only of this lot.

    `lots` are those whose packs must come back; `sides`, `batches` and `boxes` are what stands behind them too;
    `shares` of their animals were or will be taken home without a sale at the counter.
    """

    asked: str
    wide: bool
    pack: Pack | None
    sources: tuple[Node, ...]
    sides: tuple[SideStory, ...]
    batches: tuple[Batch, ...]
    boxes: tuple[str, ...]
    lots: tuple[Lot, ...]
    held: frozenset[int]
    shares: tuple[Share, ...]
    here: tuple[TracedPack, ...]
    named: tuple[tuple[Customer, tuple[TracedPack, ...]], ...]
    unnamed: tuple[TracedPack, ...]
    lost: tuple[TracedPack, ...]

    @property
    def owners(self) -> tuple[str, ...]:
        """Whose own animals these lots are: their packs go home without a sale."""
        return tuple(sorted({lot.owner_name for lot in self.lots if lot.owner_name}))

    @property
    def here_kg(self) -> float:
        return _kg(self.here)

    @property
    def named_packs(self) -> tuple[TracedPack, ...]:
        return tuple(one for _, packs in self.named for one in packs)

    @property
    def sold_count(self) -> int:
        return len(self.named_packs) + len(self.unnamed)

    @property
    def count(self) -> int:
        return len(self.here) + self.sold_count + len(self.lost)

    @property
    def weight_kg(self) -> float:
        return self.here_kg + _kg(self.named_packs) + _kg(self.unnamed) + _kg(self.lost)

    @property
    def named_share(self) -> float | None:
        """Of the packs that were sold, those of which the records say to whom; None where none was."""
        return len(self.named_packs) / self.sold_count if self.sold_count else None

    @property
    def sold_kg(self) -> float:
        return _kg(self.named_packs) + _kg(self.unnamed)

    @property
    def is_all_held(self) -> bool:
        return all(lot.pk in self.held for lot in self.lots)


def _kg(packs: Iterable[TracedPack]) -> float:
    return sum(float(one.pack.net_kg) for one in packs)


def recall_page(asked: str, shop: ShopProfile, *, wide: bool) -> RecallPage:
    """From a scanned pack, a lot or batch, or an animal's tag. `CannotDo` where it is none of these."""
    text = asked.strip()[:200]
    start, lots, pack = _start(text, shop)
    traced = Traced()
    behind(lots, traced)
    kinds = {ANIMAL} if wide else {LOT, BATCH}
    animals = {arrow.of.number for arrow in traced.arrows if arrow.of.kind == ANIMAL}
    first = [*lots, *lots_of_animals(animals)] if wide else lots
    with_packs(ahead(first, traced), traced)
    found = recall(graph(traced.arrows, traced.ties), [start], from_kinds=kinds, gone=traced.gone)
    return _page(text, wide, pack, found, traced)


def lot_balances(asked: str, shop: ShopProfile) -> list[LotBalance]:
    """What went into the lot of a pack, into a lot, or into every lot of an animal, and what became of it.

    `CannotDo` where it is none of these, or nothing of the animal was cut yet.
    """
    text = asked.strip()[:200]
    lots = _start(text, shop)[1]
    if not lots:
        raise CannotDo([Finding("trace", text, "an animal that was cut here", "Look again when it was cut.")])
    return list(balances(lines_of_lots(lots)).values())


def _start(text: str, shop: ShopProfile) -> tuple[Node, list[Lot], Pack | None]:
    lot = lot_by_code(text) if 0 < len(text) <= 20 and not text.isdecimal() else None
    if lot is not None:
        return lot_node(lot), [lot], None
    animal = Animal.objects.filter(tag__in=(text, text.upper())).first() if 0 < len(text) <= 40 else None
    if animal is not None:
        return Node(ANIMAL, animal.tag), lots_of_animals([animal.tag]), None
    packs = packs_meant(text, shop, today=today()).packs
    if len(packs) != 1:
        raise CannotDo([Finding("trace", text, "one pack, a lot or an animal's tag",
                                "Type the number that stands on the pack.")])  # fmt: skip
    lot = lot_of_pack(packs[0])
    return pack_node(packs[0].pk), [lot], packs[0]


def _page(asked: str, wide: bool, pack: Pack | None, found: Recall, traced: Traced) -> RecallPage:
    ahead_of = {*found.sources, *found.between}
    reached = {*ahead_of, *found.behind}
    known = [lot for lot in traced.lots.values() if lot_node(lot) in reached]
    lots = [lot for lot in known if lot_node(lot) in ahead_of]
    named = tuple(
        (traced.buyers[int(node.number)], _traced(nodes, traced)) for node, nodes in found.sold.items()
    )
    gone = _traced(found.unknown, traced)
    sold = {PackEnd.SOLD}
    sides = _sides([lot for lot in known if lot.cutting_id is not None])
    return RecallPage(
        asked=asked, wide=wide, pack=pack, sources=found.sources, sides=sides,
        batches=tuple(batch for batch in traced.batches.values() if Node(BATCH, batch.code) in reached),
        boxes=tuple(sorted(node.number for node in reached if node.kind == BOX)),
        lots=tuple(sorted(lots, key=lambda lot: lot.code)),
        held=held_lots(lot.pk for lot in lots),
        shares=_shares(side.animal for side in sides if side.lot in lots),
        here=_traced(found.here, traced),
        named=named,
        unnamed=tuple(one for one in gone if one.end is not None and one.end.what in sold),
        lost=tuple(one for one in gone if one.end is None or one.end.what not in sold),
    )  # fmt: skip


def _shares(animals: Iterable[Animal]) -> tuple[Share, ...]:
    """Whoever has a share of these animals: taken home already, or still to be."""
    rows = Share.objects.filter(animal__in={animal.pk for animal in animals}).exclude(
        state=OrderState.CANCELLED
    )
    return tuple(rows.select_related("customer", "animal").order_by("animal_id", "pk"))


def _traced(nodes: Iterable[Node], traced: Traced) -> tuple[TracedPack, ...]:
    keys = sorted(int(node.number) for node in nodes if node.kind == PACK)
    return tuple(TracedPack(traced.packs[pk], traced.places.get(pk, ""), traced.ends.get(pk)) for pk in keys)


def _sides(lots: list[Lot]) -> tuple[SideStory, ...]:
    rooms: dict[int, list[str]] = {}
    sides = [lot.cutting.side_id for lot in lots if lot.cutting is not None]
    moves = SideMove.objects.filter(side__in=sides, rail__isnull=False).order_by("at", "pk")
    for side, room, rail in moves.values_list("side", "rail__room__name", "rail__name"):
        place = f"{room}, {rail}"
        if place not in rooms.setdefault(side, []):
            rooms[side].append(place)
    return tuple(
        SideStory(lot, tuple(rooms.get(lot.cutting.side_id, ()))) for lot in lots if lot.cutting is not None
    )


def held_lots(lots: Iterable[int]) -> frozenset[int]:
    """Those that are held now: the newest line about each counts."""
    newest: dict[int, bool] = {}
    lines = LotHold.objects.filter(lot__in=list(lots)).order_by("at", "pk").values_list("lot_id", "held")
    for lot, held in lines:
        newest[lot] = held
    return frozenset(lot for lot, held in newest.items() if held)


def drills(count: int = 10) -> list[Drill]:
    """The newest drills first, each with what was found."""
    rows = Drill.objects.select_related("begun_by").annotate(found=Count("finds"))
    return list(rows.order_by("-begun_at", "-pk")[:count])


def not_found_yet(drill: Drill) -> list[OnHand]:
    """What the records say is here and nobody has held in the hand."""
    rows = OnHand.objects.filter(lot__in=drill.lots).exclude(pack__in=drill.finds.values("pack"))
    return list(rows.select_related("lot").order_by("place", "slug", "pack_id"))


@dataclass(frozen=True, slots=True)
class DrillPage:
    """A drill as it stands: `found` of `here_count`, and the rest with where the records say that it lies."""

    drill: Drill
    found_count: int
    missing: tuple[OnHand, ...]

    @property
    def found_share(self) -> float:
        """Of what was here when it began; 1 where nothing was."""
        return min(1.0, self.found_count / self.drill.here_count) if self.drill.here_count else 1.0

    @property
    def named_share(self) -> float:
        """Of what was sold, that of which the records say to whom."""
        return self.drill.named_count / self.drill.gone_count if self.drill.gone_count else 1.0

    @property
    def took_s(self) -> float | None:
        """From the beginning to the end; None while it runs."""
        return (self.drill.ended_at - self.drill.begun_at).total_seconds() if self.drill.ended_at else None


def drill_page(drill: Drill) -> DrillPage:
    return DrillPage(drill, drill.finds.count(), tuple(not_found_yet(drill)))
