"""The edition of yields that a printed forecast came from, in the words of the pages."""

from __future__ import annotations

from gambrel.shop.records.shop_yields import Taught


def yields_said(known: Taught) -> str:
    """One sentence for the foot of a sheet: how many sides have taught, and the edition that they make."""
    if not known.tests:
        return "Yields: the book alone; no side cut here has taught anything yet."
    if len(known.tests) == 1:
        return f"Yields: the book, put right by 1 side cut here (edition {known.edition})."
    return f"Yields: the book, put right by {len(known.tests)} sides cut here (edition {known.edition})."
