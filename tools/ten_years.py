"""Ten years of a busy shop: `python tools/ten_years.py FOLDER [ANIMALS] [PACKS_A_SIDE]`, 5,000 and 300 unless said.

Made up, and written past the services in long batches: it is there to be measured, not to be believed. What hangs
and is ordered today is the invented shop; the ten years before it are animals that were cut, packed and sold.
"""

from __future__ import annotations

import json
import random
import sqlite3
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

ANIMALS, PACKS_A_SIDE, WEIGHTS_A_SIDE = 5_000, 300, 40
YEARS, SEED = 10, 7
LESSONS = 700
"""So many of the newest sides have taught and were forecast: more than the shop looks at."""

KINDS = (("bison", "bull", "bison"), ("grass-finished", "steer", "cattle"), ("grain-finished", "steer", "cattle"),
         ("wagyu", "steer", "cattle"))  # fmt: skip
SLUGS = ("ribeye-steak", "strip-steak", "chuck-eye-roast", "brisket-roast-bone-in", "top-sirloin-steak", "short-ribs",
         "tenderloin-steak", "flank-steak", "trim-85", "stew-beef", "marrow-bones", "soup-bones")  # fmt: skip
Row = dict[str, Any]


def fill(folder: Path, animals: int, packs_a_side: int) -> dict[str, int]:
    """Ten years into the invented shop in `folder`; gives how many lines of each table there are then."""
    file = folder / "shop.sqlite3"
    with closing(sqlite3.connect(file, isolation_level=None)) as records:
        for pragma in (
            "journal_mode = MEMORY",
            "synchronous = OFF",
            "foreign_keys = OFF",
            "cache_size = -800000",
        ):
            records.execute(f"PRAGMA {pragma}")
        indexes = _without_indexes(records)
        records.execute("BEGIN")
        first = _first_numbers(records)
        people = [row[0] for row in records.execute("SELECT id FROM records_person ORDER BY id")]
        days = _days(records, animals)
        _write(records, "records_animal", _animals(first, days))
        _write(records, "records_bill", _bills(first, days))
        _write(records, "records_side", _sides(first, days))
        _write(records, "records_weighing", _weighings(first, days, people))
        _write(records, "records_sidemove", _moves(first, days, people))
        _write(records, "records_facereading", _readings(first, days, people))
        _write(records, "records_faceaccepted", _accepted(first, days, people))
        _write(records, "records_cutting", _cuttings(first, days, people))
        _write(records, "records_lot", _lots(first, days))
        _write(records, "records_cleanup", _clean_ups(first, days, people))
        _write(records, "records_batch", _batches(first, days, people))
        _write(records, "records_lot", _batch_lots(first, days))
        _write(records, "records_scaleweight", _weights(first, days, people))
        _write(records, "records_lesson", _lessons(records, first, days))
        _write(records, "records_sideforecast", _told(records, first, days))
        _write(records, "records_batchinput", _batch_inputs(first, days, people))
        _write(records, "records_pack", _packs(first, days, people, packs_a_side))
        _write(records, "records_onhand", _on_hand(first, days, packs_a_side))
        _write(records, "records_packevent", _events(first, days, people, packs_a_side))
        _write(records, "records_auditline", _trail(first, days, people))
        _write(records, "records_coolerreading", _log(records, days, people))
        _write(records, "records_order", _orders(first, days, people))
        _prices(records, first, days)
        records.execute("COMMIT")
        for sql in indexes:
            records.execute(sql)
        records.execute("ANALYZE")
        records.execute("PRAGMA journal_mode = WAL")
        broken = records.execute("PRAGMA foreign_key_check").fetchone()
        if broken:
            raise AssertionError(f"a line leads nowhere: {broken}")
        names = [name for (name,) in records.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'records!_%' ESCAPE '!'")]  # fmt: skip
        return {name: records.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in sorted(names)}


def _without_indexes(records: sqlite3.Connection) -> list[str]:
    """Take indexes away (all that can be made again afterwards in one go); gives how to make them."""
    found = records.execute(
        "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL AND tbl_name IN "
        "('records_pack', 'records_packevent', 'records_onhand', 'records_scaleweight', 'records_auditline')"
    ).fetchall()
    for name, _ in found:
        records.execute(f'DROP INDEX "{name}"')
    return [sql for _, sql in found]


def _first_numbers(records: sqlite3.Connection) -> dict[str, int]:
    names = (
        "animal",
        "side",
        "cutting",
        "lot",
        "pack",
        "facereading",
        "order",
        "pricelist",
        "scaleweight",
        "cleanup",
        "batch",
        "lesson",
    )
    return {
        name: 1 + (records.execute(f"SELECT max(id) FROM records_{name}").fetchone()[0] or 0)
        for name in names
    }


def _days(records: sqlite3.Connection, animals: int) -> list[date]:
    """The day each animal was killed: evenly over ten years, the last one three weeks before the newest that hangs."""
    (newest,) = records.execute("SELECT max(killed_on) FROM records_animal").fetchone()
    last = date.fromisoformat(newest) - timedelta(days=21)
    return [
        last - timedelta(days=round(number * 365.25 * YEARS / animals)) for number in reversed(range(animals))
    ]


def _write(records: sqlite3.Connection, table: str, rows: Iterable[Row]) -> None:
    rows = iter(rows)
    first = next(rows, None)
    if first is None:
        return
    columns = ", ".join(f'"{name}"' for name in first)
    sql = f"INSERT INTO {table} ({columns}) VALUES ({', '.join('?' * len(first))})"
    records.execute(sql, tuple(first.values()))
    records.executemany(sql, (tuple(row.values()) for row in rows))


def _at(day: date, hour: int, minute: int = 0) -> str:
    """As the records keep an instant: UTC, without its offset."""
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC).strftime("%Y-%m-%d %H:%M:%S")


