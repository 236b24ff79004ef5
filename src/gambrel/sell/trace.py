"""Where a pack came from and where everything else of the same meat went: a graph of what was made of what.

Nodes are animals, sides, lots, batches, packs and buyers, or any other kind that a shop keeps; an arrow leads from
what went in to what came out. Batches ground between the same two clean-ups are one lot for a recall, whatever
went into each [9 CFR 320.1(b)(4)(iii)], so they are tied to each other without a direction.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import dataclass, field
from typing import NamedTuple

BUYER = "buyer"
PACK = "pack"


class Node(NamedTuple):
    """One thing: its kind and its number, such as ("pack", "1042")."""

    kind: str
    number: str


@dataclass(frozen=True, slots=True)
class Made:
    """`into` was made with some of `of`, or passed to it; `kg` where it was weighed."""

    of: Node
    into: Node
    kg: float | None = None


@dataclass(frozen=True, slots=True)
class Together:
    """Two things that cannot be told apart in a recall, such as batches between the same two clean-ups."""

    one: Node
    other: Node


@dataclass(frozen=True, slots=True)
class Graph:
    """What was made of what, to be walked both ways."""

    into: Mapping[Node, Set[Node]] = field(default_factory=dict)
    of: Mapping[Node, Set[Node]] = field(default_factory=dict)
    together: Mapping[Node, Set[Node]] = field(default_factory=dict)

    def nodes(self) -> set[Node]:
        return set(self.into) | set(self.of) | set(self.together)


def graph(made: Iterable[Made], together: Iterable[Together] = ()) -> Graph:
    """The graph of these arrows and ties. Raises ValueError when something would be made of itself."""
    into: dict[Node, set[Node]] = defaultdict(set)
    of: dict[Node, set[Node]] = defaultdict(set)
    ties: dict[Node, set[Node]] = defaultdict(set)
    for arrow in made:
        if arrow.of == arrow.into:
            raise ValueError(f"{arrow.of} is made of itself")
        into[arrow.of].add(arrow.into)
        of[arrow.into].add(arrow.of)
    for tie in together:
        ties[tie.one].add(tie.other)
        ties[tie.other].add(tie.one)
    return Graph(dict(into), dict(of), dict(ties))


def back(through: Graph, start: Node) -> set[Node]:
    """Everything that is in `start`, itself left out. Ties are not walked: they say nothing of what is in it."""
    return _walk({start}, lambda node: through.of.get(node, set())) - {start}


def forward(through: Graph, starts: Iterable[Node]) -> set[Node]:
    """Everything that any of `starts` went into, and what is tied to it on the way; `starts` left out."""
    begun = set(starts)

    def on(node: Node) -> Set[Node]:
        return through.into.get(node, set()) | through.together.get(node, set())

    return _walk(begun, on) - begun


@dataclass(frozen=True, slots=True)
class Recall:
    """What a recall reaches. `sources` is what was taken as bad; `sold` by buyer, `unknown` sold to nobody named."""

    sources: tuple[Node, ...]
    behind: tuple[Node, ...]
    between: tuple[Node, ...]
    here: tuple[Node, ...]
    sold: Mapping[Node, tuple[Node, ...]]
    unknown: tuple[Node, ...]

    @property
    def packs(self) -> tuple[Node, ...]:
        """Every pack that it reaches, sold or not, each once."""
        gone = {pack for packs in self.sold.values() for pack in packs}
        return tuple(sorted({*self.here, *gone, *self.unknown}))

    @property
    def named_share(self) -> float:
        """Of the packs that are gone, those whose buyer is known."""
        gone = {pack for packs in self.sold.values() for pack in packs}
        all_gone = len(gone) + len(self.unknown)
        return len(gone) / all_gone if all_gone else 1.0


def recall(
    through: Graph, starts: Iterable[Node], *, from_kinds: Set[str], gone: Set[Node] = frozenset()
) -> Recall:
    """What must come back when `starts` are bad.

    From each start back to the nearest things of `from_kinds` (a pack to its lot, or on to the animals), and from
    those forward to every pack. A start that has none of them behind it is itself the source. `gone` are the
    packs that are sold, given away or used up.
    """
    begun = set(starts)
    sources = {source for start in begun for source in _nearest(through, start, from_kinds)}
    reached = forward(through, sources) | sources
    packs = {node for node in reached if node.kind == PACK}
    buyers = {node for node in reached if node.kind == BUYER}
    sold = {buyer: tuple(sorted(through.of.get(buyer, set()) & packs)) for buyer in sorted(buyers)}
    to_buyer = {pack for these in sold.values() for pack in these}
    behind = {node for source in sources for node in back(through, source)}
    return Recall(
        sources=tuple(sorted(sources)),
        behind=tuple(sorted(behind)),
        between=tuple(sorted(reached - packs - buyers - sources)),
        here=tuple(sorted(packs - to_buyer - gone)),
        sold=sold,
        unknown=tuple(sorted((packs & gone) - to_buyer)),
    )


def _nearest(through: Graph, start: Node, kinds: Set[str]) -> set[Node]:
    """The nearest nodes of these kinds at or behind `start` on every way back; `start` when there are none."""
    found: set[Node] = set()
    seen, waiting = {start}, [start]
    while waiting:
        node = waiting.pop()
        if node.kind in kinds:
            found.add(node)
            continue
        for other in through.of.get(node, set()) - seen:
            seen.add(other)
            waiting.append(other)
    return found or {start}


def _walk(starts: set[Node], step: Callable[[Node], Set[Node]]) -> set[Node]:
    """`starts` and everything that one step after another leads to."""
    found, waiting = set(starts), list(starts)
    while waiting:
        for other in step(waiting.pop()) - found:
            found.add(other)
            waiting.append(other)
    return found
