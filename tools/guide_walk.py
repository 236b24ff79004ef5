"""The walk of the guide, followed to the letter in a browser: `docs/shop/walk.md` is read, and nothing else is known.

A step says what to do in one of a few ways, with the words of the page in bold: Open **link**; Press **button**;
Type `words` into **field**; Choose **entry** in **field**; Tick **field**; Scan `words`; See **words**; Go back. What
a page gave, such as a pack's number, is kept by "Call the number after **Pack** `pack`" and used as {pack}.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

GUIDE = Path(__file__).parents[1] / "docs" / "shop" / "walk.md"
SETTLES_MS = 200
_DO = re.compile(
    r"(?P<open>Open|Press|Tick|See) \*\*(?P<what>[^*]+)\*\*"
    r"|(?:Type|and) `(?P<typed>[^`]+)` into \*\*(?P<field>[^*]+)\*\*"
    r"|Choose \*\*(?P<entry>[^*]+)\*\* in \*\*(?P<list>[^*]+)\*\*"
    r"|(?P<back>Go back)"
    r"|Scan `(?P<scanned>[^`]+)`"
    r"|Call the number after \*\*(?P<before>[^*]+)\*\* `(?P<name>\w+)`"
)


@dataclass(frozen=True, slots=True)
class Do:
    """One thing to do: its verb, the words of the page, and what is typed or chosen. `step` is where it stands."""

    step: str
    verb: str
    words: str
    value: str = ""


def walk_of(text: str) -> Iterator[Do]:
    """Everything to be done, in order. Raises ValueError for a step that says nothing that can be done."""
    for step in re.findall(r"(?m)^\d+\. .*(?:\n   .*)*", text):
        whole = re.sub(r"\s+", " ", step)
        found = list(_DO.finditer(whole))
        if not found:
            raise ValueError(f"nothing to do in {whole!r}")
        for one in found:
            if one["open"]:
                yield Do(whole, one["open"], one["what"])
            elif one["typed"]:
                yield Do(whole, "Type", one["field"], one["typed"])
            elif one["entry"]:
                yield Do(whole, "Choose", one["list"], one["entry"])
            elif one["back"]:
                yield Do(whole, "Back", "")
            elif one["scanned"]:
                yield Do(whole, "Scan", one["scanned"])
            else:
                yield Do(whole, "Call", one["before"], one["name"])


@dataclass
class Walker:
    """A person with a browser who knows what the guide says, and what the pages said on the way."""

    page: Any
    known: dict[str, str]

    def do(self, one: Do) -> None:
        words, value = one.words.format(**self.known), one.value.format(**self.known)
        does: dict[str, Callable[[str, str], None]] = {
            "Open": self._open, "Press": self._press, "Type": self._type, "Choose": self._choose,
            "Tick": self._tick, "Back": self._back, "Scan": self._scan, "See": self._see, "Call": self._call,
        }  # fmt: skip
        does[one.verb](words, value)
        if one.verb in ("Open", "Press", "Scan"):
            self.page.wait_for_timeout(SETTLES_MS)  # a page that is on its way has begun to come by then
        self.page.wait_for_load_state("networkidle")
        if (asks := self.page.locator("#form-errors")).count():
            raise AssertionError(f"the page wants something more: {asks.inner_text()}")

    def _main(self) -> Any:
        return self.page.locator("main")

    def _open(self, words: str, _: str) -> None:
        """A link by its words; what is folded is unfolded first, as a person would."""
        steps = self.page.locator("nav").get_by_role("link", name=words, exact=True)
        if steps.count():
            steps.first.click()
            return
        self.page.eval_on_selector_all("main details", "all => all.forEach(one => one.open = true)")
        exact = self._main().get_by_role("link", name=words, exact=True)
        (exact if exact.count() else self._main().get_by_role("link", name=words)).first.click()

    def _press(self, words: str, _: str) -> None:
        self._main().get_by_role("button", name=words).first.click()

    def _field(self, words: str) -> Any:
        exact = self._main().get_by_label(words, exact=True)
        return (exact if exact.count() else self._main().get_by_label(words)).first

    def _type(self, words: str, value: str) -> None:
        self._field(words).fill(value)

    def _choose(self, words: str, value: str) -> None:
        entries = self._field(words).locator("option").all_inner_texts()
        fits = [one for one in entries if one == value] or [one for one in entries if one.startswith(value)]
        if not fits:
            raise AssertionError(f"no entry {value!r} in {words!r}: {entries}")
        self._field(words).select_option(label=fits[0])

    def _tick(self, words: str, _: str) -> None:
        self._field(words).check()

    def _back(self, _words: str, _: str) -> None:
        self.page.go_back()

    def _scan(self, words: str, _: str) -> None:
        """A scanner types and presses Enter, into whatever has the focus."""
        self.page.keyboard.type(words)
        self.page.keyboard.press("Enter")

    def _see(self, words: str, _: str) -> None:
        self._main().get_by_text(words).first.wait_for()

    def _call(self, words: str, value: str) -> None:
        found = re.search(re.escape(words) + r"\W*([\w-]+)", self._main().inner_text())
        if found is None:
            raise AssertionError(f"nothing after {words!r}")
        self.known[value] = found[1]
