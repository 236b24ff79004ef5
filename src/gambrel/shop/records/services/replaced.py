"""What was written is put right by one newer line; whoever comes second looks again."""

from __future__ import annotations

from typing import Any

from gambrel.measures import CannotDo, Finding
from gambrel.shop.records.models import CoolerReading, ScaleWeight, Weighing


def stop_if_replaced(line: ScaleWeight | Weighing | CoolerReading | None, where: str, *, do: str) -> None:
    """`CannotDo` where `line` was put right or taken out already, or does itself take another out."""
    if line is None:
        return
    lines: Any = type(line)._default_manager
    if getattr(line, "taken_out", False) or lines.filter(corrects=line).exists():
        raise CannotDo([Finding(where, "put right twice", "the newest line", do)])
