"""A shop on PostgreSQL: moved there from its file, kept as a backup, and made again out of it."""

from __future__ import annotations

import json
import sqlite3
import urllib.request
from contextlib import closing
from pathlib import Path
from typing import Any

import postgres
import psycopg
import pytest
from served import gambrel, serving


def lines(records: sqlite3.Connection, table: str) -> list[list[Any]]:
    """Every line of a table; JSON as its value, since PostgreSQL keeps the names of an object in its own order."""
    found = records.execute(f"SELECT * FROM {table} ORDER BY id").fetchall()
    return [
        [json.loads(cell) if str(cell).startswith(("{", "[")) else cell for cell in line] for line in found
    ]


def test_a_shop_moves_to_postgresql_and_back(
    prepared_shop: tuple[Path, Any], server_database: str, tmp_path: Path
) -> None:
    folder, _ = prepared_shop
    assert gambrel("backup", str(tmp_path / "from-file.zip"), "--shop", str(folder)).returncode == 0
    there = ("--shop", str(tmp_path / "there"))
    moved = gambrel("restore", str(tmp_path / "from-file.zip"), *there, database=server_database)
    assert moved.returncode == 0, moved.stderr
    assert not (tmp_path / "there" / "shop.sqlite3").exists()
    kept = gambrel("backup", str(tmp_path / "from-server.zip"), *there, database=server_database)
    assert kept.returncode == 0, kept.stderr
    back = gambrel("restore", str(tmp_path / "from-server.zip"), "--shop", str(tmp_path / "back"))
    assert back.returncode == 0, back.stderr
    with (
        closing(sqlite3.connect(folder / "shop.sqlite3")) as before,
        closing(sqlite3.connect(tmp_path / "back" / "shop.sqlite3")) as after,
    ):
        for table in (
            "records_side",
            "records_weighing",
            "records_bill",
            "records_order",
            "records_auditline",
        ):
            assert lines(before, table) == lines(after, table) != [], table


def test_the_server_refuses_to_change_what_was_weighed(
    prepared_shop: tuple[Path, Any], server_database: str, tmp_path: Path
) -> None:
    gambrel("backup", str(tmp_path / "kept.zip"), "--shop", str(prepared_shop[0]))
    gambrel(
        "restore", str(tmp_path / "kept.zip"), "--shop", str(tmp_path / "there"), database=server_database
    )
    with (
        psycopg.connect(server_database) as server,
        pytest.raises(psycopg.errors.IntegrityError, match="written once"),
    ):
        server.execute("UPDATE records_weighing SET weight_kg = weight_kg + 1")


def test_a_database_with_records_is_not_written_over(
    prepared_shop: tuple[Path, Any], server_database: str, tmp_path: Path
) -> None:
    gambrel("backup", str(tmp_path / "kept.zip"), "--shop", str(prepared_shop[0]))
    for name, status in (("first", 0), ("second", 1)):
        done = gambrel(
            "restore", str(tmp_path / "kept.zip"), "--shop", str(tmp_path / name), database=server_database
        )
        assert done.returncode == status
    assert "an empty database" in done.stderr


def test_an_empty_database_is_made_a_shop_and_answers(server_database: str, tmp_path: Path) -> None:
    with (
        serving(tmp_path / "shop", database=server_database) as served,
        urllib.request.urlopen(served.address, timeout=20) as answer,
    ):
        assert answer.status == 200


def test_an_address_that_is_not_postgresql_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="must begin with postgresql"):
        gambrel("serve", "--shop", str(tmp_path / "shop"), database="mysql://shop@nowhere/shop")


def test_the_tests_own_cluster_is_found_or_said_to_be_missing(
    monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    """Where PostgreSQL can neither be found nor installed the run ends with a sentence, not with a silent skip."""

    def cannot() -> None:
        raise OSError("no packages here")

    monkeypatch.setattr(postgres, "binaries", lambda: None)
    monkeypatch.setattr(postgres, "install", cannot)
    assert postgres.main(["true"]) == 1
    assert (
        "No PostgreSQL was found and it could not be installed (no packages here)" in capsys.readouterr().err
    )
