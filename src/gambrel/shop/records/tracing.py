"""The records as a graph of what was made of what, as far as one pack, lot or animal reaches.

Nodes are animals, sides, lots of cuttings, batches, boxes of bought trim, packs and customers. A batch and its lot
are one node. Only what hangs together with the start is read, so that ten years of packs do not slow a recall.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from django.db.models import Q

from gambrel.sell.trace import BUYER, PACK, Made, Node, Together
from gambrel.shop.records.models import (
    Batch,
    BatchInput,
    Customer,
    Lot,
    OnHand,
    Pack,
    PackEnd,
    PackEvent,
    Side,
)

ANIMAL, SIDE, LOT, BATCH, BOX = "animal", "side", "lot", "batch", "box"


class End(NamedTuple):
    """What became of a pack last: sold, spoiled and the like, when, to whom (a customer's number), taken with what."""

    what: str
    at: datetime
    customer_id: int | None
    ticket: UUID | None


@dataclass
class Traced:
    """What was read: arrows and ties for the graph, and the lines behind its nodes."""

    lots: dict[str, Lot] = field(default_factory=dict)
    batches: dict[int, Batch] = field(default_factory=dict)
    arrows: set[Made] = field(default_factory=set)
    ties: set[Together] = field(default_factory=set)
    packs: dict[int, Pack] = field(default_factory=dict)
    places: dict[int, str] = field(default_factory=dict)
    ends: dict[int, End] = field(default_factory=dict)
    buyers: dict[int, Customer] = field(default_factory=dict)

    @property
    def gone(self) -> set[Node]:
        return {pack_node(pk) for pk in self.packs if pk not in self.places}


def pack_node(pk: int) -> Node:
    return Node(PACK, f"{pk}")


def lot_node(lot: Lot) -> Node:
    return Node(BATCH if lot.batch_id is not None else LOT, lot.code)


def batch_node(batch: Batch) -> Node:
    return Node(BATCH, batch.code)


_LOTS = Lot.objects.select_related(
    "cutting__side__animal__supplier", "cutting__begun_by", "batch__clean_up", "batch__begun_by"
)


def behind(lots: Iterable[Lot], traced: Traced) -> None:
    """Everything that is in these lots: sides and animals, and for batches their trim, back to where it came from."""
    waiting, inputs = list(lots), list[BatchInput]()
    while waiting:
        new = [lot for lot in waiting if lot.code not in traced.lots]
        _add_lots(new, traced)
        batches = {lot.batch_id for lot in new if lot.batch_id is not None}
        lines = _inputs(Q(batch__in=batches)) if batches else []
        inputs += lines
        cuttings = {line.weight.cutting_id for line in lines if line.weight is not None}
        carried = {line.carried_id for line in lines if line.carried_id is not None}
        waiting = list(_LOTS.filter(cutting__in=cuttings)) if cuttings else []
        waiting += list(_LOTS.filter(batch__in=carried)) if carried else []
    _add_inputs(inputs, traced)


def ahead(lots: Iterable[Lot], traced: Traced) -> list[Lot]:
    """These lots and what they went into: batches of their trim, what was carried over, batches tied to them."""
    waiting, seen, inputs = list(lots), set[str](), list[BatchInput]()
    while waiting:
        seen |= {lot.code for lot in waiting}
        _add_lots(waiting, traced)
        cuttings = {lot.cutting_id for lot in waiting if lot.cutting_id is not None}
        batches = [lot.batch for lot in waiting if lot.batch is not None]
        lines = _inputs(Q(weight__cutting__in=cuttings)) if cuttings else []
        carried = _carried_out_of(batches)
        lines += _inputs(Q(pk__in=carried)) if carried else []
        inputs += lines
        reached = {batch.pk: batch for batch in (*(line.batch for line in lines), *_tied(batches, traced))}
        ground: list[Lot | None] = [getattr(batch, "lot", None) for batch in reached.values()]
        waiting = [lot for lot in ground if lot is not None and lot.code not in seen]
    _add_inputs(inputs, traced)
    return [traced.lots[code] for code in seen]


def with_packs(lots: Iterable[Lot], traced: Traced) -> None:
    """The packs of these lots, where they lie, and what took them away. Three queries, or four."""
    by_pk = {lot.pk: lot for lot in lots}
    for pack in Pack.objects.filter(lot__in=by_pk).only("slug", "net_kg", "lot_id"):
        pack.lot = by_pk[pack.lot_id]
        traced.packs[pack.pk] = pack
        traced.arrows.add(Made(lot_node(pack.lot), pack_node(pack.pk)))
    traced.places.update(OnHand.objects.filter(lot__in=by_pk).values_list("pack_id", "place"))
    events = PackEvent.objects.filter(pack__lot__in=by_pk).exclude(
        what__in=(PackEnd.LABELLED, PackEnd.COUNTED, PackEnd.MOVED)
    )
    wanted = ("pack_id", "what", "at", "customer_id", "ticket", "customer__name", "customer__contact")
    for pk, what, at, customer, ticket, name, contact in events.order_by("at", "pk").values_list(*wanted):
        traced.ends[pk] = End(what, at, customer, ticket)  # the newest stays
        if customer is not None:
            traced.buyers[customer] = Customer(pk=customer, name=name, contact=contact)
    _named_by_ticket(traced)
    for pk, last in traced.ends.items():
        if pk not in traced.places and last.customer_id is not None:
            traced.arrows.add(Made(pack_node(pk), Node(BUYER, f"{last.customer_id}")))


def _named_by_ticket(traced: Traced) -> None:
    """What one person took at once has one buyer, though he was chosen for another pack of it."""
    open_tickets = {
        end.ticket for end in traced.ends.values() if end.customer_id is None and end.ticket is not None
    }
    if not open_tickets:
        return
    others = PackEvent.objects.filter(ticket__in=open_tickets, what=PackEnd.SOLD, customer__isnull=False)
    found = {
        one.ticket: one.customer for one in others.select_related("customer") if one.customer is not None
    }
    for pk, end in traced.ends.items():
        if end.customer_id is None and end.what == PackEnd.SOLD and end.ticket in found:
            traced.ends[pk] = end._replace(customer_id=found[end.ticket].pk)
            traced.buyers[found[end.ticket].pk] = found[end.ticket]


def lots_of_animals(tags: Iterable[str]) -> list[Lot]:
    """Both sides of each animal, as far as they were cut."""
    return list(_LOTS.filter(cutting__side__animal__tag__in=list(tags)))


def lot_by_code(code: str) -> Lot | None:
    return _LOTS.filter(code__in=(code, code.upper())).first()


def lot_of_pack(pack: Pack) -> Lot:
    return _LOTS.get(pk=pack.lot_id)


def _add_lots(lots: Iterable[Lot], traced: Traced) -> None:
    for lot in lots:
        traced.lots[lot.code] = lot
        if lot.batch is not None:
            traced.batches[lot.batch.pk] = lot.batch
        if lot.cutting is not None:
            side: Side = lot.cutting.side
            traced.arrows.add(Made(Node(ANIMAL, side.animal.tag), Node(SIDE, f"{side}"), float(side.hot_kg)))
            traced.arrows.add(Made(Node(SIDE, f"{side}"), lot_node(lot), float(lot.cutting.begun_kg)))


def _carried_out_of(batches: list[Batch]) -> list[int]:
    """Numbers of lines that were carried over from these batches: few are, and the index alone finds them.

    With everything else joined in one query, both databases take the column for as good as empty and read all lines.
    """
    return (
        list(BatchInput.objects.filter(carried__in=batches).values_list("pk", flat=True)) if batches else []
    )


def _inputs(which: Q) -> list[BatchInput]:
    """One condition at a time: joined by "or", a database reads every line there is."""
    rows = BatchInput.objects.standing().filter(which)
    return list(
        rows.select_related("batch__clean_up", "batch__begun_by", "batch__lot", "weight", "bought", "carried")
    )


def _add_inputs(inputs: Iterable[BatchInput], traced: Traced) -> None:
    """Arrows of these lines; the lots that they come from were read before."""
    code_of = {lot.cutting_id: lot.code for lot in traced.lots.values() if lot.cutting_id is not None}
    for line in inputs:
        traced.batches[line.batch.pk] = line.batch
        into, kg = batch_node(line.batch), float(line.weight_kg)
        if line.weight is not None and line.weight.cutting_id in code_of:
            traced.arrows.add(Made(Node(LOT, code_of[line.weight.cutting_id]), into, kg))
        elif line.bought is not None:
            traced.arrows.add(
                Made(Node(BOX, f"{line.bought.establishment} {line.bought.supplier_lot}"), into, kg)
            )
        elif line.carried is not None:
            traced.arrows.add(Made(batch_node(line.carried), into, kg))


def _tied(batches: Iterable[Batch], traced: Traced) -> list[Batch]:
    """Batches ground after the same clean-up are one lot for a recall [9 CFR 320.1(b)(4)(iii)]."""
    mine = [batch for batch in batches if batch.clean_up_id is not None]
    if not mine:
        return []
    found = []
    others = Batch.objects.filter(clean_up__in={batch.clean_up_id for batch in mine})
    for other in others.select_related("clean_up", "begun_by", "lot"):
        traced.batches[other.pk] = other
        for batch in mine:
            if batch.clean_up_id == other.clean_up_id and batch.pk != other.pk:
                traced.ties.add(Together(batch_node(batch), batch_node(other)))
                found.append(other)
    return found
