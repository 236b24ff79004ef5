"""The block as records: a side begun, weights stored once, put right by new lines, the side finished."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID, uuid4

import pytest
from django.db import DatabaseError, connection, transaction

from gambrel.catalog.ways import shipped_tree
from gambrel.measures import CannotDo
from gambrel.shop.records.models import (
    AuditLine,
    Cutting,
    Lot,
    Person,
    ScaleWeight,
    Side,
    SideState,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.services import block

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

BEGUN_KG = Decimal("150.0")


def cutter() -> Person:
    return Person.objects.get(role="cutter")


def a_side(tag: str = "C1", half: str = "left") -> Side:
    return Side.objects.select_related("animal", "rail").get(animal__tag=tag, half=half)


def begun(side: Side | None = None) -> Cutting:
    ways = shipped_tree().style("boneless", "cattle")
    return block.begin(
        side or a_side(), weight_kg=BEGUN_KG, typed="150.0 kg", ways=ways, by=cutter(), key=uuid4()
    )


def weighed(
    cutting: Cutting, kg: str = "6.4", slug: str = "ribeye-roll", key: UUID | None = None
) -> ScaleWeight:
    return block.weigh_piece(
        cutting, slug, weight_kg=Decimal(kg), typed=f"{kg} kg", key=key or uuid4(), by=cutter()
    )


def standing(cutting: Cutting) -> list[tuple[str, Decimal]]:
    lines = ScaleWeight.objects.filter(cutting=cutting, taken_out=False, corrected_by__isnull=True)
    return [(line.slug, line.weight_kg) for line in lines.order_by("pk")]


def test_a_side_that_is_begun_leaves_the_rail_with_its_weight_and_a_lot() -> None:
    cutting = begun()
    side = a_side()
    assert (side.state, side.rail, side.position_mm) == (SideState.ON_BLOCK, None, None)
    weighing = Weighing.objects.filter(side=side).latest("pk")
    assert (weighing.weight_kg, weighing.typed) == (BEGUN_KG, "150.0 kg")
    lot = Lot.objects.get(cutting=cutting)
    assert lot.code == f"26068-{cutting.pk}"  # 9 March is the 68th day: 31 + 28 + 9
    assert (lot.kind, lot.species, lot.inspected) == (side.animal.kind, "cattle", side.animal.inspected)


def test_a_side_begun_twice_is_begun_once() -> None:
    first = begun()
    assert begun() == first
    assert Lot.objects.filter(cutting=first).count() == 1
    assert Weighing.objects.filter(side=first.side, why="off the rail").count() == 1


def test_a_side_that_does_not_hang_is_refused() -> None:
    Side.objects.filter(pk=a_side().pk).update(state=SideState.GONE)
    with pytest.raises(CannotDo):
        begun()


def test_the_same_key_is_kept_once_and_gives_the_line_that_is_there() -> None:
    cutting, key = begun(), uuid4()
    first = weighed(cutting, key=key)
    assert weighed(cutting, "9.9", key=key) == first
    assert standing(cutting) == [("ribeye-roll", Decimal("6.4"))]


@pytest.mark.parametrize("kg", ["0", "-1", "150.1", "9999"])
def test_a_weight_that_cannot_be_is_refused(kg: str) -> None:
    """Nothing, less than nothing, or more than the whole side."""
    cutting = begun()
    with pytest.raises(CannotDo):
        weighed(cutting, kg)
    assert standing(cutting) == []


def test_a_piece_that_is_none_is_refused() -> None:
    with pytest.raises(CannotDo, match="C1-left"):
        weighed(begun(), slug="antlers")


def test_a_correction_is_a_new_line_and_the_old_one_stays() -> None:
    cutting = begun()
    wrong = weighed(cutting, "64")
    right = block.correct_weight(
        wrong,
        slug="ribeye-roll",
        weight_kg=Decimal("6.4"),
        typed="6.4 kg",
        key=uuid4(),
        by=cutter(),
        why="point",
    )
    assert right.corrects == wrong
    assert standing(cutting) == [("ribeye-roll", Decimal("6.4"))]
    assert ScaleWeight.objects.get(pk=wrong.pk).weight_kg == 64
    audit = AuditLine.objects.latest("pk")
    assert (audit.what, audit.why) == ("weighed again", "point")
    assert audit.before is not None and audit.before["weight_kg"].startswith("64")


def test_a_line_is_put_right_once() -> None:
    """Two tablets that correct the same line: the second is told, nothing is counted twice."""
    cutting = begun()
    wrong = weighed(cutting, "64")
    block.take_out(wrong, key=uuid4(), by=cutter(), why="undo")
    with pytest.raises(CannotDo):
        block.correct_weight(
            wrong, slug="ribeye-roll", weight_kg=Decimal(6), typed="6 kg", key=uuid4(), by=None, why=""
        )
    with pytest.raises(CannotDo):
        block.take_out(wrong, key=uuid4(), by=cutter(), why="undo")
    assert standing(cutting) == []


def test_undo_sent_twice_is_done_once() -> None:
    cutting, key = begun(), uuid4()
    line = weighed(cutting)
    first = block.take_out(line, key=key, by=cutter(), why="undo")
    assert block.take_out(line, key=key, by=cutter(), why="undo") == first
    assert ScaleWeight.objects.filter(cutting=cutting).count() == 2


@pytest.mark.parametrize("sql", ["UPDATE records_scaleweight SET weight_kg = 1 WHERE id = %s",
                                 "DELETE FROM records_scaleweight WHERE id = %s"])  # fmt: skip
def test_the_records_refuse_to_change_or_take_away_a_weight(sql: str) -> None:
    line = weighed(begun())
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql, [line.pk])


def test_finishing_takes_the_side_to_cut_and_keeps_the_reason() -> None:
    cutting = begun()
    done = block.finish(cutting, by=cutter(), why="the dog", figures={"missing_kg": "143.6"})
    assert done.ended_by == cutter()
    assert a_side().state == SideState.CUT
    audit = AuditLine.objects.latest("pk")
    assert (audit.what, audit.why, audit.after) == ("finished cutting", "the dog", {"missing_kg": "143.6"})
    assert block.finish(cutting, by=None).ended_by == cutter()  # a second tablet: nothing changes


def test_a_weight_that_waited_for_the_wireless_is_kept_after_the_end() -> None:
    cutting = begun()
    block.finish(cutting, by=cutter())
    weighed(Cutting.objects.get(pk=cutting.pk))
    assert standing(cutting) == [("ribeye-roll", Decimal("6.4"))]
    assert AuditLine.objects.latest("pk").what == "weighed after the end"


def test_a_side_begun_by_mistake_hangs_again_where_it_hung() -> None:
    before = a_side()
    block.put_back(begun(), by=cutter())
    after = a_side()
    assert (after.state, after.rail, after.position_mm) == (
        SideState.HANGING,
        before.rail,
        before.position_mm,
    )
    assert not Cutting.objects.exists() and not Lot.objects.exists()


def test_a_side_with_weights_cannot_be_put_back() -> None:
    cutting = begun()
    weighed(cutting)
    with pytest.raises(CannotDo):
        block.put_back(cutting, by=cutter())


def test_another_way_is_kept_with_what_it_was_before() -> None:
    cutting = begun()
    ways = {**cutting.ways, "rib-primal": "bone-in"}
    block.break_otherwise(cutting, ways=ways, by=cutter())
    audit = AuditLine.objects.latest("pk")
    assert audit.before == {"rib-primal": "boneless"} and audit.after == {"rib-primal": "bone-in"}
    assert Cutting.objects.get(pk=cutting.pk).ways["rib-primal"] == "bone-in"
