"""What is on hand is what the events say, after any sequence of them; held lots and owners' own are not sold."""

from __future__ import annotations

import random
from datetime import timedelta
from decimal import Decimal
from uuid import UUID, uuid4

import pytest

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import Lot, LotHold, OnHand, Pack, PackEvent, Person
from gambrel.shop.records.services.packs import happened, pack

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

GOES, COMES = {"sold", "spoiled", "eaten", "missing"}, {"returned", "found"}


def a_lot(code: str = "26068-1", **more: str) -> Lot:
    fields = {"kind": "bison", "species": "bison", "inspected": "federal", **more}
    return Lot.objects.create(code=code, made_on=today(), **fields)


def a_pack(lot: Lot | None = None, net_kg: str = "0.5", **more: str) -> Pack:
    return pack(
        lot or a_lot(), "ribeye-steak", net_kg=Decimal(net_kg), key=uuid4(), at=now(), by=None, **more
    )


def after(made: Pack, *events: str, place: str = "") -> None:
    for event in events:
        happened(made, event, key=uuid4(), at=now(), by=None, place=place)


def there() -> dict[int, str]:
    return dict(OnHand.objects.values_list("pack_id", "place"))


def by_events(made: Pack) -> str | None:
    """Where the pack lies by its lines alone, worked out the long way."""
    place: str | None = made.place
    for event in made.events.order_by("pk"):
        if event.what in GOES:
            place = None
        elif event.what in COMES:
            place = event.place or made.place
        elif event.place and place is not None:
            place = event.place
    return place


def test_a_pack_lies_where_it_was_laid_with_its_weight_and_date() -> None:
    made = pack(a_lot(), "ribeye-steak", net_kg=Decimal("0.512"), key=uuid4(), at=now(), by=None, place="freezer",
                packing="vacuum", use_by=today() + timedelta(days=180))  # fmt: skip
    here = OnHand.objects.get(pack=made)
    assert (here.place, here.net_kg, here.slug, here.use_by, here.lot) == (
        "freezer", Decimal("0.512"), "ribeye-steak", made.use_by, made.lot)  # fmt: skip
    assert made.frozen and (made.packing, str(made)) == ("vacuum", f"26068-1/{made.pk}")


@pytest.mark.parametrize("end", sorted(GOES))
def test_what_goes_is_here_no_more_and_may_come_back(end: str) -> None:
    made = a_pack()
    after(made, end)
    assert there() == {}
    after(made, "found")
    assert there() == {made.pk: "case"}


def test_what_comes_back_may_be_laid_elsewhere() -> None:
    made = a_pack()
    after(made, "sold")
    after(made, "returned", place="freezer")
    assert there() == {made.pk: "freezer"}


def test_moved_and_counted_stay_on_hand_and_labelled_is_allowed_at_any_time() -> None:
    made = a_pack()
    after(made, "moved", place="ageing")
    after(made, "counted", "labelled")
    assert there() == {made.pk: "ageing"}
    after(made, "sold", "labelled")
    assert there() == {}
    with pytest.raises(CannotDo):
        after(made, "moved", place="case")
    with pytest.raises(CannotDo):
        after(made, "counted")


def test_a_held_lot_is_not_sold_until_it_is_let_go() -> None:
    made = a_pack()
    for minute, held in enumerate((True, False)):
        LotHold.objects.create(lot=made.lot, held=held, why="test", at=now() + timedelta(minutes=minute))
        if held:
            with pytest.raises(CannotDo, match="is held"):
                after(made, "sold")
            assert there() == {made.pk: "case"}
    after(made, "sold")
    assert there() == {}


def test_meat_of_its_owner_is_neither_priced_nor_sold_but_goes_home() -> None:
    """Custom-exempt meat is for the owner who brought the animal and is never sold [9 CFR 303.1(a)(2)]."""
    lot = a_lot(inspected="custom", owner_name="A. Neighbour")
    with pytest.raises(CannotDo, match="owner"):
        pack(lot, "ribeye-steak", net_kg=Decimal(1), key=uuid4(), at=now(), by=None, price_cents_per_kg=1.0)
    made = a_pack(lot)
    with pytest.raises(CannotDo, match="Neighbour"):
        after(made, "sold")
    assert there() == {made.pk: "case"}


def test_the_same_key_moves_a_pack_once() -> None:
    made, key = a_pack(), uuid4()
    for _ in range(3):
        happened(made, "spoiled", key=key, at=now(), by=None, why="torn film")
    assert PackEvent.objects.filter(pack=made).count() == 1 and there() == {}


@pytest.mark.parametrize("seed", range(6))
def test_after_any_sequence_what_is_here_is_what_the_lines_say(seed: int) -> None:
    """120 random events over eight packs, those that cannot be among them; keys are sent twice at times."""
    draw = random.Random(seed)
    lot, by = a_lot(), Person.objects.get(role="counter")
    made = [a_pack(lot, f"{draw.uniform(0.2, 2):.3f}") for _ in range(8)]
    keys: list[tuple[Pack, str, UUID]] = []
    for _ in range(120):
        if keys and draw.random() < 0.15:
            one, what, key = draw.choice(keys)
        else:
            one, what, key = draw.choice(made), draw.choice([*GOES, *COMES, "moved", "counted"]), uuid4()
        place = draw.choice(("", "case", "freezer", "ageing")) if what in {*COMES, "moved"} else ""
        try:
            happened(one, what, key=key, at=now(), by=by, place=place)
        except CannotDo:
            assert not PackEvent.objects.filter(key=key).exists(), "refused and kept all the same"
        else:
            keys.append((one, what, key))
    wanted = {one.pk: by_events(one) for one in made}
    assert there() == {pk: place for pk, place in wanted.items() if place is not None}
    assert PackEvent.objects.count() == len({key for _, _, key in keys})
