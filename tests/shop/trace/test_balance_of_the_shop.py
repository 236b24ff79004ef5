"""The balance of the whole shop closes after 200 things done at random through its own services.

Beside the records every weight stands once more in a book of plain grams, moved by hand as the work is done. What the
records make of each lot is compared with that book, line by line and to the gram; so are the packs on hand, the tubs,
and the money.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from random import Random
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from gambrel.measures import CannotDo
from gambrel.sell.lot_balance import balances, shop_balance
from gambrel.shop.clock import now, today
from gambrel.shop.records.lot_lines import lines_of_lots, lines_of_open_batches
from gambrel.shop.records.models import (
    Batch,
    BatchInput,
    Cutting,
    Lot,
    OnHand,
    Pack,
    PackEvent,
    ScaleWeight,
    ShopProfile,
    Side,
)  # fmt: skip
from gambrel.shop.records.services import block, counter, grind, rail, stock
from gambrel.shop.records.services import packs as packing
from gambrel.shop.records.services import trace as holding
from gambrel.shop.records.services.animals import NewAnimal, bring_in
from gambrel.shop.records.tubs import tub_of, tubs_on_hand

CUTS, TRIM = ("ribeye-steak", "chuck-eye-roast", "flank-steak"), ("trim-80", "trim-90")
FINAL = {"marrow-bones": "bone", "soup-bones": "bone", "suet": "fat"}
"""Bone and fat are told as such whether anybody packs them or not; everything else waits."""
PIECES = (*CUTS, *TRIM, *FINAL)
STEPS, RUNS = 200, 4
LOOK_EVERY = 10
"""Steps between two looks at everything; there is one more at the end."""
chance = st.integers(0, 2**32 - 1).map(Random)
"""A seed and not single draws: with those most sequences would be made of one sort of work."""


def kg(grams: int) -> Decimal:
    return Decimal(grams) / 1000


@dataclass
class Line:
    """A weight of the block as it stands now, what batches took of it, and what of it was thrown away."""

    pk: int
    lot: str
    slug: str
    grams: int
    ground: int = 0
    thrown: int | None = None
    stands: bool = True


@dataclass
class Book:
    """A lot by hand. `packed` is by the piece that was weighed, whatever it is sold as."""

    hung: int = 0
    begun: int = 0
    into: Counter[str] = field(default_factory=Counter)
    out: int | None = None
    carried: int = 0
    packed: Counter[str] = field(default_factory=Counter)


class Shop(RuleBasedStateMachine):
    """Everything that can be done with meat between the hot scale and the customer's door, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        self.shop = ShopProfile.objects.get()
        self.sides: list[Side] = []
        self.cuttings: dict[str, Cutting] = {}
        self.lines: dict[int, Line] = {}
        self.lots: dict[str, Book] = {}
        self.batches: dict[str, Batch] = {}
        self.inputs: dict[int, tuple[str, str, int]] = {}
        self.shelf: dict[int, str] = {}
        self.away: dict[int, str] = {}
        self.taken_cents = 0
        self.held: set[str] = set()
        self.steps = 0

    @invariant()
    def now_and_then_everything_is_looked_at(self) -> None:
        self.steps += 1
        if self.steps % LOOK_EVERY == 0:
            self.look()

    def teardown(self) -> None:
        try:
            self.look()
        finally:
            transaction.set_rollback(True)
            self.undo.__exit__(None, None, None)

    def look(self) -> None:
        self.the_records_say_what_the_book_says()
        self.the_whole_shop_closes()
        self.packs_lie_where_they_were_laid_and_the_till_agrees()
        self.tubs_hold_what_was_not_taken_of_them()

    @initialize(random=chance)
    def first(self, random: Random) -> None:
        self.clean(random)
        self.hang(random)
        self.begin(random)

    @rule(random=chance)
    def work(self, random: Random) -> None:
        random.choice(WORK)(self, random)

    # The side

    def hang(self, random: Random) -> None:
        new = NewAnimal(f"H{uuid4().hex[:8]}", "grain-finished", "steer", today() - timedelta(days=14), age_months=20,
                        plant="M-0000")  # fmt: skip
        self.sides += bring_in(
            new, hot_kg={"left": kg(random.randint(120_000, 190_000))}, at=now(), paid=None, by=None
        )

    def weigh_on_the_rail(self, random: Random) -> None:
        """A weight on the rail moves no meat."""
        if not self.sides:
            return
        side = random.choice(self.sides)
        rail.weigh(side, weight_kg=side.hot_kg * Decimal("0.98"), typed="", at=now(), by=None)

    def begin(self, random: Random) -> None:
        if not self.sides:
            return
        side = self.sides.pop(random.randrange(len(self.sides)))
        hung = int(side.hot_kg * 1000)
        begun = hung - random.randint(-300, 6000)
        cutting = block.begin(side, weight_kg=kg(begun), typed="", ways={}, by=None, key=uuid4())
        lot = Lot.objects.get(cutting=cutting).code
        self.cuttings[lot], self.lots[lot] = cutting, Book(hung=hung, begun=begun)

    def weigh_off_the_rail_again(self, random: Random) -> None:
        lot = random.choice(sorted(self.cuttings))
        begun = self.lots[lot].begun - random.randint(-500, 500)
        block.weigh_off_rail_again(self.cuttings[lot], weight_kg=kg(begun), typed="", why="misread", by=None,
                                   key=uuid4())  # fmt: skip
        self.lots[lot].begun = begun

    def weigh_a_piece(self, random: Random) -> None:
        """Sent twice it is one weight."""
        lot, slug, grams, key = (
            random.choice(sorted(self.cuttings)),
            random.choice(PIECES),
            random.randint(200, 9000),
            uuid4(),
        )
        for _ in range(random.choice((1, 2))):
            made = block.weigh_piece(self.cuttings[lot], slug, weight_kg=kg(grams), typed=f"{kg(grams)} kg", key=key,
                                     by=None)  # fmt: skip
        self.lines[made.pk] = Line(made.pk, lot, slug, grams)

    def _line(self, random: Random, *, trim: bool = False, whole: bool = False) -> Line | None:
        found = [one for one in self.lines.values() if one.stands and (not trim or one.slug in TRIM)
                 and not (whole and one.thrown is not None)]  # fmt: skip
        return random.choice(found) if found else None

    def put_right(self, random: Random) -> None:
        """Another weight, sometimes of another piece; what batches took of the tub, they took."""
        if (line := self._line(random)) is None:
            return
        slug = random.choice(PIECES) if random.random() < 0.3 and line.thrown is None else line.slug
        grams = max(100, line.grams + random.randint(-2000, 2000))
        wrong = ScaleWeight.objects.get(pk=line.pk)
        new = block.correct_weight(
            wrong, slug=slug, weight_kg=kg(grams), typed="", key=uuid4(), by=None, why="wrong"
        )
        thrown = None if line.thrown is None else max(0, line.thrown + grams - line.grams)
        del self.lines[line.pk]
        self.lines[new.pk] = Line(new.pk, line.lot, slug, grams, line.ground, thrown)

    def take_out_a_weight(self, random: Random) -> None:
        if (line := self._line(random)) is not None and random.random() < 0.3:
            block.take_out(ScaleWeight.objects.get(pk=line.pk), key=uuid4(), by=None, why="of another side")
            line.stands = False

    def finish(self, random: Random) -> None:
        block.finish(self.cuttings[random.choice(sorted(self.cuttings))], by=None, why="done")

    # Packs

    def pack(self, random: Random) -> None:
        """Sometimes of a piece that nobody weighed, sometimes more than was weighed: it shows, and nothing breaks."""
        code, key = random.choice(sorted(self.lots)), uuid4()
        lot, grams = Lot.objects.get(code=code), random.randint(100, 2500)
        piece = "ground-beef" if lot.batch_id else random.choice(PIECES)
        slug = random.choice((piece, "stew-beef"))
        for _ in range(random.choice((1, 2))):
            made = packing.pack(lot, slug, piece=piece, net_kg=kg(grams), key=key, at=now(), by=None,
                                price_cents_per_kg=2000.0)  # fmt: skip
        self.lots[code].packed[piece] += grams
        self.shelf[made.pk] = "case"

    def _pack(self, random: Random, where: dict[int, str]) -> Pack:
        return Pack.objects.select_related("lot").get(pk=random.choice(sorted(where)))

    def sell(self, random: Random) -> None:
        """For what it asks or for another sum; nothing of a lot that is held."""
        if not self.shelf:
            return
        made, cents = self._pack(random, self.shelf), random.choice((None, 250))
        sold: dict[str, Any] = {"key": uuid4(), "ticket": uuid4(), "by": None, "cents": cents, "why": "asked"}
        if made.lot.code in self.held:
            with pytest.raises(CannotDo, match="held"):
                counter.sell(made, self.shop, **sold)
            return
        for _ in range(2):
            line = counter.sell(made, self.shop, **sold)
        self.taken_cents += line.cents
        self.away[made.pk] = "sold"
        del self.shelf[made.pk]

    def bring_back(self, random: Random) -> None:
        if "sold" not in self.away.values():
            return
        made = self._pack(random, {pk: what for pk, what in self.away.items() if what == "sold"})
        sell_again = random.random() < 0.5
        line = counter.take_back(
            made, key=uuid4(), ticket=uuid4(), by=None, why="too much", sell_again=sell_again
        )
        self.taken_cents -= line.cents
        self.away[made.pk] = "spoiled"
        if sell_again:
            del self.away[made.pk]
            self.shelf[made.pk] = "case"

    def gone_otherwise(self, random: Random) -> None:
        """Spoiled, or the staff's meal; the same pack cannot go twice."""
        if not self.shelf:
            return
        made, what = self._pack(random, self.shelf), random.choice(("spoiled", "eaten"))
        packing.happened(made, what, key=uuid4(), at=now(), by=None, why="x")
        with pytest.raises(CannotDo):
            packing.happened(made, what, key=uuid4(), at=now(), by=None, why="x")
        del self.shelf[made.pk]
        self.away[made.pk] = what

    def move(self, random: Random) -> None:
        if not self.shelf:
            return
        made, place = self._pack(random, self.shelf), random.choice(("case", "freezer", "ageing"))
        packing.happened(made, "moved", key=uuid4(), at=now(), by=None, place=place)
        self.shelf[made.pk] = place

    def count(self, random: Random) -> None:
        """What is in the hand is there, wherever it was; what the place should have and has not is missing."""
        if not (self.shelf or self.away):
            return
        place = random.choice(("case", "freezer"))
        hand = [
            pk
            for pk in sorted({*self.shelf, *self.away})
            if random.random() < 0.8 and self.away.get(pk) in (None, "missing")
        ]
        stock.count(place, "", list(Pack.objects.filter(pk__in=hand)), key=uuid4(), at=now(), by=None)
        for pk in [pk for pk, where in self.shelf.items() if where == place and pk not in hand]:
            del self.shelf[pk]
            self.away[pk] = "missing"
        for pk in hand:
            self.away.pop(pk, None)
            self.shelf[pk] = place

    def hold_or_let_go(self, random: Random) -> None:
        code, held = random.choice(sorted(self.lots)), random.random() < 0.4
        holding.hold([Lot.objects.get(code=code)], held=held, why="asked", key=uuid4(), by=None)
        (self.held.add if held else self.held.discard)(code)

    # The grinder

    def clean(self, random: Random) -> None:
        if any(one.ended_at is None for one in self.batches.values()):
            return
        grind.clean_up(key=uuid4(), at=now(), by=None)

    def begin_a_batch(self, random: Random) -> None:
        if sum(one.ended_at is None for one in self.batches.values()) < 2:
            batch = grind.begin("ground-beef", lean_pct=75.0, inspected="federal", owner_name="", asked=[], key=uuid4(),
                                by=None)  # fmt: skip
            self.batches[batch.code] = batch

    def _open(self, random: Random) -> Batch | None:
        found = [one for _, one in sorted(self.batches.items()) if one.ended_at is None]
        return random.choice(found) if found else None

    def _weigh_in(self, batch: Batch, tub_id: str, grams: int) -> BatchInput | None:
        """None where there is not so much of it."""
        try:
            return grind.weigh_in(batch, tub_id, weight_kg=kg(grams), typed="", key=uuid4(), by=None)
        except CannotDo:
            left = tub_of(tub_id).left_kg
            assert not 0 < grams / 1000 <= left or tub_id.startswith("c"), "there was enough in the tub"
            return None

    def grind_trim(self, random: Random) -> None:
        line, batch = self._line(random, trim=True, whole=True), self._open(random)
        grams = random.randint(100, 3000)
        if (
            line is not None
            and batch is not None
            and (made := self._weigh_in(batch, f"w{line.pk}", grams)) is not None
        ):
            line.ground += grams
            self.inputs[made.pk] = (batch.code, "trim", grams)

    def grind_bought_trim(self, random: Random) -> None:
        if (batch := self._open(random)) is not None:
            box = grind.buy_trim(key=uuid4(), at=now(), by=None, slug="trim-90", species="cattle", inspected="federal",
                                 weight_kg=kg(20_000), lean_pct=90.0, establishment="M-1", supplier_lot="K7",
                                 made_on=today())  # fmt: skip
            made = self._weigh_in(batch, f"b{box.pk}", 1500)
            assert made is not None
            self.inputs[made.pk] = (batch.code, "bought", 1500)

    def carry_over(self, random: Random) -> None:
        batch, closed = (
            self._open(random),
            [code for code, one in sorted(self.batches.items()) if one.ended_at],
        )
        if batch is None or not closed:
            return
        before = random.choice(closed)
        grams = int(tub_of(f"c{self.batches[before].pk}").left_kg * 1000)
        if grams > 0 and (made := self._weigh_in(batch, f"c{self.batches[before].pk}", grams)) is not None:
            self.lots[before].carried += grams
            self.inputs[made.pk] = (batch.code, f"carried {before}", grams)

    def take_out_of_the_batch(self, random: Random) -> None:
        """What was weighed in by mistake lies in its tub again."""
        if not self.inputs:
            return
        pk = random.choice(sorted(self.inputs))
        code, source, grams = self.inputs[pk]
        if self.batches[code].ended_at is not None:
            return
        wrong = BatchInput.objects.get(pk=pk)
        tub = self._tub(wrong)
        if source == "trim" and (tub is None or not tub.stands or tub.thrown is not None):
            return
        grind.take_out(wrong, key=uuid4(), by=None, why="wrong tub")
        if tub is not None:
            tub.ground -= grams
        if source.startswith("carried"):
            self.lots[source.removeprefix("carried ")].carried -= grams
        del self.inputs[pk]

    def _tub(self, line: BatchInput) -> Line | None:
        """The line that stands for the tub that this was taken of, after everything that was put right."""
        weight = line.weight
        while weight is not None and weight.pk not in self.lines:
            weight = ScaleWeight.objects.get(corrects=weight)
        return None if weight is None else self.lines[weight.pk]

    def close(self, random: Random) -> None:
        batch = self._open(random)
        ins = [one for one in self.inputs.values() if batch is not None and one[0] == batch.code]
        in_g = sum(grams for _, _, grams in ins)
        if batch is None or not in_g:
            return
        out = in_g - random.randint(0, in_g // 25)
        self.batches[batch.code] = grind.close(batch, out_kg=kg(out), by=None)
        book = self.lots[batch.code] = Book(out=out)
        for _, source, grams in ins:
            book.into["carried-in" if source.startswith("carried") else source] += grams

    def tub_became(self, random: Random) -> None:
        line, what = self._line(random, trim=True, whole=True), random.choice(("frozen", "thawed", "thrown"))
        if line is None or (what == "thrown" and random.random() < 0.5):
            return
        tub = tub_of(f"w{line.pk}")
        if (what == "frozen") == tub.is_frozen and what != "thrown":
            return
        key = uuid4()
        for _ in range(2):
            grind.tub_became(tub, what, key=key, by=None, why="floor")
        if what == "thrown":
            line.thrown = round(max(0.0, tub.left_kg) * 1000)

    # What must hold

    def expected(self, code: str) -> dict[str, int]:
        """The lot as the book has it, in grams."""
        book = self.lots[code]
        if book.out is not None:
            in_g = sum(book.into.values())
            return {**book.into, "pack": book.packed.total(), "carried-out": book.carried,
                    "waiting": max(0, book.out - book.packed.total()),
                    "loss": max(0, in_g - book.out - book.carried)}  # fmt: skip
        mine = [line for line in self.lines.values() if line.lot == code]
        out = Counter({"hung": book.hung, "loss": max(0, book.hung - book.begun), "pack": book.packed.total(),
                       "batch": sum(line.ground for line in mine)})  # fmt: skip
        for slug in {line.slug for line in mine if line.stands}:
            same = [line for line in mine if line.slug == slug]
            weighed = sum(line.grams for line in same if line.stands)
            thrown = sum(min(line.thrown, max(0, line.grams - line.ground)) for line in same
                         if line.stands and line.thrown is not None)  # fmt: skip
            out["thrown"] += thrown
            ground = sum(line.ground for line in same)
            out[FINAL.get(slug, "waiting")] += max(0, weighed - ground - book.packed[slug] - thrown)
        return dict(out)

    def the_records_say_what_the_book_says(self) -> None:
        rows = Lot.objects.filter(code__in=self.lots).select_related("cutting__side", "batch")
        told = balances(lines_of_lots(list(rows)))
        assert set(told) == set(self.lots)
        for code, balance in told.items():
            said = {
                what: int(grams * 1000)
                for what, grams in (*balance.into.items(), *balance.out.items())
                if grams
            }
            assert said == {what: grams for what, grams in self.expected(code).items() if grams}, code
            out = sum(grams for what, grams in self.expected(code).items()
                      if what not in ("hung", "bought", "trim", "carried-in"))  # fmt: skip
            assert int(balance.missing_kg * 1000) == int(balance.in_kg * 1000) - out

    def the_whole_shop_closes(self) -> None:
        """hung + bought = packs + bone + fat + thrown + loss + waiting + missing, of all lots together."""
        rows = Lot.objects.filter(code__in=self.lots).select_related("cutting__side", "batch")
        mine = [line for line in lines_of_open_batches() if line.lot in self.batches]
        whole = shop_balance(balances([*lines_of_lots(list(rows)), *mine]))
        assert whole.closes
        hung = sum(book.hung for book in self.lots.values())
        bought = sum(grams for _, source, grams in self.inputs.values() if source == "bought")
        assert int(whole.came_kg * 1000) == hung + bought
        assert int(whole.out["pack"] * 1000) == sum(book.packed.total() for book in self.lots.values())

    def packs_lie_where_they_were_laid_and_the_till_agrees(self) -> None:
        mine = {*self.shelf, *self.away}
        assert dict(OnHand.objects.filter(pack__in=mine).values_list("pack_id", "place")) == self.shelf
        money = {"sold": 1, "returned": -1}
        lines = PackEvent.objects.filter(pack__in=mine, what__in=money).values_list("what", "cents")
        assert sum(money[what] * cents for what, cents in lines) == self.taken_cents

    def tubs_hold_what_was_not_taken_of_them(self) -> None:
        """By lot and piece, because a pack does not say its tub. Where more was taken than weighed none has any."""
        told: Counter[tuple[str, str]] = Counter()
        for tub in tubs_on_hand(today()):
            if tub.lot in self.lots and tub.weight is not None:
                told[tub.lot, tub.slug] += round(tub.left_kg * 1000)
        for (lot, slug), grams in told.items():
            same = [one for one in self.lines.values() if (one.lot, one.slug) == (lot, slug)]
            if any(one.thrown is not None for one in same) or not all(one.stands for one in same):
                continue
            left = sum(one.grams - one.ground for one in same) - self.lots[lot].packed[slug]
            short = sum(max(0, one.ground - one.grams) for one in same)
            dust = 20 * len(same)
            assert max(0, left) - dust <= grams <= max(0, left + short) + dust, (lot, slug)


WORK = (
    *6 * (Shop.weigh_a_piece,), *6 * (Shop.pack,), *3 * (Shop.sell,), *3 * (Shop.grind_trim,), *2 * (Shop.put_right,),
    *2 * (Shop.begin_a_batch,), *2 * (Shop.close,), Shop.hang, Shop.weigh_on_the_rail, Shop.begin, Shop.finish,
    Shop.weigh_off_the_rail_again, Shop.take_out_a_weight, Shop.bring_back, Shop.gone_otherwise, Shop.move, Shop.count,
    Shop.hold_or_let_go, Shop.clean, Shop.grind_bought_trim, Shop.carry_over, Shop.take_out_of_the_batch,
    Shop.tub_became,
)  # fmt: skip
"""As often as it comes in a shop: a side gives many weights and packs, and is hung once."""


@pytest.mark.django_db
def test_after_any_200_things_done_the_shop_closes_to_the_gram(demo_shop: object) -> None:
    run_state_machine_as_test(Shop, settings=settings(max_examples=RUNS, stateful_step_count=STEPS, deadline=None,
                                                      suppress_health_check=list(HealthCheck)))  # fmt: skip
