"""The invented shop in the middle of a day's work, so that every page has something on it.

`python tools/busy_day.py FOLDER` goes on where the demo ends: a side half cut with a weight put right, a batch in
the grinder, lots held and a recall rehearsed, a kind of the shop's own, a closed room, a share with its customer's
link, a table that waits to be stored, a question put to the plan and answered. It prints, as JSON, the addresses
that no link of the shop leads to, or not in this state. Everything is done by the shop's own services.
"""

from __future__ import annotations

import json
import subprocess
import sys
import uuid
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import served

TABLE = b"""name,contact,note
Larkspur Draw,gate by the cottonwoods,grass all year
Two Mile Feeding,,corn from October
,nobody's gate,a row without a name
"""
PIECES = 5


def begin(folder: Path, *, planning: bool = False) -> dict[str, str]:
    """The day begun in the shop in `folder`, in a process of its own; name of each page without a link, and where.

    With `planning` a plan was asked for and a first answer is known, as its solver writes it; no solver runs.
    """
    asked = [sys.executable, __file__, str(folder), *(["--planning"] if planning else [])]
    done = subprocess.run(asked, stdout=subprocess.PIPE, check=True,
                          env=served.environment(None))  # fmt: skip
    pages: dict[str, str] = json.loads(done.stdout)
    return pages


def _begin(*, planning: bool) -> dict[str, str]:
    from gambrel.shop.records.models import Person, ShopProfile

    owner, shop = Person.objects.get(role="owner"), ShopProfile.objects.get()
    _half_cut(owner, shop)
    _own_kind(owner)
    _closed_room(owner)
    _in_the_grinder(owner)
    _question(owner)
    lot = _drill(owner, shop)
    more = _planning(owner, shop) if planning else {}
    return {**more, "share_for_customer": _share(owner), "look_at_table": _table(), **_closed_batch(),
            "trace_of_lot": f"/trace/?code={lot.code}", "trace_of_animals": f"/trace/?code={lot.code}&wide=on",
            "lot_balance": f"/trace/balance/?code={lot.code}",
            "check_weights": f"/packs/{lot.pk}/weights/"}  # fmt: skip


def _half_cut(owner: Any, shop: Any) -> None:
    """A side with its first pieces weighed, the last of them twice."""
    from gambrel.shop.records.models import Side
    from gambrel.shop.records.selectors.block import cutting_page
    from gambrel.shop.records.selectors.block_expected import hanging_animal, ways_for
    from gambrel.shop.records.services import block

    side = Side.objects.filter(state="hanging").select_related("animal").order_by("hung_at", "pk")[0]
    off_kg = Decimal(f"{float(side.hot_kg) * 0.97:.1f}")
    ways = ways_for(side, hanging_animal(side), shop)[0]
    cutting = block.begin(side, weight_kg=off_kg, typed=f"{off_kg} kg", ways=ways, by=owner, key=uuid.uuid4())
    targets = cutting_page(cutting, shop).targets.values()
    expected = [(one.slug, one.expected.mean) for one in targets if one.expected][:PIECES]
    for slug, mean_kg in expected:
        kg = Decimal(f"{mean_kg:.2f}")
        line = block.weigh_piece(cutting, slug, weight_kg=kg, typed=f"{kg} kg", key=uuid.uuid4(), by=owner)
    kg = (line.weight_kg * Decimal("0.9")).quantize(Decimal("0.01"))
    block.correct_weight(line, slug=line.slug, weight_kg=kg, typed=f"{kg} kg", key=uuid.uuid4(), by=owner,
                         why="the hook was still on")  # fmt: skip


def _own_kind(owner: Any) -> None:
    from gambrel.shop.records.services.kinds import save_kind

    save_kind({"name": "Dairy cross", "like": "grain-finished", "species": "cattle", "rib_pairs": 13,
               "ribbed_between": [12, 13], "hang_days": [7, 12, 21], "hot_kg": [330.0, 40.0]}, by=owner)  # fmt: skip


def _closed_room(owner: Any) -> None:
    """A room that served once: it had a rail and a reading."""
    from gambrel.shop.clock import now
    from gambrel.shop.records.services import cooler, rooms

    room = rooms.add_room(name="Old cooler", log_every_hours=None, by=owner)
    rail = rooms.add_rail(room, name="Wall", length_mm=4000, warmer_c=0.0, by=owner)
    cooler.read_room(room, at=now() - timedelta(days=30), by=owner, air_c=1.5)
    rooms.take_out_rail(rail, by=owner)
    rooms.take_out_room(room, by=owner)