def _animals(first: dict[str, int], days: list[date]) -> Iterator[Row]:
    for number, day in enumerate(days):
        kind, sex, _ = KINDS[number % 4]
        yield {"id": first["animal"] + number, "tag": f"Y{number:05d}", "kind": kind, "sex": sex, "born_on": None,
               "age_months": 24, "aged_by": "birth", "maturity": "", "kph_pct": 2.5, "supplier_id": 1 + number % 4,
               "killed_on": str(day), "killed_at_plant": "", "inspected": "federal", "owner_name": "",
               "note": ""}  # fmt: skip


def _bills(first: dict[str, int], days: list[date]) -> Iterator[Row]:
    for number in range(len(days)):
        yield {"animal_id": first["animal"] + number, "basis": "head", "price_cents_per_kg": None, "live_kg": None,
               "paid_cents": 250_000 + number % 1000 * 100, "kill_fee_cents": 9_500}  # fmt: skip


def _of_sides(days: list[date]) -> Iterator[tuple[int, int, str, date, float]]:
    """Number of the side, of its animal, which half, killed when, hot weight [kg]."""
    draw = random.Random(SEED)
    for number, day in enumerate(days):
        for half in range(2):
            yield 2 * number + half, number, ("left", "right")[half], day, round(draw.uniform(130, 190), 1)


def _sides(first: dict[str, int], days: list[date]) -> Iterator[Row]:
    for number, animal, half, day, hot_kg in _of_sides(days):
        yield {"id": first["side"] + number, "animal_id": first["animal"] + animal, "half": half, "hot_kg": hot_kg,
               "hot_typed": f"{hot_kg} kg", "hung_at": _at(day, 18), "state": "cut", "rail_id": None,
               "position_mm": None, "style": "",
               "ways": "{}"}  # fmt: skip


