"""Price endings: the whole-cent prices a shop writes, such as those that end in .99 or .49."""

from __future__ import annotations

import math
import re

from gambrel.measures import Entry

_ENDING = re.compile(r"\s*\.(\d\d)\s*")
_ROUNDING = 1e-6


def read_endings(entry: Entry, name: str) -> tuple[int, ...] | None:
    """Endings in cents from ".99" or [".99", ".49"], rising; () for "any"; None when not given or wrong."""
    raw = entry.raw(name)
    if raw is None:
        return None
    if raw == "any":
        return ()
    listed = raw if isinstance(raw, list) else [raw]
    matches = [_ENDING.fullmatch(item) if isinstance(item, str) else None for item in listed]
    if not listed or not all(matches):
        entry.wrong(
            name,
            raw,
            'endings such as ".99", or [".99", ".49"], or "any"',
            "Write two digits after a point, in quotes.",
        )
        return None
    return tuple(sorted({int(match[1]) for match in matches if match}))


def prices_with_ending(endings: tuple[int, ...], *, low_cents: float, high_cents: float) -> list[int]:
    """Every whole-cent price from low to high (inclusive, at least one cent) that ends as asked, rising."""
    first = max(1, math.ceil(low_cents - _ROUNDING))
    last = math.floor(high_cents + _ROUNDING)
    if last < first:
        return []
    if not endings:
        return list(range(first, last + 1))
    return [
        dollars * 100 + ending
        for dollars in range(first // 100, last // 100 + 1)
        for ending in endings
        if first <= dollars * 100 + ending <= last
    ]


def near(
    endings: tuple[int, ...],
    price_cents: float,
    *,
    below: int,
    above: int,
    low_cents: float,
    high_cents: float,
) -> list[int]:
    """The `below` ending prices at or under `price_cents` and the `above` ones over it, within the limits."""
    step = 1 if not endings else 100
    under = prices_with_ending(
        endings,
        low_cents=max(low_cents, price_cents - step * (below + 1)),
        high_cents=min(price_cents, high_cents),
    )[-below:]
    over = prices_with_ending(
        endings,
        low_cents=max(low_cents, math.floor(price_cents + _ROUNDING) + 1),
        high_cents=min(high_cents, price_cents + step * (above + 1)),
    )[:above]
    return under + over
