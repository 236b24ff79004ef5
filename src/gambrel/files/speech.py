"""In which words drawings and sheets speak: the English that is written here, unless whoever asks for them has others.

What a drawing says is laid out as it is said: a longer word is shortened or wrapped by its own length.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from gambrel.measures import Finding


@dataclass(frozen=True, slots=True)
class Speech:
    """A language (its two letters) and the words for an English text in it."""

    language: str
    say: Callable[[str], str]


ENGLISH = Speech("en", str)
_spoken: ContextVar[Speech] = ContextVar("speech", default=ENGLISH)


@contextmanager
def speaking(speech: Speech) -> Iterator[None]:
    """Every drawing and sheet made meanwhile speaks so."""
    before = _spoken.set(speech)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken(text: str) -> str:
    """The text in the words that are spoken now."""
    return _spoken.get().say(text)


def language() -> str:
    """The two letters of the language that is spoken now."""
    return _spoken.get().language


def finding_spoken(finding: Finding) -> str:
    """A finding as one sentence, each of its parts as it is spoken now; in English, the one that the core says."""
    parts = {name: spoken(text) for name, text in finding.as_json().items()}
    return spoken("{where}: given {given}; wanted {wanted}. {do}").format(**parts)


def all_spoken(value: Any) -> Any:
    """A value with every text in it as it is spoken now; the names of its fields stay."""
    if isinstance(value, str):
        return spoken(value)
    if isinstance(value, Mapping):
        return {name: all_spoken(one) for name, one in value.items()}
    return [all_spoken(one) for one in value] if isinstance(value, (list, tuple)) else value
