"""Trace and recall against another way of finding the same: powers of the table of who went into whom."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from gambrel.sell.trace import Made, Node, Together, back, forward, graph, recall

KINDS = ("animal", "side", "lot", "batch", "pack", "buyer")
Table = NDArray[np.bool_]


def random_season(seed: int) -> tuple[list[Node], list[Made], list[Together]]:
    """A season of a small shop: each thing made of one to three of the kind before it, batches also of batches."""
    chance = np.random.default_rng(seed)
    counts = {"animal": 6, "side": 12, "lot": 14, "batch": 8, "pack": 60, "buyer": 5}
    nodes = [Node(kind, str(number)) for kind in KINDS for number in range(counts[kind])]
    made = [Made(Node("animal", str(number // 2)), Node("side", str(number))) for number in range(12)]
    made += [Made(Node("side", str(chance.integers(12))), Node("lot", str(number))) for number in range(14)]
    for batch in range(8):
        for lot in chance.choice(14, size=chance.integers(1, 4), replace=False):
            made.append(Made(Node("lot", str(lot)), Node("batch", str(batch))))
        if batch and chance.random() < 0.4:
            made.append(Made(Node("batch", str(batch - 1)), Node("batch", str(batch))))
    for pack in range(60):
        kind, count = (("lot", 14), ("batch", 8))[int(chance.integers(2))]
        made.append(Made(Node(kind, str(chance.integers(count))), Node("pack", str(pack))))
        if chance.random() < 0.5:
            made.append(Made(Node("pack", str(pack)), Node("buyer", str(chance.integers(5)))))
    ties = [
        Together(Node("batch", "2"), Node("batch", "3")),
        Together(Node("batch", "3"), Node("batch", "4")),
    ]
    return nodes, made, ties


def reach(nodes: list[Node], made: list[Made], ties: Sequence[Together] = ()) -> Table:
    """reach[a, b]: b can be reached from a in any number of steps, none among them; by squaring until it stands."""
    place = {node: at for at, node in enumerate(nodes)}
    table = np.eye(len(nodes), dtype=bool)
    for arrow in made:
        table[place[arrow.of], place[arrow.into]] = True
    for tie in ties:
        table[place[tie.one], place[tie.other]] = table[place[tie.other], place[tie.one]] = True
    while True:
        further = (table.astype(int) @ table.astype(int)) > 0
        if (further == table).all():
            return table
        table = further


def where(nodes: list[Node], row: Table) -> set[Node]:
    return {node for node, reached in zip(nodes, row, strict=True) if reached}


@pytest.mark.parametrize("seed", range(12))
def test_back_and_forward(seed: int) -> None:
    nodes, made, ties = random_season(seed)
    through, up, down = graph(made, ties), reach(nodes, made), reach(nodes, made, ties)
    for at, node in enumerate(nodes):
        assert back(through, node) == where(nodes, up[:, at]) - {node}
        assert forward(through, [node]) == where(nodes, down[at]) - {node}


@pytest.mark.parametrize("seed", range(12))
def test_forward_of_several_is_all_of_theirs(seed: int) -> None:
    nodes, made, ties = random_season(seed)
    through = graph(made, ties)
    starts = {node for node in nodes if node.kind == "lot"}
    together = set().union(*(forward(through, [one]) for one in starts)) - starts
    assert forward(through, starts) == together


@pytest.mark.parametrize("seed", range(12))
def test_recall_by_animal(seed: int) -> None:
    """Every pack that the animals of the start can reach, sold ones under their buyer, and nothing else."""
    nodes, made, ties = random_season(seed)
    through, up, down = graph(made, ties), reach(nodes, made), reach(nodes, made, ties)
    place = {node: at for at, node in enumerate(nodes)}
    for start in (node for node in nodes if node.kind == "pack"):
        animals = {node for node in where(nodes, up[:, place[start]]) if node.kind == "animal"}
        reached = set().union(*(where(nodes, down[place[animal]]) for animal in animals))
        found = recall(through, [start], from_kinds={"animal"})
        assert set(found.sources) == animals
        assert set(found.packs) == {node for node in reached if node.kind == "pack"}
        assert start in found.packs
        for buyer, packs in found.sold.items():
            assert set(packs) == {arrow.of for arrow in made if arrow.into == buyer and arrow.of in reached}
        bought = {pack for packs in found.sold.values() for pack in packs}
        assert set(found.here) == set(found.packs) - bought


@pytest.mark.parametrize("seed", range(6))
def test_what_is_gone_without_a_buyer_is_told_apart(seed: int) -> None:
    nodes, made, ties = random_season(seed)
    through = graph(made, ties)
    bought = {arrow.of for arrow in made if arrow.into.kind == "buyer"}
    gone = {node for node in nodes if node.kind == "pack" and int(node.number) % 3 == 0}
    found = recall(
        through, [node for node in nodes if node.kind == "animal"], from_kinds={"animal"}, gone=gone
    )
    assert set(found.unknown) == gone - bought
    assert not set(found.here) & (gone | bought)
    assert found.named_share == pytest.approx(len(bought) / len(bought | gone))
    assert set(found.packs) == {node for node in nodes if node.kind == "pack"}


def test_lots_tied_by_clean_up_go_together_and_are_not_said_to_be_in_each_other() -> None:
    nodes, made, ties = random_season(1)
    through = graph(made, ties)
    assert Node("batch", "4") in forward(through, [Node("batch", "2")])
    without = graph([arrow for arrow in made if arrow.into.kind != "batch" or arrow.of.kind != "batch"], ties)
    assert Node("batch", "2") not in back(without, Node("batch", "4"))
    assert len(nodes) == len(set(nodes))
