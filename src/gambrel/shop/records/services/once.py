"""One line for one thing that happened, also where it is sent twice at the same moment by two ways."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django.db import IntegrityError, transaction

Line = TypeVar("Line")


def written_once(write: Callable[[], Line], find: Callable[[], Line | None]) -> tuple[Line, bool]:
    """What `write` makes, and True; where the same was written at the same moment, what `find` finds, and False.

    A line that the records refuse for another reason is found nowhere: the refusal (`IntegrityError`) goes on.
    """
    try:
        with transaction.atomic():
            return write(), True
    except IntegrityError:
        there = find()
        if there is None:
            raise
        return there, False
