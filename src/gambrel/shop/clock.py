"""The shop's clock: the one place where the web part asks what time it is."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime

from django.utils import timezone

SET_TO_VARIABLE = "GAMBREL_NOW"
"""An instant with its offset, such as 2026-03-09T07:30:00+00:00, at which the clock stands: for pictures and tests."""


def now() -> datetime:
    """This instant, in UTC."""
    set_to = os.environ.get(SET_TO_VARIABLE)
    return datetime.fromisoformat(set_to) if set_to else timezone.now()


def today() -> date:
    """The date in the shop's zone, which the request's zone was set to."""
    return timezone.localtime(now()).date()


@contextmanager
def standing_at(instant: datetime) -> Iterator[None]:
    """The clock of this process stands at `instant`: for made-up days gone by."""
    before = os.environ.get(SET_TO_VARIABLE)
    os.environ[SET_TO_VARIABLE] = instant.isoformat()
    try:
        yield
    finally:
        if before is None:
            del os.environ[SET_TO_VARIABLE]
        else:
            os.environ[SET_TO_VARIABLE] = before
