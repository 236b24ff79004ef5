"""The animals of the week's file: carcass, sides on the rail, inspection, bill, what is already settled."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from gambrel.catalog.animal import HOT_KG_LIMITS, read_animal
from gambrel.catalog.bill import Bill, read_bill
from gambrel.catalog.kinds import Kind
from gambrel.measures import Entry
from gambrel.measures.units import MASS
from gambrel.plan.week import HALVES, INSPECTIONS, Hanging, Pin

LONGEST_HANG_DAYS = 120
LONGEST_PATH = 500


def read_hanging(entry: Entry, kinds: Mapping[str, Kind], start: date | None) -> Hanging | None:
    """One [[animal]] of the week's file; None when anything in it was wrong."""
    before = len(entry.findings)
    name = entry.text("id", required=True, longest=40)
    if name:
        entry.where = f"animal {name}"
    entry, halves_kg = _hot_weight(entry)
    animal = read_animal(entry, kinds)
    killed: date | None = entry.day("killed", required=True)
    if killed and start and not -LONGEST_HANG_DAYS <= (killed - start).days <= LONGEST_HANG_DAYS:
        entry.wrong(
            "killed",
            killed,
            f"a day within {LONGEST_HANG_DAYS} days of the plan's start, {start}",
            "Check the year.",
        )
    arrives: date | None = entry.day("arrives")
    if arrives and killed and not 0 <= (arrives - killed).days <= LONGEST_HANG_DAYS:
        entry.wrong(
            "arrives", arrives, f"a day from the kill, {killed}, on", "Change the day, or leave it out."
        )
    sides = _sides(entry)
    inspected = entry.word("inspected", INSPECTIONS) or "federal"
    owner = entry.text("owner")
    if inspected == "custom" and not owner:
        entry.wrong(
            "owner", "nothing", "whose animal it is: custom meat goes back to its owner", "Name the owner."
        )
    bill = _bill(entry, animal.hot_kg if animal else None)
    hang_days = _hang_days(entry)
    allowed, forbidden = _ways(entry, "ways_allowed"), _ways(entry, "ways_forbidden")
    pin = _pin(entry.table("pin"))
    style = entry.text("style", longest=60)
    _photographs(entry)
    entry.no_more()
    if len(entry.findings) > before or animal is None or killed is None or not name:
        return None
    side_kg = {half: halves_kg.get(half, animal.hot_kg / 2) for half in sides}
    return Hanging(
        name, animal, killed, side_kg, inspected, owner, bill, hang_days, allowed, forbidden, pin, style,
        arrives=arrives,
    )  # fmt: skip


def _photographs(entry: Entry) -> None:
    """Names of rib-face photographs, checked as text alone: whoever opens them fills fat, ribeye and marbling."""
    both = entry.text("photograph", longest=LONGEST_PATH)
    sides = [entry.text(f"photograph_{half}", longest=LONGEST_PATH) for half in HALVES]
    if both and any(sides):
        entry.wrong("photograph", both, "either photograph or one a side, not both", "Take photograph out.")


def _hot_weight(entry: Entry) -> tuple[Entry, dict[str, float]]:
    """The entry with `hot` filled in when the two sides were weighed one by one, and their weights."""
    given = [half for half in HALVES if entry.has(f"hot_{half}")]
    if not given:
        return entry, {}
    if entry.has("hot"):
        entry.wrong(
            "hot", entry.fields["hot"], "either hot or hot_left and hot_right", "Take one of the two out."
        )
    low, high = HOT_KG_LIMITS[0] / 2, HOT_KG_LIMITS[1] / 2
    halves = {half: entry.quantity(f"hot_{half}", MASS, low=low, high=high, required=True) for half in HALVES}
    weights = {half: kg for half, kg in halves.items() if kg is not None}
    total_kg = sum(weights.values()) if len(weights) == 2 else 2 * HOT_KG_LIMITS[0]
    plain = {name: value for name, value in entry.fields.items() if name not in ("hot_left", "hot_right")}
    renamed = Entry({**plain, "hot": f"{total_kg!r}kg"}, entry.where, entry.findings)
    renamed.raw("id")
    return renamed, weights


def _sides(entry: Entry) -> tuple[str, ...]:
    raw = entry.raw("sides")
    if raw is None:
        return HALVES
    if (
        not isinstance(raw, list)
        or not raw
        or any(one not in HALVES for one in raw)
        or len(set(raw)) < len(raw)
    ):
        entry.wrong("sides", raw, 'a list of "left", "right" or both', "Name the sides that still hang.")
        return HALVES
    return tuple(half for half in HALVES if half in raw)


def _hang_days(entry: Entry) -> tuple[int, int, int] | None:
    raw = entry.raw("hang_days")
    if raw is None:
        return None
    good = isinstance(raw, list) and len(raw) == 3 and all(type(one) is int for one in raw)
    if not good or sorted(raw) != raw or raw[0] < 0 or raw[2] > LONGEST_HANG_DAYS:
        entry.wrong(
            "hang_days",
            raw,
            "earliest, target and latest day, rising, such as [10, 14, 21]",
            "Put them in order.",
        )
        return None
    return raw[0], raw[1], raw[2]


def _ways(entry: Entry, name: str) -> dict[str, tuple[str, ...]]:
    """Piece to way names: ways_allowed = { short-loin = ["boneless"] }."""
    ways: dict[str, tuple[str, ...]] = {}
    for piece, raw in entry.table(name).fields.items():
        named = [raw] if isinstance(raw, str) else raw
        if not isinstance(named, list) or not named or not all(isinstance(one, str) for one in named):
            entry.wrong(
                name,
                f"{piece} = {raw}",
                "a piece and the names of its ways",
                f'Write {name} = {{ {piece} = ["..."] }}.',
            )
            continue
        ways[str(piece)] = tuple(named)
    return ways


def _pin(pin: Entry) -> Pin:
    day = pin.day("day")
    ways = {}
    for piece, raw in pin.table("ways").fields.items():
        if not isinstance(raw, str):
            pin.wrong(
                "ways",
                f"{piece} = {raw}",
                "a piece and the name of one way",
                f'Write ways = {{ {piece} = "..." }}.',
            )
            continue
        ways[str(piece)] = raw
    pin.no_more()
    return Pin(day, ways)


def _bill(entry: Entry, hot_kg: float | None) -> Bill | None:
    """bill = { live = "2.05/lb", live_weight = "1180lb" }, or one of rail, head, raised; and the kill fee."""
    fee_cents = entry.money_cents("kill_fee") or 0
    if not entry.has("bill"):
        entry.raw("bill")
        return None
    return read_bill(entry.table("bill"), hot_kg=hot_kg, kill_fee_cents=fee_cents)
