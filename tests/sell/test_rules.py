"""Rules as data, and who may switch them."""

from __future__ import annotations

from datetime import date

import pytest

from gambrel.catalog.kinds import MARKS
from gambrel.sell.rules import COUNTRIES, DOES, Switch, check_switches, claims, rule_book, shipped_rules

TODAY = date(2026, 3, 2)
WORD = Switch(
    "legend", on=False, who="inspector in charge", why="retail store, not under inspection", since=TODAY
)


def test_every_rule_says_what_where_and_how_sure() -> None:
    assert len(shipped_rules()) >= 25
    for rule in shipped_rules().values():
        assert rule.country in ("any", *COUNTRIES)
        assert rule.does in DOES
        assert rule.mark in MARKS
        assert rule.says.endswith(".") and rule.citation
        assert (rule.mark == "read") == bool(rule.edition) or rule.slug == "custom-no-safe-handling", (
            rule.slug
        )


def test_a_breach_names_the_rule_and_its_source() -> None:
    finding = shipped_rules()["name"].breach("nothing", "a name", "Name it.")
    assert "9 CFR 317.2(c)(1), 2004 edition" in finding.sentence()
    assert "keep refrigerated" in shipped_rules()["keep-cold"].breach("", "", "").where
    assert "memory" in shipped_rules()["keep-cold"].breach("", "", "").where


def test_rules_belong_to_a_country() -> None:
    us, eu = rule_book("us", today=TODAY), rule_book("eu", today=TODAY)
    assert us.get("legend") and not eu.get("legend")
    assert eu.get("eu-origin") and not us.get("eu-origin")
    assert us.get("bison-is-not-beef") and eu.get("bison-is-not-beef")
    with pytest.raises(ValueError, match="us, ca, eu"):
        rule_book("xx", today=TODAY)


# 89 FR 19470: to be met from 1 January 2026. 9 CFR 317.301: since 1 January 2012.
@pytest.mark.parametrize(
    ("slug", "day", "holds"),
    [("origin", date(2025, 12, 31), False), ("origin", date(2026, 1, 1), True),
     ("nutrition", date(2011, 12, 31), False), ("nutrition", date(2012, 1, 1), True)],
)  # fmt: skip
def test_a_rule_holds_from_its_day(slug: str, day: date, holds: bool) -> None:
    assert bool(rule_book("us", today=day).get(slug)) is holds


def test_an_inspectors_word_switches_a_rule_off_and_is_kept() -> None:
    book = rule_book("us", today=TODAY, switches=[WORD])
    assert book.get("legend") is None
    assert book.switched_off == {"legend": WORD}
    assert rule_book("us", today=date(2026, 3, 1), switches=[WORD]).get("legend")


def test_the_newest_word_counts_whatever_the_order() -> None:
    back = Switch(
        "legend", on=True, who="owner", why="packed under inspection from now on", since=date(2026, 3, 9)
    )
    for words in ([WORD, back], [back, WORD]):
        assert rule_book("us", today=date(2026, 3, 10), switches=words).get("legend")
        assert not rule_book("us", today=date(2026, 3, 8), switches=words).get("legend")


def test_a_rule_of_another_country_may_be_taken_on() -> None:
    word = Switch("eu-origin", on=True, who="owner", why="sells across the border", since=TODAY)
    assert rule_book("us", today=TODAY, switches=[word]).get("eu-origin")


def test_nobody_switches_a_rule_without_name_and_reason() -> None:
    bad = Switch("legent", on=False, who=" ", why="", since=TODAY)
    assert [finding.wanted for finding in check_switches([bad])] == ["one of the rules", "who said so", "why"]
    assert check_switches([WORD]) == []
    with pytest.raises(ValueError, match="who said so"):
        rule_book("us", today=TODAY, switches=[bad])


def test_asking_for_a_rule_that_is_none_is_a_mistake_of_ours() -> None:
    with pytest.raises(KeyError):
        rule_book("us", today=TODAY).get("legent")


@pytest.mark.parametrize(
    ("text", "slug"),
    [("Grass-Finished Ribeye", "grass-fed"), ("ribeye, GRASS  FED", "grass-fed"), ("Wagyu strip", "breed"),
     ("all natural stew", "natural"), ("organic bones", "organic"), ("No-antibiotics chuck", "raised-without")],
)  # fmt: skip
def test_words_that_claim_are_seen(text: str, slug: str) -> None:
    assert slug in [claim.slug for claim in claims() if claim.is_in(text)]


@pytest.mark.parametrize("text", ["ribeye steak", "organics", "naturally", "grass", "allocal"])
def test_other_words_do_not(text: str) -> None:
    assert [claim.slug for claim in claims() if claim.is_in(text)] == []
