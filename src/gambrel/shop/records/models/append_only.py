"""Lines that are written once: what was weighed, sold, read or said. A mistake is put right by a new line.

The model refuses a change, and so does the database itself (see the migration of the guards), so that neither
a careless query nor another program can rewrite what happened.
"""

from __future__ import annotations

from typing import Any, Self, TypeVar

from django.db import models

Line = TypeVar("Line", bound=models.Model, covariant=True)


class WrittenOnce(TypeError):
    """Somebody tried to change or take away a line that is written once."""


class AppendOnlyQuerySet(models.QuerySet[Line]):
    def standing(self) -> Self:
        """Of lines with `corrects` and `taken_out` those that count: neither put right nor taken out by a newer line,
        nor such a line that only takes another out."""
        return self.filter(taken_out=False, corrected_by__isnull=True)

    def update(self, **kwargs: Any) -> int:
        raise WrittenOnce(f"{self.model.__name__} lines are written once; add a line that corrects this one")

    def delete(self) -> tuple[int, dict[str, int]]:
        raise WrittenOnce(f"{self.model.__name__} lines are written once; add a line that corrects this one")


class AppendOnly(models.Model):
    """`at` is when it happened or was weighed, in UTC; `by` is who wrote the line (None: a program)."""

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None and not kwargs.get("force_insert") and not self._state.adding:
            raise WrittenOnce(
                f"{type(self).__name__} lines are written once; add a line that corrects this one"
            )
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise WrittenOnce(f"{type(self).__name__} lines are written once; add a line that corrects this one")
