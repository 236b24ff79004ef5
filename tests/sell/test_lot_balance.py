"""The balance of every lot closes after any sequence of work in the shop; grams are counted a second way beside it."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from gambrel.sell.lot_balance import GOES_IN, LotLine, balances, shop_balance
from gambrel.sell.trace import Made, Node, back, graph

KG = Decimal(1000)
FINAL = ("pack", "bone", "fat", "thrown", "loss", "waiting")


def line(lot: str, what: str, kg: str) -> LotLine:
    return LotLine(lot, what, Decimal(kg))


DAY = [
    line("7L", "hung", "160.0"), line("7L", "pack", "60.5"), line("7L", "pack", "41.25"), line("7L", "batch", "20.0"),
    line("7L", "bone", "24.0"), line("7L", "fat", "9.5"), line("7L", "loss", "1.75"), line("G1", "trim", "20.0"),
    line("G1", "bought", "5.0"), line("G1", "pack", "23.5"), line("G1", "loss", "0.5"),
]  # fmt: skip


def test_a_day_by_hand() -> None:
    """160 less 60.5, 41.25, 20, 24, 9.5 and 1.75 leaves 3; 25 less 24 leaves 1."""
    side, mince = balances(DAY)["7L"], balances(DAY)["G1"]
    assert (side.in_kg, side.out_kg, side.missing_kg) == (160, 157, 3)
    assert (mince.in_kg, mince.out_kg, mince.missing_kg) == (25, 24, 1)
    assert side.out["pack"] == Decimal("101.75")
    whole = shop_balance(balances(DAY))
    assert whole.came_kg == 165 and whole.missing_kg == 4 and whole.closes


def test_what_waits_and_what_was_thrown_away_is_not_missing() -> None:
    """Of the 3 kg that were left over, 1.5 wait to be packed and 0.25 fell on the floor."""
    more = [*DAY, line("7L", "waiting", "1.5"), line("7L", "thrown", "0.25")]
    assert balances(more)["7L"].missing_kg == Decimal("1.25")
    assert shop_balance(balances(more)).missing_kg == Decimal("2.25")


def test_more_out_than_in_is_told_as_less_than_nothing() -> None:
    assert balances([*DAY, line("7L", "pack", "10")])["7L"].missing_kg == -7


def test_trim_given_and_not_taken_is_missing_from_the_shop() -> None:
    lost = [one for one in DAY if one.what != "trim"] + [line("G1", "trim", "19.0")]
    assert shop_balance(balances(lost)).missing_kg == 4
    assert balances(lost)["G1"].missing_kg == 0


def test_a_line_that_no_lot_has_is_a_mistake_of_ours() -> None:
    with pytest.raises(ValueError, match="gold, which no lot has"):
        balances([*DAY, line("7L", "gold", "1")])


class Shop(RuleBasedStateMachine):
    """A shop that hangs, cuts, packs, grinds, carries over, mistypes, corrects and mislays.

    Beside the lines every gram has a place, moved by hand; what each lot really holds is counted from those.
    """

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[LotLine] = []
        self.mislaid_g: Counter[str] = Counter()
        self.put_right_g: Counter[str] = Counter()
        self.told_g: Counter[tuple[str, str]] = Counter()
        self.left_g: Counter[str] = Counter()
        self.inside: dict[Node, set[str]] = {}
        self.made: list[Made] = []

    def write(self, lot: str, what: str, grams: int) -> None:
        self.lines.append(LotLine(lot, what, Decimal(grams) / KG))
        self.told_g[lot, what] += grams

    @initialize(grams=st.integers(50_000, 250_000))
    def first_side(self, grams: int) -> None:
        self.hang(grams)

    @rule(grams=st.integers(50_000, 250_000))
    def hang(self, grams: int) -> None:
        lot = f"S{len(self.left_g) + 1}"
        self.inside[Node("lot", lot)] = {lot}
        self.made.append(Made(Node("side", lot), Node("lot", lot)))
        self.left_g[lot] = grams
        self.write(lot, "hung", grams)

    @rule(chosen=st.randoms(use_true_random=False), grams=st.integers(200, 9_000))
    def pack(self, chosen, grams: int) -> None:
        lot = chosen.choice(sorted(self.left_g))
        grams = min(grams, self.left_g[lot])
        if grams:
            self.left_g[lot] -= grams
            self.write(lot, "pack", grams)
            pack = Node("pack", str(len(self.lines)))
            self.made.append(Made(Node("lot", lot), pack))
            self.inside[pack] = set(self.inside[Node("lot", lot)])

    @rule(chosen=st.randoms(use_true_random=False), what=st.sampled_from(["bone", "fat", "thrown", "loss", "waiting"]),
          grams=st.integers(100, 20_000))  # fmt: skip
    def take_off(self, chosen, what: str, grams: int) -> None:
        lot = chosen.choice(sorted(self.left_g))
        grams = min(grams, self.left_g[lot])
        if grams:
            self.left_g[lot] -= grams
            self.write(lot, what, grams)

    @rule(
        chosen=st.randoms(use_true_random=False),
        grams=st.integers(1_000, 12_000),
        bought=st.integers(0, 2_000),
    )
    def grind(self, chosen, grams: int, bought: int) -> None:
        batch = f"G{len(self.left_g) + 1}"
        givers = chosen.sample(sorted(self.left_g), k=min(len(self.left_g), chosen.randint(1, 3)))
        taken = {lot: min(grams, self.left_g[lot]) for lot in givers if self.left_g[lot]}
        if not taken:
            return
        self.inside[Node("lot", batch)] = set()
        for lot, weight in taken.items():
            self.left_g[lot] -= weight
            over = lot.startswith("G")
            self.write(lot, "carried-out" if over else "batch", weight)
            self.write(batch, "carried-in" if over else "trim", weight)
            self.made.append(Made(Node("lot", lot), Node("lot", batch)))
            self.inside[Node("lot", batch)] |= self.inside[Node("lot", lot)]
        self.left_g[batch] = sum(taken.values()) + bought
        if bought:
            self.write(batch, "bought", bought)

    @rule(chosen=st.randoms(use_true_random=False), grams=st.integers(1, 3_000))
    def mislay(self, chosen, grams: int) -> None:
        """Meat leaves the block and nobody writes it down: it stays missing."""
        lot = chosen.choice(sorted(self.left_g))
        grams = min(grams, self.left_g[lot])
        self.left_g[lot] -= grams
        self.mislaid_g[lot] += grams

    @precondition(lambda self: self.lines)
    @rule(chosen=st.randoms(use_true_random=False), grams=st.integers(0, 30_000))
    def correct(self, chosen, grams: int) -> None:
        """A weight is put right: the meat stays where it is, and what is missing moves by the difference."""
        place = chosen.randrange(len(self.lines))
        before = self.lines[place]
        more = grams - int(before.kg * KG)
        self.put_right_g[before.lot] += more if before.what in GOES_IN else -more
        self.told_g[before.lot, before.what] += more
        self.lines[place] = LotLine(before.lot, before.what, Decimal(grams) / KG)

    @invariant()
    def every_lot_closes(self) -> None:
        for lot, balance in balances(self.lines).items():
            assert balance.in_kg == balance.out_kg + balance.missing_kg
            missing_g = self.left_g[lot] + self.mislaid_g[lot] + self.put_right_g[lot]
            assert balance.missing_kg * KG == missing_g
            for what, kg in (*balance.into.items(), *balance.out.items()):
                assert kg * KG == self.told_g[lot, what]

    @invariant()
    def the_whole_shop_closes(self) -> None:
        whole = shop_balance(balances(self.lines))
        assert whole.closes
        came = sum(self.told_g[key] for key in self.told_g if key[1] in ("hung", "bought"))
        gone = sum(grams for (_, what), grams in self.told_g.items() if what in FINAL)
        assert (int(whole.came_kg * KG), int(whole.missing_kg * KG)) == (came, came - gone)

    def teardown(self) -> None:
        """At the end every pack goes back to the sides that are in it, and to no other."""
        through = graph(self.made)
        for node, sides in self.inside.items():
            assert {one.number for one in back(through, node) if one.kind == "side"} == sides


Shop.TestCase.settings = settings(max_examples=6, stateful_step_count=200, deadline=None)
TestShop = Shop.TestCase
