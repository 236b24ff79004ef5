"""Writes the audit trail; every service that changes a record calls it in the same transaction."""

from __future__ import annotations

from typing import Any

from django.db.models import Model

from gambrel.shop.clock import now
from gambrel.shop.records.models import AuditLine, Person

A_PROGRAM = "a program"


def record(
    by: Person | None,
    what: str,
    on: Model,
    *,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
    why: str = "",
) -> AuditLine:
    """One line: who did what to which record, the figures before and after, and why. Values must be JSON."""
    return AuditLine.objects.create(
        at=now(),
        by=by,
        by_name=by.name if by else A_PROGRAM,
        what=what,
        record=on._meta.model_name or "",
        record_id=str(on.pk),
        before=before,
        after=after,
        why=why,
    )
