"""The invented shop in a test database, a browser for each role, and a real server for tests with Chromium.

Settings read the shop's folder when they are loaded, so it is named here, before anything of the shop is imported.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import browser
import busy_day
import postgres
import presses
import pytest
from served import ServedShop, serving

FOLDER = tempfile.mkdtemp(prefix="gambrel-shop-")
atexit.register(shutil.rmtree, FOLDER, ignore_errors=True)
os.environ["GAMBREL_SHOP"] = FOLDER
os.environ["DJANGO_SETTINGS_MODULE"] = "gambrel.shop.settings"
# The driver of the browser keeps a loop of its own running in this thread, which the records have nothing to do with.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

import django  # noqa: E402
from django.conf import settings as shop_settings  # noqa: E402

shop_settings.PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.MD5PasswordHasher"
]  # quick; the real one is slow
django.setup()

import links  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402

from gambrel.shop.demo import SignIn, fill_demo  # noqa: E402
from gambrel.shop.demo_apart import build_demo_shop  # noqa: E402
from gambrel.shop.records.models import Person, ShopProfile  # noqa: E402

PATIENT_MS = 60_000.0
"""What a page is expected to show may take this long on a busy machine; it is the time before a test gives up."""
TODAY = date(2026, 3, 9)
NOW = "2026-03-09T15:30:00+00:00"
"""Monday, half past nine in the morning at the shop."""


@dataclass(frozen=True)
class DemoShop:
    """The invented shop of this test: its day, its line of the records, and the sign-ins that were made."""

    today: date
    sign_ins: tuple[SignIn, ...] = field(repr=False)

    @property
    def profile(self) -> ShopProfile:
        return ShopProfile.objects.get()

    def person(self, role: str) -> Person:
        return Person.objects.get(role=role)


_filled: list[SignIn] = []


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: pytest.FixtureRequest) -> None:
    """Fill the test database with the invented shop, once; what a test changes is rolled back after it."""
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock():  # type: ignore[attr-defined]
        patch.setenv("GAMBREL_NOW", NOW)
        _filled[:] = fill_demo(TODAY)


@pytest.fixture(autouse=True)
def shop_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shop's clock stands at `NOW`."""
    monkeypatch.setenv("GAMBREL_NOW", NOW)


@pytest.fixture
def demo_shop(db: None) -> DemoShop:
    return DemoShop(TODAY, tuple(_filled))


@pytest.fixture
def empty_shop(db: None) -> None:
    """Records with nothing in them, as at a first start; rolled back after the test like everything else.

    Guards forbid taking lines away, so they are lifted within the test's transaction and put back at once.
    """
    tables = [name for name in connection.introspection.table_names() if name != "django_migrations"]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"TRUNCATE {', '.join(tables)} CASCADE")  # passes by the guards of single lines
            return
        cursor.execute("PRAGMA defer_foreign_keys = ON")
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        guards = dict(cursor.fetchall())
        for name in guards:
            cursor.execute(f"DROP TRIGGER {name}")
        for table in tables:
            cursor.execute(f"DELETE FROM {table}")
        for sql in guards.values():
            cursor.execute(sql)


def _client_of(role: str) -> Client:
    client = Client()
    client.force_login(Person.objects.get(role=role), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def owner_client(demo_shop: DemoShop) -> Client:
    return _client_of("owner")


@pytest.fixture
def cutter_client(demo_shop: DemoShop) -> Client:
    return _client_of("cutter")


@pytest.fixture
def counter_client(demo_shop: DemoShop) -> Client:
    return _client_of("counter")


@pytest.fixture
def visitor_client(demo_shop: DemoShop) -> Client:
    """Somebody who has not signed in."""
    return Client()


@pytest.fixture
def queries() -> Iterator[list[dict[str, str]]]:
    """Every query made since the test began, for tests that count them."""
    connection.force_debug_cursor = True
    connection.queries_log.clear()
    yield connection.queries_log  # type: ignore[misc]
    connection.force_debug_cursor = False


@pytest.fixture(scope="session")
def prepared_shop(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[dict[str, str]]]:
    """A shop's folder with the invented shop in it, made once, and its sign-ins; copied for each server."""
    folder = tmp_path_factory.mktemp("prepared") / "shop"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GAMBREL_NOW", NOW)
        patch.delenv("GAMBREL_DATABASE", raising=False)
        return folder, build_demo_shop(folder, photographs=4, plan_seconds=60.0, plan_days=3)


@pytest.fixture(scope="module")
def that_week() -> Iterator[None]:
    """The clock of a server that is started from here on stands in the week that the invented shop was made for."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GAMBREL_NOW", NOW)
        yield


@pytest.fixture(scope="module")
def served_shop(
    prepared_shop: tuple[Path, list[dict[str, str]]], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[ServedShop]:
    """A real server on a copy of the invented shop, for the tests of one file."""
    folder, sign_ins = prepared_shop
    copy = tmp_path_factory.mktemp("served") / "shop"
    shutil.copytree(folder, copy)
    with serving(copy, sign_ins) as served:
        yield served


@pytest.fixture(scope="module")
def every_page(chromium_browser: Any, served_shop: ServedShop) -> dict[str, str]:
    """Name and address of everything that the owner can look at, in the middle of a day's work.

    To two of them no link leads: a visitor is led to the one, a phone without the network shows the other.
    """
    told = busy_day.begin(served_shop.folder, planning=True)
    context = chromium_browser.new_context(base_url=served_shop.address)
    served_shop.sign_in(context.new_page(), "owner")
    reached = dict(links.reached(context.request))
    context.close()
    return {**reached, **told, "sign_in": "/sign-in/", "offline": "/offline/"}


@pytest.fixture
def server_database() -> str:
    """A new, empty database of the PostgreSQL that these tests run on."""
    address = os.environ.get("GAMBREL_DATABASE")
    if not address:
        pytest.skip("needs PostgreSQL: `python tools/postgres.py python -m pytest tests/shop` starts one")
    return postgres.new_database(address)


@pytest.fixture(scope="session")
def chromium_browser() -> Iterator[Any]:
    from playwright.sync_api import expect, sync_playwright

    path = browser.chromium()
    if path is None:
        pytest.fail("No Chromium: `python tools/browser.py` installs it.")
    presses.wait_for_the_page()
    expect.set_options(timeout=PATIENT_MS)
    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def browser_page(chromium_browser: Any, served_shop: ServedShop) -> Iterator[Any]:
    """A fresh page of a fresh browser window, not signed in; `served_shop.sign_in(page, "owner")` signs in."""
    context = chromium_browser.new_context(
        base_url=served_shop.address, viewport={"width": 1280, "height": 900}
    )
    yield context.new_page()
    context.close()
