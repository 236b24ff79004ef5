"""Lots held and let go, drills sent twice, found by two, of strange packs; the numbers of a sheet written short."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from packing import a_lot, a_pack, became

from gambrel.measures import CannotDo
from gambrel.shop.records.models import AuditLine, Drill, DrillFind, LotHold, ShopProfile
from gambrel.shop.records.selectors.trace import PackGroup, drill_page, held_lots, recall_page
from gambrel.shop.records.services import trace as service

shop_records = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@dataclass
class Numbered:
    pk: int


@dataclass
class Row:
    pack: Numbered


@given(st.sets(st.integers(1, 60), min_size=1))
@settings(max_examples=80, deadline=None)
def test_the_numbers_of_a_group_are_all_there_and_as_short_as_can_be(numbers: set[int]) -> None:
    """Read back by hand; as many runs as there are numbers whose one before is missing."""
    rows: Any = tuple(Row(Numbered(one)) for one in numbers)
    said = PackGroup(None, "tri-tip", "case", rows).numbers  # type: ignore[arg-type]
    read: list[int] = []
    for run in said.split(", "):
        assert re.fullmatch(r"\d+(-\d+)?", run)
        first, _, last = run.partition("-")
        read += range(int(first), int(last or first) + 1)
    assert read == sorted(numbers)
    assert len(said.split(", ")) == sum(1 for one in numbers if one - 1 not in numbers)


class TestRecords:
    pytestmark = shop_records

    def page(self, asked: Any) -> Any:
        return recall_page(f"{asked}", ShopProfile.objects.get(), wide=False)

    def test_a_hold_sent_twice_is_one_line_a_lot(self) -> None:
        lots, key = [a_lot(), a_lot("26068-2")], uuid4()
        first = service.hold(lots, held=True, why="label", key=key, by=None)
        second = service.hold(lots, held=True, why="label", key=key, by=None)
        assert first == second and LotHold.objects.count() == 2
        assert AuditLine.objects.filter(what="held a lot").count() == 2
        assert held_lots(lot.pk for lot in lots) == {lot.pk for lot in lots}

    def test_one_lot_let_go_leaves_the_other_held(self) -> None:
        one, other = a_lot(), a_lot("26068-2")
        service.hold([one, other], held=True, why="label", key=uuid4(), by=None)
        service.hold([one], held=False, why="relabelled", key=uuid4(), by=None)
        assert held_lots([one.pk, other.pk]) == {other.pk}

    @pytest.mark.parametrize("why", ["", "   ", "\n"])
    def test_nothing_is_held_without_a_reason(self, why: str) -> None:
        with pytest.raises(CannotDo, match="no reason"):
            service.hold([a_lot()], held=True, why=why, key=uuid4(), by=None)
        assert not LotHold.objects.exists()

    def test_a_drill_counts_what_was_here_gone_and_named_when_it_began(self) -> None:
        """Of five packs three lie here, two are sold, of neither is known to whom; what is eaten is not sold."""
        packs = [a_pack() for _ in range(6)]
        became(packs[0], "sold", cents=1)
        became(packs[1], "sold", cents=1)
        became(packs[2], "eaten", why="lunch")
        begun = service.begin_drill(self.page("26068-1"), key=uuid4(), by=None)
        assert (begun.here_count, begun.gone_count, begun.named_count) == (3, 2, 0)
        became(packs[3], "sold", cents=1)
        assert Drill.objects.get().here_count == 3, "as it was when the clock began"

    def test_begun_and_ended_twice_it_is_one_drill_with_its_first_note(self) -> None:
        a_pack()
        key, page = uuid4(), self.page("26068-1")
        first, second = (service.begin_drill(page, key=key, by=None) for _ in range(2))
        assert first == second
        ended = [service.end_drill(first, note=note, by=None).note for note in ("slow", "quick")]
        assert ended == ["slow", "slow"] and AuditLine.objects.filter(what="ended a drill").count() == 1
        with pytest.raises(CannotDo, match="a drill that runs"):
            service.found_in_drill(first, [], by=None)

    def test_found_again_it_is_found_once_and_a_strange_pack_undoes_the_whole_handful(self) -> None:
        packs, strange = [a_pack(), a_pack()], a_pack(lot=a_lot("26068-2"))
        drill = service.begin_drill(self.page("26068-1"), key=uuid4(), by=None)
        assert service.found_in_drill(drill, packs[:1], by=None) == 1
        with pytest.raises(CannotDo, match="Lay it back"):
            service.found_in_drill(drill, [packs[1], strange], by=None)
        assert DrillFind.objects.count() == 1
        assert service.found_in_drill(drill, packs, by=None) == 1
        page = drill_page(drill)
        assert (page.found_count, page.found_share, page.missing) == (2, 1.0, ())

    def test_what_is_missing_is_what_lies_here_and_was_not_in_a_hand(self) -> None:
        packs = [a_pack() for _ in range(4)]
        drill = service.begin_drill(self.page("26068-1"), key=uuid4(), by=None)
        service.found_in_drill(drill, packs[:1], by=None)
        page = drill_page(drill)
        assert [one.pack_id for one in page.missing] == [one.pk for one in packs[1:]]
        assert page.found_share == 0.25 and page.took_s is None

    @pytest.mark.parametrize("name", ["hold_lots", "begin_drill"])
    def test_who_may_only_cut_holds_no_lot_and_nothing_is_held_of_nothing(
        self, cutter_client: Client, owner_client: Client, name: str
    ) -> None:
        a_pack()
        sent = {"code": "26068-1", "why": "x", "held": "1", "key": str(uuid4())}
        if name == "hold_lots":
            assert cutter_client.post(reverse(name), sent).status_code == 403
        for wrong in (
            {"code": "nonsense"},
            {"code": ""},
            {"key": "x"},
            {"code": "\x00"},
            {"code": "x" * 300},
        ):
            assert owner_client.post(reverse(name), {**sent, **wrong}).status_code == 302
        assert not LotHold.objects.exists() and not Drill.objects.exists()
