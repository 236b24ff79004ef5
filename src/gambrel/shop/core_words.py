"""What the core says, in the language of the page: its English is looked up with the figures taken out.

The core knows nothing of languages: it says English, to a terminal and to programs too, and the records keep that.
`core_words_es` has a list for each of its folders, English to Spanish with places: "{1} kg is more than {2}". What
fills a place is looked up in its turn. A sentence that is in no list stays as it is; `tools/core_sentences.py` reads
from the code what is to be in them.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources

from django.utils.functional import lazy
from django.utils.translation import get_language

from gambrel.measures import Finding
from gambrel.shop.names import spanish_names

DEEPEST = 12
"""Sentences stand within sentences no deeper than this: each part of a long list may stand within the one before."""
FEWEST_LETTERS = 4
"""A sentence with fewer letters of its own, such as "{1} of {2}", is one only where all that fills it is known too."""
PARTS = (" · ", "; ", ", ", ": ", " and ")
"""What stands between the parts of a list."""

_PLACE = re.compile(r"\{(\d+)\}")
_WORD = re.compile(r"[A-Za-z']{2,}")
_LETTERS = re.compile(r"[A-Za-z]")
_NEXT = re.compile(r"(?<=[\w)%][.?]) (?=[A-Z])")
"""Where one sentence ends and the next begins."""
_UNIT = re.compile(r"(?<![A-Za-z])(kg|lb|g|oz|m|mm|cm|in|ft|h|min|C|F|px)(?![A-Za-z])")
_WEEKDAY = re.compile(r"\b(Mon|Tue|Wed|Thu|Fri|Sat|Sun)(?= \d)")
_MONTH = re.compile(r"(?<=\d )(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b")


def in_words_of_page(sentence: str) -> str:
    """A sentence or word of the core in the language of the page; as it is where no list has it."""
    return _in_spanish(sentence) if (get_language() or "en").startswith("es") else sentence


in_words_of_page_lazy = lazy(in_words_of_page, str)
"""The same, said when it is shown: for what stands in a form."""


def finding_in_words_of_page(finding: Finding) -> Finding:
    """A finding with its place, what was given, wanted and is to be done in the language of the page."""
    told = (finding.where, finding.given, finding.wanted, finding.do)
    return Finding(*map(in_words_of_page, told))


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A sentence with places, and its Spanish; `word` is a word of its own, by which it is found."""

    form: re.Pattern[str]
    spanish: str
    letters: int
    word: str


@lru_cache(maxsize=20_000)
def _in_spanish(sentence: str, depth: int = 0) -> str:
    """By the whole, by its sentence with places, or part by part where it is a list."""
    inside = sentence.strip()
    if not _LETTERS.search(inside) or depth > DEEPEST:
        return sentence
    known = _known(inside)
    if known is None:
        known = _sentence_by_sentence(inside, depth)
    if known is None:
        known = _by_pattern(inside, depth)
    if known is None:
        known = _by_parts(inside, depth)
    return sentence.replace(inside, known) if inside != sentence else known


def _known(text: str) -> str | None:
    whole = _lists()[0]
    if text in whole:
        return whole[text]
    small = text[0].lower() + text[1:]
    return whole[small][:1].upper() + whole[small][1:] if small in whole else None


def _sentence_by_sentence(text: str, depth: int) -> str | None:
    """Several sentences, each of which has its Spanish."""
    sentences = _NEXT.split(text)
    said = [_in_spanish(one, depth + 1) for one in sentences] if len(sentences) > 1 else []
    every = said and all(one != before for one, before in zip(said, sentences, strict=True))
    return " ".join(said) if every else None


def _by_pattern(text: str, depth: int) -> str | None:
    """By the sentence with the most letters of its own that the text can be."""
    by_word = _lists()[1]
    asked = (one for word in {"", *_WORD.findall(text)} for one in by_word.get(word, ()))
    for pattern in sorted(asked, key=lambda one: -one.letters):
        found = pattern.form.fullmatch(text)
        if found and (pattern.letters >= FEWEST_LETTERS or _all_known(found, depth)):
            return _filled(pattern.spanish, found, depth)
    return None


def _all_known(found: re.Match[str], depth: int) -> bool:
    """Whether everything that fills the places is a figure with its unit, or has Spanish."""
    return all(
        not _LETTERS.search(_UNIT.sub("", value))
        or value in _lists()[0]
        or _in_spanish(value, depth + 1) != value
        for value in found.groups()
    )


def _filled(spanish: str, found: re.Match[str], depth: int) -> str:
    return _PLACE.sub(lambda place: _in_spanish(found[f"p{place[1]}"], depth + 1), spanish)


def _by_parts(text: str, depth: int) -> str:
    for between in PARTS:
        parts = text.split(between)
        if len(parts) > 1:
            said = [_in_spanish(part, depth + 1) for part in parts]
            if said != parts:
                return (" y " if between == " and " else between).join(said)
    whole = _lists()[0]
    day = _WEEKDAY.sub(lambda found: whole.get(found[1], found[1]), text)
    return _MONTH.sub(lambda found: whole.get(found[1], found[1]), day)


@cache
def _lists() -> tuple[dict[str, str], dict[str, list[_Pattern]]]:
    """Whole sentences and names to their Spanish, and the sentences with places by a word of theirs."""
    whole, by_word = dict(spanish_names()), dict[str, list[_Pattern]]()
    for path in resources.files("gambrel.shop").joinpath("core_words_es").iterdir():
        for listed, said in tomllib.loads(path.read_text("utf-8")).items():
            english, spanish = listed.strip(), said.strip()
            if _PLACE.search(english):
                pattern = _pattern(english, spanish)
                by_word.setdefault(pattern.word, []).append(pattern)
            else:
                whole[english] = spanish
    return whole, by_word


def _pattern(english: str, spanish: str) -> _Pattern:
    own = _PLACE.sub("", english)
    letters = len(_LETTERS.findall(own))
    form, at, seen = "", 0, set[str]()
    for place in _PLACE.finditer(english):
        form += re.escape(english[at : place.start()])
        form += f"(?P=p{place[1]})" if place[1] in seen else f"(?P<p{place[1]}>.+?)"
        seen.add(place[1])
        at = place.end()
    apart = re.sub(r"[A-Za-z']*\{\d+\}[A-Za-z']*", " ", english)  # words that no place touches
    word = max(_WORD.findall(apart), key=len, default="")
    return _Pattern(re.compile(form + re.escape(english[at:]), re.DOTALL), spanish, letters, word)
