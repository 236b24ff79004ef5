"""What both parts of the check say when a plan breaks a rule."""

from __future__ import annotations

KG = 1e-3
"""What may be out by arithmetic: a gram, a thousandth of a minute, a millimetre of rail."""


class BadPlan(AssertionError):
    """The plan breaks a rule: a mistake in the program, not in the week."""


def must(holds: bool, sentence: str) -> None:
    """Raise `BadPlan` with the sentence that should have held."""
    if not holds:
        raise BadPlan(sentence)