def _in_the_grinder(owner: Any) -> None:
    """A batch with two tubs in it that is not closed yet."""
    from gambrel.shop.clock import today
    from gambrel.shop.records.services import grind
    from gambrel.shop.records.tubs import tubs_on_hand

    tubs = [
        one for one in tubs_on_hand(today()) if one.species == "cattle" and not one.owner and one.left_kg > 1
    ]
    batch = grind.begin("ground-beef", lean_pct=75.0, inspected="federal", owner_name="", asked=[], key=uuid.uuid4(),
                        by=owner)  # fmt: skip
    for tub in sorted(tubs, key=lambda one: -one.lean_pct)[:2]:
        kg = Decimal(f"{0.4 * tub.left_kg:.2f}")
        grind.weigh_in(batch, tub.id, weight_kg=kg, typed=f"{kg} kg", key=uuid.uuid4(), by=owner)


def _question(owner: Any) -> None:
    """What cutting the first side of the plan on its last cutting day would cost."""
    from gambrel.shop.records.models import Plan
    from gambrel.shop.records.services import plan_questions

    plan = Plan.objects.filter(state="done").order_by("pk")[0]
    first, last = (
        plan.sides.filter(day__isnull=False).select_related("side__animal").order_by(f"{sign}day", "pk")[0]
        for sign in ("", "-")
    )
    asked = plan_questions.put(plan, "day", {"side": str(first.side), "day": f"{last.day}"}, by=owner)
    plan_questions.answer(asked.pk)


def _planning(owner: Any, shop: Any) -> dict[str, str]:
    from gambrel.shop.clock import now, today
    from gambrel.shop.records.models import Plan
    from gambrel.shop.records.services import plan as plans

    asked = plans.ask(shop, start=today(), days=7, seconds=600.0, by=owner)
    first = {"state": "solving", "profit_cents": 61_000_00, "bound_cents": 63_000_00, "beat_at": now()}
    Plan.objects.filter(pk=asked.pk).update(**first)
    done = Plan.objects.filter(state="done").order_by("pk")[0]
    return {"plan_being_worked_out": f"/plan/{asked.pk}/", "one_plan": f"/plan/{done.pk}/",
            "why_side": f"/plan/{done.pk}/why/{done.sides.order_by('day', 'pk')[0].side_id}/"}  # fmt: skip


def _drill(owner: Any, shop: Any) -> Any:
    """A recall of the newest lot that has packs here: the lot, which is held, and whose first pack was found."""
    from gambrel.shop.records.models import OnHand
    from gambrel.shop.records.selectors.trace import recall_page
    from gambrel.shop.records.services import trace

    here = (
        OnHand.objects.filter(lot__cutting__isnull=False).select_related("lot", "pack").order_by("-lot_id")[0]
    )
    page = recall_page(here.lot.code, shop, wide=False)
    trace.hold(page.lots, held=True, why="a rehearsal, said the owner", key=uuid.uuid4(), by=owner)
    drill = trace.begin_drill(page, key=uuid.uuid4(), by=owner)
    trace.found_in_drill(drill, [here.pack], by=owner)
    return here.lot


def _closed_batch() -> dict[str, str]:
    """Links lead to the newest batch, which is open."""
    from gambrel.shop.records.models import Batch

    closed = Batch.objects.filter(ended_at__isnull=False).order_by("pk")[0].pk
    return {"closed_batch": f"/grind/{closed}/", "test_batch": f"/grind/{closed}/test/"}


def _share(owner: Any) -> str:
    from gambrel.shop.records.models import Share
    from gambrel.shop.records.services.shares import open_link

    return f"/share/{open_link(Share.objects.order_by('pk')[0], by=owner).token}/"


def _table() -> str:
    from gambrel.shop.records import import_files

    return f"/exchange/look/suppliers/{import_files.keep(TABLE)}/"


if __name__ == "__main__":
    from gambrel.shop.opening import open_shop

    open_shop(Path(sys.argv[1]), make=False)
    print(json.dumps(_begin(planning="--planning" in sys.argv)))
