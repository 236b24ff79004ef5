"""A template and its data set as a PDF. Data goes in as JSON and is only ever shown, never run."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from typing import Any

from gambrel.files.drawing.svg import words_plain
from gambrel.files.speech import all_spoken, language, spoken

PAPERS = {"letter": "us-letter", "a4": "a4"}
_SAID = re.compile(r'said\("([^"]+)"\)')
_LONG_WORD = re.compile(r"\S{15,}")


def words_shown(text: str) -> str:
    """As it is spoken, without what no page can hold; a word too long for a line may be broken anywhere."""
    return _LONG_WORD.sub(lambda word: "\u200b".join(word[0]), words_plain(spoken(text)))


def typeset(
    template: str, data: Mapping[str, Any], pictures: Mapping[str, str], *, paper: str, made_on: date
) -> bytes:
    """PDF bytes of `templates/<template>.typ`; the same values give the same bytes.

    Its texts, and those of `data`, come out in the words that are spoken now.

    `pictures` maps a file name such as "week-1.svg" to SVG text. `paper` is letter or a4. Only the fonts that
    the typesetter brings are used, and nothing is fetched.
    """
    import typst

    if paper not in PAPERS:
        raise ValueError(f"paper is one of {', '.join(PAPERS)}, not {paper}")
    folder = resources.files("gambrel.files.sheets").joinpath("templates")
    files = {"main.typ": f"{template}.typ", "frame.typ": "frame.typ"}
    texts = {name: folder.joinpath(file).read_text("utf-8") for name, file in files.items()}
    words = {one: spoken(one) for text in texts.values() for one in _SAID.findall(text)}
    shown = {**all_spoken(data), "paper": PAPERS[paper], "said": words, "language": language()}
    bundle = {
        **{name: text.encode("utf-8") for name, text in texts.items()},
        "data.json": json.dumps(shown, allow_nan=False).encode("utf-8"),
        **{name: svg.encode("utf-8") for name, svg in pictures.items()},
    }
    midnight = int(datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC).timestamp())
    compile_bundle: Any = typst.compile  # its stub leaves out that a dict of files is taken
    pdf: bytes = compile_bundle(bundle, format="pdf", ignore_system_fonts=True, timestamp=midnight)
    return pdf
