"""Questions put to a plan on the command line: why not, what is one more worth, what changed, how sure is it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import click

from gambrel.measures import Entry, Finding, Findings

USUAL_DRAWS = 400
FINE_GAP = 0.0005
"""Plans that are compared must be nearer to the best than what they differ by."""

_OPTIONS = (
    click.option("--why", "why", multiple=True, metavar="SIDE:PIECE=WAY",
                 help="What forcing a way costs; or SIDE=DAY. SIDE may be an animal."),
    click.option("--relax", is_flag=True, help="Plan anew with an hour, a metre, a day more: what each is worth."),
    click.option("--extra", multiple=True, metavar="KIND", help="What one side more of a kind would earn."),
    click.option("--last", type=click.Path(path_type=Path), metavar="OLD.json",
                 help="What changed since a plan printed with --json, and what going back costs."),
    click.option("--keep-last", metavar="MONEY",
                 help="With --last: keep a side as it was unless changing it earns so much ($5.00)."),
    click.option("--tried", is_flag=True, help="Try the plan on draws of what may really come off."),
    click.option("--safety", metavar="SHARE", help="Keep each promise with this probability (0.9)."),
    click.option("--draws", metavar="N", help=f"Draws for --tried and --safety ({USUAL_DRAWS})."),
)  # fmt: skip


def questions(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of all questions, for a command that takes them as `**asked`."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


@dataclass(frozen=True, slots=True)
class Forced:
    """One --why: a side and a way of a piece, or a side and a day."""

    side: str
    piece: str
    way: str
    day: date | None


@dataclass(frozen=True, slots=True)
class Questions:
    """All that is asked of one plan."""

    why: tuple[Forced, ...]
    relax: bool
    extra: tuple[str, ...]
    last: Path | None
    keep_last_cents: int | None
    tried: bool
    safety_share: float | None
    draws: int

    @property
    def asks_anything(self) -> bool:
        return self.plans_anew or self.tried or self.safety_share is not None

    @property
    def plans_anew(self) -> bool:
        """Whether plans are compared, so that the gap has to be fine."""
        return bool(self.why or self.relax or self.extra or self.last)


def read_questions(asked: Mapping[str, Any], findings: Findings) -> Questions:
    """The options as typed; every slip is a finding."""
    typed = {name: asked[name] for name in ("safety", "draws", "keep_last") if asked[name] is not None}
    entry = Entry(typed, "", findings)
    safety = entry.number("safety", low=0.5, high=0.999, what="a share such as 0.9")
    draws = entry.whole("draws", low=50, high=20_000, what="a number of draws")
    keep_last = entry.money_cents("keep_last")
    if keep_last is not None and asked["last"] is None:
        findings.add(
            "--keep-last", asked["keep_last"], "a last plan to keep to", "Give --last OLD.json with it."
        )
    why = tuple(one for text in asked["why"] if (one := _forced(text, findings)) is not None)
    return Questions(why, asked["relax"], tuple(asked["extra"]), asked["last"], keep_last, asked["tried"], safety,
                     USUAL_DRAWS if draws is None else draws)  # fmt: skip


def _forced(text: str, findings: Findings) -> Forced | None:
    """SIDE:PIECE=WAY or SIDE=DAY."""
    left, _, right = text.partition("=")
    side, _, piece = left.partition(":")
    if piece and side and right:
        return Forced(side, piece, right, None)
    try:
        if side and not piece:
            return Forced(side, "", "", date.fromisoformat(right))
    except ValueError:
        pass
    findings.extend([Finding("--why", text, "SIDE:PIECE=WAY or SIDE=DAY",
                             "Write it like C1-left:rib-primal=bone-in or C1-left=2026-03-13.")])  # fmt: skip
    return None
