"""Back and forward, and what a recall reaches, on a shop small enough to see through."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.sell.trace import Graph, Made, Node, Together, back, forward, graph, recall


def n(text: str) -> Node:
    kind, number = text.split(":")
    return Node(kind, number)


def arrows(*lines: str) -> list[Made]:
    return [Made(n(line.split(">")[0]), n(line.split(">")[1])) for line in lines]


# Two animals; both give trim to batch 1; what was left of it in the grinder goes into batch 2 with trim of the third;
# batch 3 is ground between the same clean-ups as batch 2 but shares no meat with it.
SHOP = graph(
    arrows(
        "animal:A>side:AL", "animal:A>side:AR", "animal:B>side:BL", "animal:C>side:CL", "animal:D>side:DL",
        "side:AL>lot:1", "side:BL>lot:2", "side:CL>lot:3", "side:DL>lot:4", "side:AR>lot:5",
        "lot:1>pack:11", "lot:1>pack:12", "lot:1>batch:1", "lot:2>batch:1", "lot:2>pack:21",
        "batch:1>pack:31", "batch:1>pack:32", "batch:1>batch:2", "lot:3>batch:2", "batch:2>pack:41",
        "lot:4>batch:3", "batch:3>pack:51", "lot:5>pack:61",
        "pack:11>buyer:Ana", "pack:31>buyer:Ana", "pack:32>buyer:Ben", "pack:51>buyer:Ben",
    ),
    [Together(n("batch:2"), n("batch:3"))],
)  # fmt: skip


def names(nodes: object) -> set[str]:
    return {f"{node.kind}:{node.number}" for node in nodes}  # type: ignore[attr-defined]


def test_a_pack_of_mince_goes_back_to_both_animals_and_no_other() -> None:
    assert names(back(SHOP, n("pack:31"))) == {
        "batch:1", "lot:1", "lot:2", "side:AL", "side:BL", "animal:A", "animal:B",
    }  # fmt: skip


def test_what_was_carried_over_is_in_the_next_batch() -> None:
    assert {"animal:A", "animal:B", "animal:C"} <= names(back(SHOP, n("pack:41")))
    assert "animal:D" not in names(back(SHOP, n("pack:41")))


def test_forward_reaches_every_pack_buyer_and_what_is_tied() -> None:
    assert names(forward(SHOP, [n("lot:2")])) == {
        "batch:1", "batch:2", "batch:3", "pack:21", "pack:31", "pack:32", "pack:41", "pack:51", "buyer:Ana",
        "buyer:Ben",
    }  # fmt: skip


def test_a_recall_of_a_steak_takes_its_lot() -> None:
    found = recall(SHOP, [n("pack:11")], from_kinds={"lot", "batch"}, gone=frozenset({n("pack:12")}))
    assert names(found.sources) == {"lot:1"}
    assert names(found.behind) == {"side:AL", "animal:A"}
    assert names(found.between) == {"batch:1", "batch:2", "batch:3"}
    assert {f"buyer:{buyer.number}": names(packs) for buyer, packs in found.sold.items()} == {
        "buyer:Ana": {"pack:11", "pack:31"}, "buyer:Ben": {"pack:32", "pack:51"},
    }  # fmt: skip
    assert names(found.unknown) == {"pack:12"}
    assert names(found.here) == {"pack:41"}
    assert found.named_share == 4 / 5
    assert len(found.packs) == 6


def test_a_recall_by_animal_takes_its_other_side_too() -> None:
    by_animal = recall(SHOP, [n("pack:11")], from_kinds={"animal"})
    assert names(by_animal.sources) == {"animal:A"}
    assert "pack:61" in names(by_animal.packs)
    assert "pack:61" not in names(recall(SHOP, [n("pack:11")], from_kinds={"lot"}).packs)


def test_a_start_of_unknown_origin_is_its_own_source() -> None:
    alone = recall(SHOP, [n("pack:99")], from_kinds={"lot"})
    assert names(alone.sources) == names(alone.here) == {"pack:99"}
    assert alone.named_share == 1.0


def test_several_starts_at_once() -> None:
    both = recall(SHOP, [n("pack:61"), n("pack:51")], from_kinds={"lot", "batch"})
    assert names(both.sources) == {"lot:5", "batch:3"}
    assert names(both.packs) == {"pack:61", "pack:51", "pack:41"}


def test_nothing_is_made_of_itself() -> None:
    with pytest.raises(ValueError, match="made of itself"):
        graph(arrows("lot:1>lot:1"))


def test_a_ring_of_carry_over_is_walked_once() -> None:
    ring = graph(arrows("batch:1>batch:2", "batch:2>batch:1", "batch:2>pack:1"))
    assert names(back(ring, n("pack:1"))) == {"batch:1", "batch:2"}
    assert names(forward(ring, [n("batch:1")])) == {"batch:2", "pack:1"}


layers = st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5), st.integers(0, 3)), max_size=60)


def random_graph(rows: list[tuple[int, int, int]]) -> Graph:
    kinds = ("animal", "lot", "batch", "pack", "buyer")
    return graph(Made(Node(kinds[layer], str(a)), Node(kinds[layer + 1], str(b))) for a, b, layer in rows)


@given(layers)
def test_one_is_behind_the_other_when_the_other_is_before_it(rows: list[tuple[int, int, int]]) -> None:
    through = random_graph(rows)
    for node in through.nodes():
        assert all(node in forward(through, [other]) for other in back(through, node))
        assert all(node in back(through, other) for other in forward(through, [node]))


@given(layers)
def test_a_recall_leaves_out_nothing_of_its_sources(rows: list[tuple[int, int, int]]) -> None:
    """Every pack with any of the sources in it is found, by walking back from each pack instead."""
    through = random_graph(rows)
    for start in through.nodes():
        found = recall(through, [start], from_kinds={"animal"})
        packs = {node for node in through.nodes() if node.kind == "pack"}
        touched = {pack for pack in packs if (back(through, pack) | {pack}) & set(found.sources)}
        assert set(found.packs) == touched
