"""Rules of labels as data, and which of them hold in this shop today.

Rules belong to a country. A rule is switched off, or back on, only by somebody's word, and who, why and when are
kept with it: the inspector's word comes before a table.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from importlib import resources
from typing import Any

from gambrel.measures import Finding

COUNTRIES = ("us", "ca", "eu")
DOES = ("block", "warn", "print")
"""What a rule does: refuses the label, has a person look, or puts words on it."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: what it says, where it stands, how sure that is, and since when it holds."""

    slug: str
    country: str
    does: str
    says: str
    citation: str
    edition: str
    mark: str
    in_force_from: date | None = None

    @property
    def cited(self) -> str:
        """ "9 CFR 317.2(c)(1), 2004 edition", or that it is from memory."""
        return f"{self.citation}, {self.edition} edition" if self.edition else f"{self.citation}, {self.mark}"

    def breach(self, given: str, wanted: str, do: str) -> Finding:
        """A finding that names the rule."""
        return Finding(f"label rule: {self.says} [{self.cited}]", given, wanted, do)


@dataclass(frozen=True, slots=True)
class Switch:
    """Somebody's word that a rule holds or does not, from a day on."""

    slug: str
    on: bool
    who: str
    why: str
    since: date


@dataclass(frozen=True, slots=True)
class Claim:
    """Words that claim something."""

    slug: str
    words: tuple[str, ...]

    def is_in(self, text: str) -> bool:
        """Whether the text says so; hyphens and spaces are one."""
        plain = re.sub(r"[\s-]+", " ", text.lower())
        return any(re.search(rf"\b{re.escape(word)}\b", plain) for word in self.words)


@dataclass(frozen=True, slots=True)
class RuleBook:
    """The rules that hold, and those that somebody switched off."""

    country: str
    rules: Mapping[str, Rule]
    switched_off: Mapping[str, Switch] = field(default_factory=dict)

    def get(self, slug: str) -> Rule | None:
        """The rule when it holds. Raises KeyError for a rule that there is not."""
        if slug not in shipped_rules():
            raise KeyError(slug)
        return self.rules.get(slug)


@cache
def shipped_rules() -> dict[str, Rule]:
    """Every rule of `data/rules.toml` by slug."""
    return {row["slug"]: Rule(**row) for row in _file()["rule"]}


@cache
def claims() -> tuple[Claim, ...]:
    """The words that claim something."""
    return tuple(Claim(row["slug"], tuple(row["words"])) for row in _file()["claim"])


def check_switches(switches: Iterable[Switch]) -> list[Finding]:
    """What is wrong with the words that were given: no such rule, nobody named, no reason."""
    found = []
    for switch in switches:
        if switch.slug not in shipped_rules():
            found.append(Finding("rule", switch.slug, "one of the rules", "Choose it from the list."))
        if not switch.who.strip():
            found.append(
                Finding(f"rule {switch.slug}", "nobody", "who said so", "Name the inspector or owner.")
            )
        if not switch.why.strip():
            found.append(Finding(f"rule {switch.slug}", "no reason", "why", "Write down what was said."))
    return found


def rule_book(country: str, *, today: date, switches: Iterable[Switch] = ()) -> RuleBook:
    """The rules of a country that are in force today; of several words on one rule the newest counts.

    Raises ValueError for a country without rules and for switches that `check_switches` finds fault with.
    """
    if country not in COUNTRIES:
        raise ValueError(f"rules are here for {', '.join(COUNTRIES)}, not {country}")
    switches = sorted(switches, key=lambda switch: switch.since)
    if found := check_switches(switches):
        raise ValueError("; ".join(finding.sentence() for finding in found))
    said = {switch.slug: switch for switch in switches if switch.since <= today}
    rules, off = {}, {}
    for slug, rule in shipped_rules().items():
        here = rule.country in ("any", country)
        begun = rule.in_force_from is None or rule.in_force_from <= today
        word = said.get(slug)
        if word.on if word else here and begun:
            rules[slug] = rule
        elif word and here and begun:
            off[slug] = word
    return RuleBook(country, rules, off)


@cache
def _file() -> dict[str, Any]:
    return tomllib.loads(resources.files("gambrel.sell").joinpath("data/rules.toml").read_text("utf-8"))