def _weighings(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, _, _, day, hot_kg in _of_sides(days):
        for after in (1, 12):
            kg = round(hot_kg * (0.99 - 0.002 * after), 1)
            yield {"key": f"a{after:02d}{number:029x}", "side_id": first["side"] + number,
                   "at": _at(day + timedelta(days=after), 14), "by_id": people[1], "weight_kg": kg,
                   "typed": f"{kg} kg",
                   "corrects_id": None, "taken_out": 0, "why": ""}  # fmt: skip


def _moves(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, _, _, day, _ in _of_sides(days):
        for after, rail, state in ((0, 1 + number % 4, "hanging"), (12, None, "block"), (12, None, "cut")):
            yield {"side_id": first["side"] + number, "at": _at(day + timedelta(days=after), 18), "by_id": people[1],
                   "rail_id": rail, "position_mm": 600 if rail else None, "state": state, "why": ""}  # fmt: skip


def _readings(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    draw = random.Random(SEED)
    outline = json.dumps([[100 + step, 200 + step * step % 97] for step in range(200)])
    for number, _, _, day, _ in _of_sides(days):
        area, fat, marbling = draw.uniform(65, 95), draw.uniform(4, 18), draw.uniform(2, 12)
        yield {"id": first["facereading"] + number, "side_id": first["side"] + number, "photograph_id": None,
               "at": _at(day + timedelta(days=2), 15), "by_id": people[1], "how": "read", "refused": 0, "reason": "",
               "ribeye_cm2": area, "ribeye_low_cm2": area - 2, "ribeye_high_cm2": area + 2, "fat_mm": fat,
               "fat_low_mm": fat - 1, "fat_high_mm": fat + 1, "marbling_pct": marbling,
               "marbling_low_pct": marbling - 1, "marbling_high_pct": marbling + 1, "marbling_score": 400.0,
               "outline_px": outline, "answer": "{}"}  # fmt: skip


def _accepted(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, _, _, day, _ in _of_sides(days):
        yield {"reading_id": first["facereading"] + number, "side_id": first["side"] + number,
               "at": _at(day + timedelta(days=2), 16), "by_id": people[0]}  # fmt: skip


def _cuttings(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, _, _, day, hot_kg in _of_sides(days):
        cut = day + timedelta(days=12)
        yield {"id": first["cutting"] + number, "side_id": first["side"] + number, "begun_at": _at(cut, 15),
               "begun_by_id": people[1], "begun_kg": round(0.965 * hot_kg, 1), "ended_at": _at(cut, 18),
               "ended_by_id": people[1], "ways": "{}"}  # fmt: skip


def _lots(first: dict[str, int], days: list[date]) -> Iterator[Row]:
    for number, animal, _, day, _ in _of_sides(days):
        kind, _, species = KINDS[animal % 4]
        made = day + timedelta(days=12)
        yield {"id": first["lot"] + number, "code": f"{made:%y%j}-{first['cutting'] + number}",
               "cutting_id": first["cutting"] + number, "batch_id": None, "made_on": str(made), "kind": kind,
               "species": species, "inspected": "federal", "owner_name": ""}  # fmt: skip


def _weights(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, _, _, day, hot_kg in _of_sides(days):
        kg = _piece_kg(hot_kg)
        for place in range(WEIGHTS_A_SIDE):
            yield {"id": first["scaleweight"] + number * WEIGHTS_A_SIDE + place,
                   "key": f"b{number * WEIGHTS_A_SIDE + place:031x}", "cutting_id": first["cutting"] + number,
                   "slug": SLUGS[place % len(SLUGS)], "weight_kg": kg, "tare_kg": 0, "typed": f"{kg} kg",
                   "at": _at(day + timedelta(days=12), 15, place), "by_id": people[1], "device": "",
                   "corrects_id": None, "taken_out": 0, "why": ""}  # fmt: skip


def _newest_sides(days: list[date]) -> list[tuple[int, int, str, date, float]]:
    return list(_of_sides(days))[-LESSONS:]


def _lessons(records: sqlite3.Connection, first: dict[str, int], days: list[date]) -> Iterator[Row]:
    """Lessons of the newest sides: those of the season over and over, each weight a little otherwise."""
    draw = random.Random(SEED + 3)
    known = [json.loads(test) for (test,) in records.execute(
        "SELECT test FROM records_lesson WHERE test IS NOT NULL ORDER BY id").fetchall()]  # fmt: skip
    for place, (number, _, _, day, _) in enumerate(_newest_sides(days) if known else ()):
        test, cut = known[place % len(known)], day + timedelta(days=12)
        kg = {slug: one * draw.gauss(1.0, 0.05) for slug, one in test["weighed_kg"].items()}
        yield {"id": first["lesson"] + place, "cutting_id": first["cutting"] + number, "at": _at(cut, 18),
               "test": json.dumps({**test, "weighed_kg": kg, "day": float(cut.toordinal())}),
               "chain": f"{place:064x}"}  # fmt: skip


def _told(records: sqlite3.Connection, first: dict[str, int], days: list[date]) -> Iterator[Row]:
    """The forecasts that those sides went to the block with, of the edition before."""
    told = records.execute("SELECT asked, told FROM records_sideforecast ORDER BY id").fetchall()
    for place, (number, _, _, day, _) in enumerate(_newest_sides(days) if told else ()):
        asked, said = told[place % len(told)]
        yield {"side_id": first["side"] + number, "at": _at(day + timedelta(days=12), 15), "edition": f"{place:012x}",
               "lesson_id": first["lesson"] + place - 1 if place else None, "asked": asked, "told": said}  # fmt: skip


def _packs(first: dict[str, int], days: list[date], people: list[int], packs_a_side: int) -> Iterator[Row]:
    for number, _, _, day, hot_kg in _of_sides(days):
        made, kg = day + timedelta(days=12), round(0.7 * hot_kg / packs_a_side, 3)
        at, use_by = _at(made, 19), str(made + timedelta(days=14))
        for place in range(packs_a_side):
            pack = number * packs_a_side + place
            yield {"id": first["pack"] + pack, "key": f"c{pack:031x}", "lot_id": first["lot"] + number,
                   "slug": SLUGS[place % len(SLUGS)], "piece": "", "net_kg": kg, "tare_kg": 0.02, "at": at,
                   "by_id": people[2], "use_by": use_by, "frozen": 0, "packing": "vacuum", "place": "case",
                   "price_cents_per_kg": 3_300.0}  # fmt: skip


def _on_hand(first: dict[str, int], days: list[date], packs_a_side: int) -> Iterator[Row]:
    """The packs that nothing happened to yet."""
    sold = _sold_count(days, packs_a_side)
    for number, animal, _, day, hot_kg in _of_sides(days):
        made, kg = day + timedelta(days=12), round(0.7 * hot_kg / packs_a_side, 3)
        for place in range(packs_a_side):
            pack = number * packs_a_side + place
            if pack >= sold:
                yield {"pack_id": first["pack"] + pack, "lot_id": first["lot"] + number,
                       "slug": SLUGS[place % len(SLUGS)],
                       "species": KINDS[animal % 4][2], "net_kg": kg, "use_by": str(made + timedelta(days=14)),
                       "place": ("case", "freezer")[place % 2], "since": _at(made, 19)}  # fmt: skip


def _sold_count(days: list[date], packs_a_side: int) -> int:
    """Two in a hundred of the packs of each half are on hand still; those of the last weeks."""
    every = 2 * len(days) * packs_a_side
    return every - every // 100 * 2


def _clean_ups(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number in range(len(days)):
        yield {"id": first["cleanup"] + number, "key": f"f{number:031x}",
               "at": _at(days[number] + timedelta(days=13), 12),
               "by_id": people[1], "note": ""}  # fmt: skip


def _batches(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    """One for each animal, of the trim of its sides and of the one before."""
    for number, day in enumerate(days):
        made = day + timedelta(days=13)
        yield {"id": first["batch"] + number, "key": f"f1{number:030x}", "code": f"GY{number + 1}",
               "name": "ground-beef",
               "lean_pct": 85.0, "inspected": "federal", "owner_name": "",
               "clean_up_id": first["cleanup"] + number, "asked": "[]",
               "begun_at": _at(made, 14), "begun_by_id": people[1], "ended_at": _at(made, 15),
               "ended_by_id": people[1],
               "out_kg": 9.0, "meat_c": 2.0, "plate_mm": 4.0, "why": ""}  # fmt: skip


def _batch_inputs(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    """One tub of each side, and half of one of a side of the animal before, so that batches hang together.

    The rest of the trim was packed as it is: nothing is left over.
    """
    trims = [place for place in range(WEIGHTS_A_SIDE) if SLUGS[place % len(SLUGS)].startswith("trim")]
    tub_kg = {side: _piece_kg(hot_kg) for side, _, _, _, hot_kg in _of_sides(days)}
    for number, day in enumerate(days):
        for side in (2 * number - 1, 2 * number, 2 * number + 1):
            if side < 0:
                continue
            kg = tub_kg[side] if side % 2 == 0 else round(tub_kg[side] / 2, 3)
            yield {"key": f"f2{number:020x}{side:010x}", "batch_id": first["batch"] + number,
                   "weight_id": first["scaleweight"] + side * WEIGHTS_A_SIDE + trims[0], "bought_id": None,
                   "carried_id": None, "weight_kg": kg, "typed": f"{kg} kg", "lean_pct": 85.0,
                   "at": _at(day + timedelta(days=13), 14), "by_id": people[1], "corrects_id": None, "taken_out": 0,
                   "why": ""}  # fmt: skip


def _piece_kg(hot_kg: float) -> float:
    """All pieces of a side weigh the same."""
    return round(0.96 * hot_kg / WEIGHTS_A_SIDE, 2)


def _batch_lots(first: dict[str, int], days: list[date]) -> Iterator[Row]:
    for number, day in enumerate(days):
        made = day + timedelta(days=13)
        yield {"id": first["lot"] + 2 * len(days) + number, "code": f"GY{number + 1}", "cutting_id": None,
               "batch_id": first["batch"] + number, "made_on": str(made), "kind": "grain-finished",
               "species": "cattle",
               "inspected": "federal", "owner_name": ""}  # fmt: skip


def _events(first: dict[str, int], days: list[date], people: list[int], packs_a_side: int) -> Iterator[Row]:
    """Sold or thrown away; every eighth to a customer whose name is known."""
    sold = _sold_count(days, packs_a_side)
    for number, _, _, day, hot_kg in _of_sides(days):
        cents = round(0.7 * hot_kg / packs_a_side * 3_300)
        for place in range(packs_a_side):
            pack = number * packs_a_side + place
            if pack >= sold:
                return
            yield {"key": f"d{pack:031x}", "pack_id": first["pack"] + pack,
                   "what": "spoiled" if pack % 97 == 0 else "sold",
                   "at": _at(day + timedelta(days=13 + place % 9), 16, place % 60), "by_id": people[2],
                   "cents": 0 if pack % 97 == 0 else cents, "asked_cents": None, "place": "",
                   "customer_id": 1 if pack % 8 == 0 and pack % 97 else None, "ticket": f"d1{pack // 3:030x}",
                   "why": ""}  # fmt: skip


def _trail(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, _, _, day, hot_kg in _of_sides(days):
        for place in range(50):
            yield {"at": _at(day + timedelta(days=place // 4), 15, place), "by_id": people[place % 3],
                   "by_name": "Teodoro", "what": "weighed a piece", "record": "side",
                   "record_id": str(first["side"] + number), "before": None,
                   "after": f'{{"weight_kg": "{hot_kg}"}}', "why": ""}  # fmt: skip


def _log(records: sqlite3.Connection, days: list[date], people: list[int]) -> list[Row]:
    rooms = [row[0] for row in records.execute("SELECT id FROM records_coolerroom")]
    count = (days[-1] - days[0]).days
    return [
        {"key": f"e{room:03x}{2 * day + half:028x}", "room_id": room,
         "at": _at(days[0] + timedelta(days=day), 13 - 6 * half),
         "by_id": people[1], "air_c": 1.5, "carcass_c": None, "deep_c": None, "humidity_pct": 86.0, "note": "",
         "corrects_id": None}
        for room in rooms for day in range(count) for half in range(2)
    ]  # fmt: skip


def _orders(first: dict[str, int], days: list[date], people: list[int]) -> Iterator[Row]:
    for number, day in enumerate(days):
        for place in range(4):
            yield {"id": first["order"] + 4 * number + place, "code": f"Y{number:05d}-{place}", "customer_id": 1,
                   "slug": SLUGS[place], "group": "beef", "kinds": '["grain-finished", "grass-finished"]',
                   "weight_kg": 10.0, "by_day": str(day + timedelta(days=14)),
                   "price_cents_per_kg": 3_300.0, "must": 1,
                   "shelf_days": 5, "out_of_state": 0, "state": "filled", "taken_by_id": people[2]}  # fmt: skip


def _prices(records: sqlite3.Connection, first: dict[str, int], days: list[date]) -> None:
    """A price list every week."""
    weeks = range((days[-1] - days[0]).days // 7)
    _write(records, "records_pricelist", (
        {"id": first["pricelist"] + week, "at": _at(days[0] + timedelta(weeks=week), 12), "by_id": 1, "note": ""}
        for week in weeks))  # fmt: skip
    _write(records, "records_price", (
        {"price_list_id": first["pricelist"] + week, "slug": slug, "group": group,
        "price_cents_per_kg": 3_300.0 + week,
         "cost_cents_per_kg": 2_100.0, "by_hand": 0}
        for week in weeks for slug in SLUGS for group in ("beef", "bison", "wagyu")))  # fmt: skip


def main() -> None:
    from gambrel.shop.demo_apart import build_demo_shop

    folder = Path(sys.argv[1])
    animals = int(sys.argv[2]) if len(sys.argv) > 2 else ANIMALS
    packs_a_side = int(sys.argv[3]) if len(sys.argv) > 3 else PACKS_A_SIDE
    began = time.monotonic()
    sign_ins = build_demo_shop(folder)
    counts = fill(folder, animals, packs_a_side)
    (folder.parent / "sign-ins.json").write_text(json.dumps(sign_ins))
    for name, count in counts.items():
        print(f"{name.removeprefix('records_'):<16}{count:>12,}")
    print(f"in {time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
