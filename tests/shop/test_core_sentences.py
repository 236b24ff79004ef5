"""Everything that the core may say on a page has its Spanish, and the tool that looks after it sees what lacks."""

from __future__ import annotations

import ast

import core_sentences
import pytest


def test_nothing_is_missing_left_over_or_with_other_places() -> None:
    assert core_sentences.problems(core_sentences.spanish()) == [], "tools/core_sentences.py --add"


def spoken(code: str) -> set[str]:
    return set(core_sentences.spoken(ast.parse(code)))


@pytest.mark.parametrize(
    ("code", "sentences"),
    [
        ('Finding("rail", "nothing", "a rail", "Hang it.")', {"rail", "nothing", "a rail", "Hang it."}),
        ('found.add(where, f"{kg:.1f} kg of {cut}", "less", "Weigh it.")', {"{1} kg of {2}", "less", "Weigh it."}),
        ('found.add("not four")', set()),
        ('Finding(f"side {one}", "a" if x else "late", given or "nothing", do)', {"side {1}", "late", "nothing"}),
        ('WANTED = "a rail"\nFinding(tag, given, WANTED, do)', {"a rail"}),
        ('def said(n):\n    return f"{n} sides"\nFinding(tag, said(3), wanted, do)', {"{1} sides"}),
        ('def say(rail, do):\n    found.add(rail, given, "less", do)\nsay("B1", "Move it.")', {"less", "Move it."}),
        ('Finding(tag, f"{a} kg", "12", "mm")', set()),
        ('print("Hang it.")', set()),
    ],
)  # fmt: skip
def test_sentences_are_read_from_the_code(code: str, sentences: set[str]) -> None:
    assert spoken(code) == sentences


def test_a_function_that_calls_itself_is_read_to_an_end() -> None:
    code = 'def said(n):\n    return said(n - 1) if n else "done"\nFinding(tag, said(3), wanted, do)'
    assert spoken(code) == {"done"}


def test_what_the_pages_reach_is_looked_at_and_the_pages_speak_for_themselves() -> None:
    shown = core_sentences.shown()
    assert {"gambrel.hang.cooler", "gambrel.plan.clash", "gambrel.shop.records.services.block"} <= set(shown)
    assert not [name for name in shown if name.startswith(("gambrel.shop.pages", "gambrel.cli"))]
    assert len(core_sentences.sentences()) > 800


@pytest.mark.parametrize(
    ("english", "spanish", "said"),
    [
        ("Nobody says this at all.", "Nadie dice esto.", "left over"),
        ("pack {1}", "paquete", "other places"),
        ("pack {1}", "paquete {2}", "other places"),
        ("pack {1}", "", "no Spanish"),
    ],
)
def test_what_is_wrong_with_a_list_is_said(english: str, spanish: str, said: str) -> None:
    found = core_sentences.problems({**core_sentences.spanish(), english: spanish})
    assert [one for one in found if said in one and english in one], found
