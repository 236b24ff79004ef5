"""Who may open which page: `python tools/permissions.py` writes docs/shop/permissions.md from the addresses."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TABLE = Path(__file__).parents[1] / "docs" / "shop" / "permissions.md"
ROLES = ("owner", "cutter", "counter", "visitor")

HEAD = """# Who may open which page

Made from the addresses by `python tools/permissions.py`; a test walks every address as every role, reading and
sending, and compares. A visitor is somebody who has not signed in: they are led to the sign-in, anybody else is
refused. A page without a line here is shown to nobody.

The comparison and the price board open to visitors only once the owner has made them public; until then they lead
them to the sign-in too. Programs ask under `/api/` with a device's key, which the owner makes and withdraws.

"""


@dataclass(frozen=True)
class Address:
    """One page: where it is, its name, and who may open it."""

    route: str
    name: str
    roles: frozenset[str]
    without_shop: bool

    @property
    def row(self) -> str:
        marks = " | ".join("yes" if role in self.roles else "no" for role in ROLES)
        return f"| `/{self.route}` | {self.name} | {marks} |"


def addresses() -> list[Address]:
    """Every page, by its address; those for programs are left out."""
    from django.urls import get_resolver

    return sorted(_flat(get_resolver().url_patterns, ""), key=lambda one: one.route)


def _flat(patterns: list[Any], before: str) -> Iterator[Address]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if hasattr(pattern, "url_patterns"):
            if not route.startswith("api/"):
                yield from _flat(pattern.url_patterns, route)
        else:
            view = pattern.callback
            yield Address(route, pattern.name or "", getattr(view, "roles", frozenset()),
                          getattr(view, "without_shop", False))  # fmt: skip


def table() -> str:
    lines = [f"| Address | Page | {' | '.join(ROLES)} |", "|---|---|---|---|---|---|"]
    return HEAD + "\n".join([*lines, *(one.row for one in addresses())]) + "\n"


def main() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gambrel.shop.settings")
    import django

    django.setup()
    TABLE.write_text(table(), "utf-8")
    print(f"{len(addresses())} addresses")
    return 0


if __name__ == "__main__":
    sys.exit(main())
