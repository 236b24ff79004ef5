"""The balance of a lot on its page, and what is left of a tub: small shops reckoned by hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from packing import a_lot, a_pack

from gambrel.measures import CannotDo
from gambrel.sell.lot_balance import LotBalance, balances
from gambrel.shop.clock import now, today
from gambrel.shop.records.lot_lines import lines_of_lots, lines_of_open_batches
from gambrel.shop.records.models import Batch, Cutting, Lot, ScaleWeight, ShopProfile, Side, TubEvent
from gambrel.shop.records.selectors.trace import lot_balances
from gambrel.shop.records.services import block, grind
from gambrel.shop.records.tubs import tub_of, tubs_on_hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.fixture
def cutting(demo_shop: Any) -> Cutting:
    """A side that hung 160 kg hot and came off the rail with 150."""
    side = Side.objects.select_related("animal").get(animal__tag="C1", half="left")
    Side.objects.filter(pk=side.pk).update(hot_kg=Decimal(160))
    side.animal.killed_at_plant = "M-0000"
    side.animal.save()
    side.refresh_from_db()
    return block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())


def weigh(cutting: Cutting, slug: str, kg: str) -> ScaleWeight:
    return block.weigh_piece(cutting, slug, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None)


def batch(*tubs: tuple[ScaleWeight, str]) -> Batch:
    grind.clean_up(key=uuid4(), at=now(), by=None)
    begun = grind.begin(
        "ground-beef", lean_pct=75.0, inspected="federal", owner_name="", asked=[], key=uuid4(), by=None
    )
    for tub, kg in tubs:
        grind.weigh_in(begun, f"w{tub.pk}", weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None)
    return begun


def throw(line: ScaleWeight) -> TubEvent:
    return grind.tub_became(tub_of(f"w{line.pk}"), "thrown", key=uuid4(), by=None, why="on the floor")


def lot_of(cutting: Cutting) -> Lot:
    return Lot.objects.select_related("cutting__side", "batch").get(cutting=cutting)


def balance(cutting: Cutting) -> LotBalance:
    lot = lot_of(cutting)
    return balances(lines_of_lots([lot]))[lot.code]


def left(line: ScaleWeight) -> float:
    return round(tub_of(f"w{line.pk}").left_kg, 3)


def test_a_side_by_hand(cutting: Cutting) -> None:
    """160 hung: 10 on the rail; 30 of steak, of which 12.5 are packed; 9 of trim, of which 4 are ground; 20 of bone, of
    which 1.5 are packed as marrow bones; 6 of fat. 160 - 10 - 14 - 4 - 18.5 - 6 - 17.5 - 5 = 85 that nobody weighed."""
    weigh(cutting, "ribeye-steak", "30")
    trim = weigh(cutting, "trim-80", "9")
    weigh(cutting, "marrow-bones", "20")
    weigh(cutting, "suet", "6")
    lot = lot_of(cutting)
    a_pack("12.5", "ribeye-steak", lot=lot)
    a_pack("1.5", "marrow-bones", lot=lot)
    batch((trim, "4"))
    found = balance(cutting)
    said = {what: float(kg) for what, kg in (*found.into.items(), *found.out.items())}
    assert said == {"hung": 160, "loss": 10, "pack": 14, "batch": 4, "thrown": 0, "bone": 18.5, "fat": 6,
                    "waiting": 17.5 + 5}  # fmt: skip
    assert found.missing_kg == 85


def test_a_batch_by_hand(cutting: Cutting) -> None:
    """12 in, 11.5 out, 0.3 of the rest into the next: 0.2 lost. 8 of the 11.5 are packed."""
    trim = weigh(cutting, "trim-80", "20")
    first = batch((trim, "12"))
    grind.close(first, out_kg=Decimal("11.5"), by=None)
    second = grind.begin(
        "ground-beef", lean_pct=75.0, inspected="federal", owner_name="", asked=[], key=uuid4(), by=None
    )
    grind.weigh_in(second, f"c{first.pk}", weight_kg=Decimal("0.3"), typed="0.3 kg", key=uuid4(), by=None)
    lot = Lot.objects.select_related("cutting", "batch").get(batch=first)
    a_pack("8", "ground-beef", lot=lot)
    found = balances(lines_of_lots([lot]))[lot.code]
    assert found.into == {"trim": 12}
    assert {what: float(kg) for what, kg in found.out.items()} == {
        "pack": 8, "carried-out": 0.3, "waiting": 3.5, "loss": 0.2}  # fmt: skip
    assert found.missing_kg == 0
    still = balances(lines_of_open_batches())[second.code]
    assert (still.into, still.out["waiting"]) == ({"carried-in": Decimal("0.3")}, Decimal("0.3"))


def test_meat_of_nobody_knows_where_is_less_than_nothing_missing() -> None:
    """A lot that was never cut here: what was packed of it came from nowhere."""
    a_pack("2", lot=a_lot())
    found = balances(lines_of_lots([Lot.objects.get(code="26068-1")]))["26068-1"]
    assert (found.in_kg, found.missing_kg) == (0, -2)


def test_trim_packed_as_it_is_comes_off_the_oldest_tub(cutting: Cutting) -> None:
    """Tubs of 5 and 4 kg; 6 kg are sold as trim or as stew: the first is empty, 3 kg are left of the second."""
    first, second = weigh(cutting, "trim-80", "5"), weigh(cutting, "trim-80", "4")
    lot = lot_of(cutting)
    a_pack("3.5", "trim-80", lot=lot)
    a_pack("2.5", "stew-beef", piece="trim-80", lot=lot)
    assert (left(first), left(second)) == (0, 3)
    assert [tub.id for tub in tubs_on_hand(today()) if tub.lot == lot.code] == [f"w{second.pk}"]
    made = batch()
    with pytest.raises(CannotDo, match=r"3\.00 kg that are left"):
        grind.weigh_in(made, f"w{second.pk}", weight_kg=Decimal("3.5"), typed="3.5 kg", key=uuid4(), by=None)


def test_of_another_piece_or_lot_nothing_comes_off(cutting: Cutting) -> None:
    tub = weigh(cutting, "trim-80", "5")
    a_pack("2", "trim-90", lot=lot_of(cutting))
    a_pack("2", "trim-80", lot=a_lot("26068-7"))
    assert left(tub) == 5


def test_what_was_thrown_away_is_kept_as_a_weight(cutting: Cutting) -> None:
    """Of 5 kg 2 were packed and 1 ground, so 2 were thrown; 3 of the other 4 are packed later: 1 is left."""
    first, second = weigh(cutting, "trim-80", "5"), weigh(cutting, "trim-80", "4")
    lot = lot_of(cutting)
    a_pack("2", "trim-80", lot=lot)
    batch((first, "1"))
    assert throw(first).weight_kg == 2
    assert left(second) == 4
    a_pack("3", "trim-80", lot=lot)
    assert left(second) == 1
    found = balance(cutting)
    assert (found.out["pack"], found.out["batch"], found.out["thrown"], found.out["waiting"]) == (5, 1, 2, 1)
    assert found.missing_kg == 160 - 10 - 9


def test_a_tub_put_right_keeps_what_was_taken_of_it(cutting: Cutting) -> None:
    """5 kg, of which 2 are ground, were really 4.4: 2.4 are left. Put right once more to 4.2 of another lean: 2.2."""
    tub = weigh(cutting, "trim-80", "5")
    batch((tub, "2"))
    for slug, kg, wanted in (("trim-80", "4.4", 2.4), ("trim-90", "4.2", 2.2)):
        tub = block.correct_weight(tub, slug=slug, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None,
                                   why="misread")  # fmt: skip
        assert left(tub) == wanted
    found = balance(cutting)
    assert (found.out["batch"], float(found.out["waiting"])) == (2, 2.2)


@pytest.mark.parametrize("what", ["frozen", "thrown"])
def test_a_tub_put_right_is_still_what_it_became(cutting: Cutting, what: str) -> None:
    """6 kg that were weighed as 5: in the freezer they still are, and thrown away is the sixth kilogram too."""
    tub = weigh(cutting, "trim-80", "5")
    grind.tub_became(tub_of(f"w{tub.pk}"), what, key=uuid4(), by=None, why="x")
    block.correct_weight(
        tub, slug="trim-80", weight_kg=Decimal(6), typed="6 kg", key=uuid4(), by=None, why="misread"
    )
    mine = [one for one in tubs_on_hand(today()) if one.lot == lot_of(cutting).code]
    assert [(one.left_kg, one.is_frozen) for one in mine] == ([(6.0, True)] if what == "frozen" else [])
    assert balance(cutting).out["thrown"] == (6 if what == "thrown" else 0)


def test_a_tub_taken_out_was_never_there(cutting: Cutting) -> None:
    tub = weigh(cutting, "trim-80", "5")
    throw(tub)
    block.take_out(tub, key=uuid4(), by=None, why="of another side")
    found = balance(cutting)
    assert (found.out["thrown"], found.out.get("waiting", 0), found.missing_kg) == (0, 0, 150)


def test_thrown_twice_at_once_is_thrown_once(cutting: Cutting) -> None:
    """The second hand finds no tub any more, whatever it saw before."""
    line = weigh(cutting, "trim-80", "5")
    seen = tub_of(f"w{line.pk}")
    throw(line)
    with pytest.raises(CannotDo, match="on hand"):
        grind.tub_became(seen, "thrown", key=uuid4(), by=None, why="again")
    assert balance(cutting).out["thrown"] == 5


# The page


def test_the_page_says_it_in_words_and_adds_up(owner_client: Client, cutting: Cutting) -> None:
    weigh(cutting, "suet", "6")
    lot = lot_of(cutting)
    made = a_pack("12.5", "ribeye-steak", lot=lot)
    for code in (lot.code, f"{made.pk}", "C1"):
        text = owner_client.get(reverse("lot_balance"), {"code": code}).content.decode()
        for said in (
            f"Lot {lot.code}",
            "160.00 kg",
            "10.00 kg",
            "12.50 kg",
            "6.00 kg",
            "131.50 kg",
            "Fat",
            "Packed",
        ):
            assert said in text, (code, said)
        assert "Thrown away" not in text and "tag bad" not in text


def test_more_out_than_in_is_marked(counter_client: Client) -> None:
    a_pack("2", lot=a_lot())
    assert (
        "more out than in" in counter_client.get(reverse("lot_balance"), {"code": "26068-1"}).content.decode()
    )


@pytest.mark.parametrize("code", ["", "nothing", "\x00", "x" * 300, "C2"])
def test_what_has_no_lot_is_told(owner_client: Client, code: str) -> None:
    answer = owner_client.get(reverse("lot_balance"), {"code": code})
    assert answer.status_code == 404 and 'role="alert"' in answer.content.decode()


def test_a_handful_of_queries_however_much_was_packed(
    owner_client: Client, cutting: Cutting, queries: list[dict[str, str]]
) -> None:
    trim = weigh(cutting, "trim-80", "9")
    batch((trim, "2"))
    for _ in range(9):
        a_pack("0.5", lot=lot_of(cutting))
    for code in (lot_of(cutting).code, "C1"):
        queries.clear()
        assert owner_client.get(reverse("lot_balance"), {"code": code}).status_code == 200
        assert len(queries) <= 15


def test_from_the_trace_there_is_a_way_to_it(owner_client: Client, cutting: Cutting) -> None:
    lot = lot_of(cutting)
    text = owner_client.get(reverse("trace"), {"code": lot.code}).content.decode()
    assert f'href="{reverse("lot_balance")}?code={lot.code}"' in text
    assert lot_balances(lot.code, ShopProfile.objects.get())[0].lot == lot.code
