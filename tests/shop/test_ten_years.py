"""The long shop that pages are measured on: as many lines as it says, whole, and its guards still standing."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import ten_years

from gambrel.catalog.cuts import shipped_cuts

pytestmark = pytest.mark.own_file


@pytest.fixture(scope="module")
def long_shop(
    prepared_shop: tuple[Path, Any], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[sqlite3.Connection, dict[str, int]]]:
    folder = tmp_path_factory.mktemp("long") / "shop"
    shutil.copytree(prepared_shop[0], folder)
    counts = ten_years.fill(folder, animals=50, packs_a_side=20)
    with closing(sqlite3.connect(folder / "shop.sqlite3")) as records:
        yield records, counts


def test_there_are_as_many_as_it_says(long_shop: tuple[sqlite3.Connection, dict[str, int]]) -> None:
    records, counts = long_shop
    asked = "SELECT count(*), min(killed_on), max(killed_on) FROM records_animal WHERE tag LIKE 'Y%'"
    count, first, last = records.execute(asked).fetchone()
    assert count == 50 and int(last[:4]) - int(first[:4]) in (9, 10)
    cut = records.execute("SELECT count(*) FROM records_side WHERE state = 'cut'").fetchone()[0]
    assert cut >= 100
    assert counts["records_pack"] >= 100 * 20
    assert counts["records_scaleweight"] >= 100 * ten_years.WEIGHTS_A_SIDE


def test_every_cutting_of_the_newest_years_has_taught_and_was_forecast(
    long_shop: tuple[sqlite3.Connection, dict[str, int]],
) -> None:
    records, counts = long_shop
    assert counts["records_lesson"] >= 100 and counts["records_sideforecast"] >= 100
    asked = ("SELECT count(*) FROM records_cutting cutting JOIN records_side side ON side.id = cutting.side_id "
             "WHERE NOT EXISTS (SELECT 1 FROM records_lesson lesson WHERE lesson.cutting_id = cutting.id) "
             "OR NOT EXISTS (SELECT 1 FROM records_sideforecast told WHERE told.side_id = side.id)")  # fmt: skip
    assert records.execute(asked).fetchone()[0] == 0


def test_most_packs_are_gone_and_some_are_on_hand(
    long_shop: tuple[sqlite3.Connection, dict[str, int]],
) -> None:
    _, counts = long_shop
    assert 0.01 < 1 - counts["records_packevent"] / counts["records_pack"] < 0.1


def test_it_is_whole_and_its_guards_and_indexes_stand(long_shop: tuple[sqlite3.Connection, Any]) -> None:
    records, _ = long_shop
    assert records.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert records.execute("PRAGMA foreign_key_check").fetchone() is None
    asked = "SELECT count(*) FROM sqlite_master WHERE type = 'index' AND tbl_name = 'records_pack' AND sql IS NOT NULL"
    assert records.execute(asked).fetchone()[0] >= 3
    with pytest.raises(sqlite3.IntegrityError, match="written once"):
        records.execute("DELETE FROM records_pack WHERE id = 1")


def test_its_pieces_are_of_the_catalogue() -> None:
    assert set(ten_years.SLUGS) <= shipped_cuts().keys()


def test_what_is_on_hand_is_what_no_event_took_away(long_shop: tuple[sqlite3.Connection, Any]) -> None:
    """Of the made-up packs none comes back, so each is on hand or has one event; the demo's own follow its services."""
    records, _ = long_shop
    asked = ("SELECT count(*) FROM records_pack pack WHERE EXISTS (SELECT 1 FROM records_onhand here WHERE "
             "here.pack_id = pack.id) = EXISTS (SELECT 1 FROM records_packevent event WHERE event.pack_id = pack.id "
             "AND event.what IN ('sold', 'spoiled', 'eaten', 'missing'))")  # fmt: skip
    assert records.execute(asked).fetchone()[0] == 0
    weighed = ("SELECT sum(abs(pack.net_kg - here.net_kg)) + sum(pack.slug <> here.slug) FROM records_onhand here "
               "JOIN records_pack pack ON pack.id = here.pack_id")  # fmt: skip
    assert records.execute(weighed).fetchone()[0] == 0


def test_every_batch_is_of_trim_that_was_weighed(long_shop: tuple[sqlite3.Connection, Any]) -> None:
    records, counts = long_shop
    asked = ("SELECT count(*) FROM records_batchinput line JOIN records_scaleweight weight "
             "ON weight.id = line.weight_id WHERE weight.slug LIKE 'trim-%'")  # fmt: skip
    assert records.execute(asked).fetchone()[0] == counts["records_batchinput"] >= 50 * 2
    assert records.execute("SELECT count(*) FROM records_lot WHERE batch_id IS NOT NULL").fetchone()[0] >= 50
