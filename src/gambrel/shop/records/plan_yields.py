"""The yields that a plan goes by: those known when it was asked for, each animal's by its supplier as it was then."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from gambrel.plan.shares import ModelSource
from gambrel.shop.records.models import Animal
from gambrel.shop.records.shop_yields import Taught, model_source, taught_by


def suppliers_of(tags: Iterable[str]) -> dict[str, str]:
    """Animal's tag to its supplier's name, of those whose supplier is known. One query."""
    rows = Animal.objects.filter(tag__in=set(tags), supplier__isnull=False)
    return dict(rows.order_by("tag").values_list("tag", "supplier__name"))


def known_when(asked: Mapping[str, Any]) -> Taught:
    """What the shop knew when the plan was asked for that starts from `asked` (its `week` in the records)."""
    return taught_by(asked.get("lesson"), asked["week"]["shop"]["trim"])


def models_for(asked: Mapping[str, Any]) -> ModelSource | None:
    """The models of that plan; None: only the book. A plan that names no suppliers was worked out by kinds alone."""
    return model_source(known_when(asked), asked.get("suppliers", {}))
