"""Packs at random, drawn as every code and read back by another program; says how many came back as they went in.

python tools/random_packs.py [COUNT]
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from datetime import date, timedelta
from time import perf_counter

from barcode_reader import read_back

from gambrel.files.barcode import Barcode, data_matrix, gs1_128, in_store, qr
from gambrel.measures import CannotDo
from gambrel.sell.digital_link import digital_link
from gambrel.sell.element_strings import MOST_IN_GS1_128, element_string
from gambrel.sell.pack_code import PackCode, Scanned, elements_of, read_scanned
from gambrel.sell.price_code import LAYOUTS, InStore, in_store_code, read_in_store
from gambrel.sell.weights import DIVISIONS, PrintedWeight

KINDS = {"data matrix": "DataMatrix", "qr": "QRCode", "gs1-128": "Code128"}
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZabcdefghjkmnpqrstuvwxyz0123456789-/._!\"%&'()*+,:;<=>?"


def random_pack(chance: random.Random) -> PackCode:
    """A pack with any lot, serial, weight, dates and price that a label may carry."""
    division = DIVISIONS[chance.choice(sorted(DIVISIONS))]
    packed = date(2026, 1, 1) + timedelta(days=chance.randint(0, 3000))
    return PackCode(
        serial="".join(chance.choices(LETTERS, k=chance.randint(1, 20))),
        lot="".join(chance.choices(LETTERS, k=chance.randint(1, 20))),
        gtin=chance.choice(["99521234543216", "99521234543216", ""]),
        packed_on=packed,
        printed=PrintedWeight(division.down(division.step * chance.randint(1, 9999)), division),
        use_by=packed + timedelta(days=chance.randint(0, 400)),
        total_cents=chance.choice([None, chance.randint(1, 99_999)]),
    )


def what_it_should_say(pack: PackCode) -> Scanned:
    if not pack.gtin:
        return Scanned(serial=pack.serial)
    return Scanned(
        pack.serial, pack.lot, pack.gtin, pack.printed.net, pack.printed.unit, pack.packed_on, None, pack.use_by,
        pack.total_cents,
    )  # fmt: skip


def codes_of(pack: PackCode) -> dict[str, Barcode]:
    """Every code this pack can carry; bars only where they are few enough, an address only with an item number."""
    elements = elements_of(pack)
    codes = {"data matrix": data_matrix(elements)}
    if pack.gtin:
        codes["qr"] = qr(digital_link(elements, host="hollow.example"))
    if len(element_string(elements)) <= MOST_IN_GS1_128:
        codes["gs1-128"] = gs1_128(elements)
    return codes


def try_pack(chance: random.Random, told: Counter[str]) -> list[str]:
    """Draws and reads one pack and one in-store code; returns what came back wrong."""
    pack = random_pack(chance)
    wrong: list[str] = []
    for name, code in codes_of(pack).items():
        told[name] += 1
        try:
            said = read_scanned(read_back(code, module_px=2, kind=KINDS[name]).text, today=pack.packed_on)
        except (ValueError, CannotDo) as problem:
            wrong.append(f"{name}: {problem}: {pack}")
            continue
        if said != what_it_should_say(pack):
            wrong.append(f"{name}: {said} for {pack}")
    layout = LAYOUTS[chance.choice(sorted(LAYOUTS))]
    put_in = InStore(
        str(chance.randrange(10**layout.item_count)).zfill(layout.item_count), chance.randint(0, layout.most)
    )
    digits = in_store_code(layout, item=put_in.item, value=put_in.value)
    told["in-store"] += 1
    if read_in_store(read_back(in_store(digits), module_px=2).text, layout) != put_in:
        wrong.append(f"in-store {digits}")
    return wrong


def main(count: int) -> int:
    chance, told, began = random.Random(1), Counter[str](), perf_counter()
    wrong = [line for _ in range(count) for line in try_pack(chance, told)]
    print(f"{count} packs, {dict(told)} codes drawn and read in {perf_counter() - began:.0f} s")
    print("\n".join(wrong[:20]) or "all came back as they went in")
    print(f"{len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000))
