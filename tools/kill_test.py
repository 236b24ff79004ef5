"""Kills the shop's server in the middle of weighing, again and again: `python tools/kill_test.py [ROUNDS]`.

Eight scales post as fast as they are answered, the server is killed (SIGKILL) after a moment chosen by chance,
started again, and what was in doubt is sent again under its old keys. Nothing acknowledged may be lost, and nothing
sent again may be there twice.
"""

from __future__ import annotations

import random
import sys
import tempfile
import threading
import time
from pathlib import Path

import scales
import served

SCALES = 8
LONGEST_S = 0.8


def kill_rounds(folder: Path, rounds: int, *, seed: int = 1) -> scales.Account:
    """The invented shop in `folder`, killed that many times; gives what was sent against what was kept."""
    draw = random.Random(seed)
    block = scales.side_on_block(folder)
    weighing = [scales.Scale() for _ in range(SCALES)]
    for number in range(rounds):
        shop = served.start(folder)
        for scale in weighing:
            scales.send_again(shop.address, block, scale)
        _kill_while_weighing(shop, block, weighing, draw.uniform(0.02, LONGEST_S))
        if sys.stderr.isatty():
            print(f"\r{number + 1} of {rounds}", end="", file=sys.stderr)
    shop = served.start(folder)
    for scale in weighing:
        scales.send_again(shop.address, block, scale)
    served.stop(shop)
    return scales.account(weighing, scales.lines_in_file(folder, block))


def _kill_while_weighing(
    shop: served.ServedShop, block: scales.Block, weighing: list[scales.Scale], after_s: float
) -> None:
    stop = threading.Event()
    threads = [threading.Thread(target=scales.weigh_until, args=(stop, shop.address, block, scale),
                                kwargs={"most": 10_000}) for scale in weighing]  # fmt: skip
    for thread in threads:
        thread.start()
    time.sleep(after_s)
    shop.process.kill()
    shop.process.wait()
    stop.set()
    for thread in threads:
        thread.join()
    if shop.process.stdout is not None:
        shop.process.stdout.close()


def main() -> int:
    from gambrel.shop.demo_apart import build_demo_shop

    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder) / "shop"
        build_demo_shop(shop)
        began = time.monotonic()
        account = kill_rounds(shop, rounds)
    print(f"{rounds} kills in {time.monotonic() - began:.0f} s: {account}")
    return 0 if account.clean else 1


if __name__ == "__main__":
    sys.exit(main())
