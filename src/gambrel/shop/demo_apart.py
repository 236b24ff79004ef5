"""Builds the invented shop in a process of its own: `python -m gambrel.shop.demo_apart FOLDER`.

Django can be started on one folder in a process only, so whoever builds a shop beside other work asks this one.
The sign-ins come back as JSON on standard output.
"""

from __future__ import annotations

import dataclasses
import json
import subprocess
import sys
import zoneinfo
from pathlib import Path

PLAN_SECONDS, PLAN_DAYS = 15.0, 14


def build_demo_shop(
    folder: Path, *, photographs: int | None = None, plan_seconds: float = PLAN_SECONDS,
    plan_days: int = PLAN_DAYS,
) -> list[dict[str, str]]:  # fmt: skip
    """The invented shop in an empty folder, as it stands today; gives name, role and password of each person.

    `photographs` is how many rib faces are read (all of them when None); no plan is made in no seconds.
    """
    many = "all" if photographs is None else str(photographs)
    asked = [sys.executable, "-m", "gambrel.shop.demo_apart", str(folder), many, str(plan_seconds),
             str(plan_days)]  # fmt: skip
    done = subprocess.run(asked, stdout=subprocess.PIPE, check=True)
    sign_ins: list[dict[str, str]] = json.loads(done.stdout)
    return sign_ins


def main(folder: Path, photographs: int | None, plan_seconds: float, plan_days: int) -> None:
    from gambrel.shop.opening import open_shop

    open_shop(folder)
    from django.db import transaction
    from django.utils import timezone

    from gambrel.shop import demo, demo_history, demo_season
    from gambrel.shop.clock import now

    zone = zoneinfo.ZoneInfo(demo.ZONE)
    today = now().astimezone(zone).date()
    with timezone.override(zone):
        sign_ins = demo.fill_demo(today)
        with transaction.atomic():
            demo_history.read_faces(photographs)
            demo_season.cut_a_season(today)
            demo_history.cut_and_sell(today)
            demo_season.grind_and_share(today)
        if plan_seconds:
            demo_history.set_prices(demo_history.plan_ahead(today, seconds=plan_seconds, days=plan_days))
    print(json.dumps([dataclasses.asdict(one) for one in sign_ins]))


if __name__ == "__main__":
    main(Path(sys.argv[1]), None if sys.argv[2] == "all" else int(sys.argv[2]), float(sys.argv[3]),
         int(sys.argv[4]))  # fmt: skip
