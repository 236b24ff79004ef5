"""Values of the core kept as JSON and made whole again: what a plan started from, and what it answered.

Only frozen dataclasses of plain fields, dates, tuples, mappings and frozen sets are known; anything else is a
mistake of ours and raises, so that nothing is kept that could not be read back.
"""

from __future__ import annotations

import dataclasses
import math
import types
import typing
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any, TypeVar

T = TypeVar("T")
_ENDLESS = {math.inf: "inf", -math.inf: "-inf"}
"""JSON has no infinity; an unproven bound is one."""


def plain(value: Any) -> Any:
    """`value` as lists, objects, texts and numbers."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(item) for item in value]
    if isinstance(value, frozenset):
        return sorted(plain(item) for item in value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return _ENDLESS.get(value, value)
    if value is None or isinstance(value, (bool, int, str)):
        return value
    raise TypeError(f"{type(value).__name__} cannot be kept")


def restored(kind: type[T], data: Any) -> T:
    """The value that `plain` made `data` from."""
    made: T = _restored(kind, data)
    return made


def _restored(kind: Any, data: Any) -> Any:
    origin, inside = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        known = [one for one in inside if one is not type(None)]
        return None if data is None else _restored(known[0], data)
    if dataclasses.is_dataclass(kind):
        hints = _hints(typing.cast(type, kind))
        return typing.cast(Any, kind)(**{name: _restored(hints[name], item) for name, item in data.items()})
    if origin is tuple:
        if len(inside) == 2 and inside[1] is Ellipsis:
            return tuple(_restored(inside[0], item) for item in data)
        return tuple(_restored(one, item) for one, item in zip(inside, data, strict=True))
    if origin is frozenset:
        return frozenset(_restored(inside[0], item) for item in data)
    if origin in (Mapping, dict) or kind is Mapping:
        return {key: _restored(inside[1], item) for key, item in data.items()}
    if kind is date:
        return date.fromisoformat(data)
    if kind is float:
        return float(data)
    return data


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)
