"""Findings: everything wrong is kept, said once, and raised together."""

from __future__ import annotations

import pytest

from gambrel.measures import CannotDo, Finding, Findings, GambrelError

FAT = Finding("fat", "0.4", "a length with its unit", "Say the unit: 0.4mm or 0.4in.")
HOT = Finding("hot", "9000lb", "at most 900 kg", "Check the figure and its unit.")


def test_a_finding_says_where_given_wanted_and_do() -> None:
    assert FAT.as_json() == {
        "where": "fat",
        "given": "0.4",
        "wanted": "a length with its unit",
        "do": "Say the unit: 0.4mm or 0.4in.",
    }
    assert FAT.sentence() == "fat: given 0.4; wanted a length with its unit. Say the unit: 0.4mm or 0.4in."


def test_nothing_wrong_stops_nothing() -> None:
    findings = Findings()
    findings.stop_if_any()
    assert not findings
    assert len(findings) == 0


def test_all_that_is_wrong_is_raised_together_and_in_order() -> None:
    findings = Findings([FAT])
    findings.add("hot", "9000lb", "at most 900 kg", "Check the figure and its unit.")
    with pytest.raises(CannotDo) as refusal:
        findings.stop_if_any()
    assert refusal.value.findings == (FAT, HOT)
    assert str(refusal.value) == f"{FAT.sentence()}; {HOT.sentence()}"
    assert isinstance(refusal.value, GambrelError)


def test_the_same_finding_is_said_once() -> None:
    findings = Findings()
    for _ in range(3):
        findings.extend([FAT, HOT])
    assert list(findings) == [FAT, HOT]


def test_given_may_be_anything_and_is_shown_as_text() -> None:
    findings = Findings()
    findings.add("days", [3, 2], "rising days", "Put them in order.")
    assert next(iter(findings)).given == "[3, 2]"
