"""The table of identifiers against the published one, row by row."""

from __future__ import annotations

import pytest

from gambrel.sell.application_identifiers import IDENTIFIERS, Identifier, identifier_at
from gambrel.sell.check_digits import with_check_digit
from gambrel.sell.element_strings import GS, element_string, look_over, read_elements

# GS1 Syntax Dictionary, GS1 AISBL (github.com/gs1/gs1-syntax-dictionary); 7002, 7006, 7007 and 7030 from an open copy
# of the same table. Each row: identifier, least and most characters, digits only, told by its first digits (no FNC1).
PUBLISHED = [
    ("00", 18, 18, True, True), ("01", 14, 14, True, True), ("02", 14, 14, True, True), ("10", 1, 20, False, False),
    ("11", 6, 6, True, True), ("13", 6, 6, True, True), ("15", 6, 6, True, True), ("16", 6, 6, True, True),
    ("17", 6, 6, True, True), ("21", 1, 20, False, False), ("22", 1, 20, False, False), ("251", 1, 30, False, False),
    ("30", 1, 8, True, False), ("37", 1, 8, True, False), ("3100", 6, 6, True, True), ("3103", 6, 6, True, True),
    ("3105", 6, 6, True, True), ("3200", 6, 6, True, True), ("3202", 6, 6, True, True), ("3922", 1, 15, True, False),
    ("3952", 6, 6, True, False), ("414", 13, 13, True, True), ("416", 13, 13, True, True), ("422", 3, 3, True, False),
    ("423", 3, 15, True, False), ("424", 3, 3, True, False), ("425", 3, 15, True, False), ("426", 3, 3, True, False),
    ("7002", 1, 30, False, False), ("7006", 6, 6, True, False), ("7007", 6, 12, True, False),
    ("7030", 4, 30, False, False), ("7039", 4, 30, False, False), ("91", 1, 90, False, False),
]  # fmt: skip


@pytest.mark.parametrize(
    ("ai", "least", "most", "digits", "fixed"), PUBLISHED, ids=[row[0] for row in PUBLISHED]
)
def test_the_row_as_published(ai: str, least: int, most: int, digits: bool, fixed: bool) -> None:
    row = IDENTIFIERS[ai]
    assert (row.least, row.most, row.digits, row.fixed) == (least, most, digits, fixed)


@pytest.mark.parametrize("ai", ["3106", "3206", "392", "03", "99999"[:1], "8", "7040"])
def test_what_the_table_has_not_is_not_known(ai: str) -> None:
    assert ai not in IDENTIFIERS
    assert identifier_at("3106123456") is None


# The same dictionary, what must be there and what may not: row, what it needs, what it may not stand with.
PAIRS = [
    ("10", [("01",), ("02",)], []), ("21", [("01",)], []), ("3202", [("01",), ("02",)], ["3203"]),
    ("3922", [("01", "3202")], ["3952"]), ("3952", [("3202",)], ["3922"]), ("37", [("00", "02")], []),
    ("02", [("00", "37")], ["01"]), ("01", [()], ["02", "37"]), ("422", [("01",)], ["426"]),
    ("426", [("01",)], ["424"]),
    ("17", [("01",), ("02",)], []), ("251", [("01",)], []), ("30", [("01",), ("02",)], []),
    ("7002", [("01",), ("02",)], []), ("7006", [("01",)], []),
]  # fmt: skip


def value_for(ai: str) -> str:
    """A value that is right for this identifier."""
    row = IDENTIFIERS[ai]
    if row.checked:
        return with_check_digit("9" * (row.most - 1))
    if row.dated:
        return "260304"
    return "840" + "1" * (row.least - 3) if ai[:2] in ("42", "70") and row.least >= 3 else "1" * row.least


@pytest.mark.parametrize(("ai", "needs", "never"), PAIRS, ids=[row[0] for row in PAIRS])
def test_company_as_published(ai: str, needs: list[tuple[str, ...]], never: list[str]) -> None:
    """Not in words but in deeds: alone it is refused, with each company it is let through, with the others never."""
    one = (ai, value_for(ai))
    alone = [finding for finding in look_over([one]) if finding.given == "alone"]
    assert bool(alone) is (needs != [()])
    for company in needs:
        others = [(other, value_for(other)) for other in company]
        mine = [finding for finding in look_over([one, *others]) if finding.where.startswith(f"({ai})")]
        assert mine == [], company
    for other in never:
        clash = look_over([one, (other, value_for(other))])
        assert any(finding.wanted == "one or the other" for finding in clash), other


@pytest.mark.parametrize("row", IDENTIFIERS.values(), ids=list(IDENTIFIERS))
def test_lengths_are_held(row: Identifier) -> None:
    for length in (row.least - 1, row.most + 1):
        wrong = [finding for finding in look_over([(row.ai, "1" * length)]) if finding.given == "1" * length]
        assert len(wrong) == 1 and ("character" in wrong[0].wanted or "digits" in wrong[0].wanted), length


@pytest.mark.parametrize(
    "row", [row for row in IDENTIFIERS.values() if not row.needs], ids=lambda row: row.ai
)
def test_every_identifier_that_may_stand_alone_comes_back(row: Identifier) -> None:
    text = element_string([(row.ai, value_for(row.ai))])
    assert read_elements(text) == {row.ai: value_for(row.ai)}
    assert not text.endswith(GS)


def test_letters_are_taken_only_where_they_may_be() -> None:
    for row in IDENTIFIERS.values():
        wrong = [finding.wanted for finding in look_over([(row.ai, "A" * row.most)])]
        assert ("digits only" in wrong) is row.digits, row.ai
