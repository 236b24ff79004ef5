"""The recall sheet: what must come back, where it lies, who has it, and what it was made of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.pdf_out import heading
from gambrel.files.sheets.typeset import typeset, words_shown


@dataclass(frozen=True, slots=True)
class RecallPart:
    """One table of the sheet; every row has a text a column."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.columns) for row in self.rows):
            raise ValueError(f"{self.title}: every row has {len(self.columns)} texts")


def recall_pdf(
    head: Head, facts: Sequence[tuple[str, str]], parts: Iterable[RecallPart], *, notes: Iterable[str],
    paper: str = "letter",
) -> bytes:  # fmt: skip
    """The sheet as a document; a part without rows says so."""
    data = {
        **heading(head, notes, facts),
        "parts": [
            {
                "title": words_shown(part.title),
                "columns": [words_shown(name) for name in part.columns],
                "rows": [[words_shown(text) for text in row] for row in part.rows],
            }
            for part in parts
        ],
    }
    return typeset("recall", data, {}, paper=paper, made_on=head.made_on)
