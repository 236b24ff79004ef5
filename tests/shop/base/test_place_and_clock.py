"""A shop's folder and its database, its clock, its roles: what everything else stands on."""

from __future__ import annotations

import os
import stat
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from gambrel.shop import access
from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.place import DEFAULT_FOLDER, Place, file_database, named_hosts, server_database


def test_a_shop_is_where_the_environment_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("GAMBREL_SHOP", str(tmp_path / "mine"))
    assert Place.from_environment().folder == (tmp_path / "mine").resolve()
    monkeypatch.delenv("GAMBREL_SHOP")
    assert Place.from_environment().folder.name == DEFAULT_FOLDER


def test_asking_for_a_place_makes_no_folder(tmp_path: Path) -> None:
    place = Place(tmp_path / "none")
    assert place.database_file.name == "shop.sqlite3" and place.photographs.parent == place.folder
    assert not (tmp_path / "none").exists()


def test_the_secret_is_made_once_and_for_its_owner_alone(tmp_path: Path) -> None:
    place = Place(tmp_path)
    place.make_secret()
    first = place.secret()
    place.make_secret()
    assert place.secret() == first and len(first) >= 50
    files = [path for path in place.folder.iterdir() if path.is_file()]
    assert [stat.S_IMODE(path.stat().st_mode) for path in files if path.name == "secret"] == [0o600]


def test_two_shops_have_two_secrets(tmp_path: Path) -> None:
    made = []
    for name in ("one", "two"):
        place = Place(tmp_path / name)
        place.folder.mkdir()
        place.make_secret()
        made.append(place.secret())
    assert made[0] != made[1]


def test_the_file_keeps_what_was_acknowledged_through_a_power_cut(tmp_path: Path) -> None:
    """A write-ahead log with FULL keeps every commit; IMMEDIATE waits its turn instead of failing at once."""
    options = file_database(tmp_path / "x.sqlite3")["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    for said in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "automatic_index=OFF"):
        assert said in options["init_command"]
    assert options["timeout"] >= 10


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("postgresql://ann:pw@db.example:5433/shop",
         {"NAME": "shop", "USER": "ann", "PASSWORD": "pw", "HOST": "db.example", "PORT": "5433"}),
        ("postgres://ann@/shop?host=/run/pg",
         {"NAME": "shop", "USER": "ann", "PASSWORD": "", "HOST": "/run/pg", "PORT": ""}),
        ("postgresql:///shop", {"NAME": "shop", "USER": "", "PASSWORD": "", "HOST": "", "PORT": ""}),
        ("postgresql://a%40b:p%2Fw@h/s%20p",
         {"NAME": "s p", "USER": "a@b", "PASSWORD": "p/w", "HOST": "h", "PORT": ""}),
    ],
    ids=["whole", "socket", "shortest", "with signs"],
)  # fmt: skip
def test_a_server_is_named_by_its_address(address: str, expected: dict[str, str]) -> None:
    described = server_database(address)
    assert {name: described[name] for name in expected} == expected
    assert described["ENGINE"].endswith("postgresql")


@pytest.mark.parametrize("address", ["mysql://h/s", "shop", "http://h/s", ""])
def test_another_server_is_refused(address: str) -> None:
    with pytest.raises(ValueError, match="postgresql://"):
        server_database(address)


def test_the_environment_may_name_a_server(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("GAMBREL_DATABASE", "postgresql:///shop")
    assert Place(tmp_path).database()["ENGINE"].endswith("postgresql")
    monkeypatch.delenv("GAMBREL_DATABASE")
    assert Place(tmp_path).database()["NAME"] == str(tmp_path / "shop.sqlite3")


def test_the_clock_stands_where_it_is_set_and_runs_again_after(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("GAMBREL_NOW", raising=False)
    instant = datetime(2026, 3, 9, 15, 30, tzinfo=UTC)
    with standing_at(instant):
        assert now() == instant == now()
    assert abs((now() - datetime.now(UTC)).total_seconds()) < 5


@pytest.mark.parametrize(
    ("instant", "zone", "day"),
    [
        ("2026-03-09T15:30:00+00:00", "America/Denver", date(2026, 3, 9)),
        ("2026-03-09T03:30:00+00:00", "America/Denver", date(2026, 3, 8)),
        ("2026-03-08T23:30:00+00:00", "Europe/Madrid", date(2026, 3, 9)),
        ("2026-03-08T09:59:00+00:00", "America/Denver", date(2026, 3, 8)),
        ("2026-12-31T23:59:59+00:00", "UTC", date(2026, 12, 31)),
    ],
    ids=["morning", "evening before", "past midnight", "the hour that is skipped", "last second"],
)
def test_today_is_the_shops_own(monkeypatch: pytest.MonkeyPatch, instant: str, zone: str, day: date) -> None:
    monkeypatch.setenv("GAMBREL_NOW", instant)
    with timezone.override(zone):
        assert today() == day


def test_a_page_says_its_roles_and_keeps_its_name() -> None:
    def view(request: Any) -> HttpResponse:
        """What it shows."""
        return HttpResponse("shown")

    pattern = access.page("x/", view, name="x", roles=access.OWNER_ONLY)
    assert pattern.name == "x" and pattern.callback.roles == {"owner"}
    assert pattern.callback.__doc__ == "What it shows."
    assert pattern.callback(RequestFactory().get("/x/")).content == b"shown"


@pytest.mark.parametrize("roles", [{"butcher"}, {"owner", "boss"}, {"Owner"}])
def test_a_role_that_is_none_is_a_mistake_of_ours(roles: set[str]) -> None:
    with pytest.raises(ValueError, match="roles must be out of"):
        access.page("x/", lambda request: HttpResponse(), name="x", roles=frozenset(roles))


def test_the_groups_of_roles_hold_each_other() -> None:
    assert access.OWNER_ONLY < access.BLOCK < access.STAFF < access.EVERYBODY
    assert access.OWNER_ONLY < access.SELLING < access.STAFF
    assert access.VISITOR not in access.STAFF
    assert os.environ["DJANGO_SETTINGS_MODULE"] == "gambrel.shop.settings"


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ("shop.example", ["shop.example"]),
        ("a.example, b.example ,", ["a.example", "b.example"]),
        (" ", []),
        ("", []),
    ],
)
def test_names_for_the_shop_are_told_apart_by_commas(
    monkeypatch: pytest.MonkeyPatch, given: str, names: list[str]
) -> None:
    """A space after the comma is no part of a name: with it, no browser could ever ask for that name."""
    monkeypatch.setenv("GAMBREL_HOSTS", given)
    assert named_hosts() == names


def test_without_names_in_the_environment_there_are_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("GAMBREL_HOSTS", raising=False)
    assert named_hosts() == []
