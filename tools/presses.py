"""Presses of a driven browser that end when the page they lead to is there as a whole.

The driver goes on as soon as the answer's first bytes are there. On a slow line the page has no document yet, so a
question put to it at once fails, or its script does not listen yet and a key goes nowhere. A person waits too.
"""

from __future__ import annotations

from typing import Any


def wait_for_the_page() -> None:
    """From here on `click` of a page and of a locator wait until the page that then stands has been read whole."""
    from playwright.sync_api import Locator, Page

    for kind in (Page, Locator):
        if not hasattr(kind.click, "waits"):
            kind.click = _waiting(kind.click)  # type: ignore[method-assign]


def _waiting(click: Any) -> Any:
    def waiting(self: Any, *words: Any, **named: Any) -> None:
        click(self, *words, **named)
        getattr(self, "page", self).wait_for_load_state("domcontentloaded")

    waiting.waits = True  # type: ignore[attr-defined]
    return waiting
