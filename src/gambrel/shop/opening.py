"""Opens a shop's folder: Django started on it, its records brought up to date, a copy kept of what was there."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from gambrel.measures import CannotDo, Finding
from gambrel.shop.place import DATABASE_VARIABLE, FOLDER_VARIABLE, Place

SETTINGS_VARIABLE, SETTINGS = "DJANGO_SETTINGS_MODULE", "gambrel.shop.settings"
COPIES = "before-migration"
"""Folder in the shop's folder for copies of the records as they were before a newer program changed them."""

NAME_IT = "Name the shop's folder with --shop."


@dataclass(frozen=True, slots=True)
class Opened:
    """A shop that is ready. `is_new`: nothing was in it; `copy`: the records as they were before the change."""

    place: Place
    is_new: bool
    migrations_count: int
    copy: Path | None


def start(folder: Path) -> Place:
    """Django started on this folder, once in a process: settings cannot be read twice."""
    import django
    from django.apps import apps
    from django.conf import settings

    place = Place(folder.resolve())
    if not apps.ready:
        os.environ[FOLDER_VARIABLE] = str(place.folder)
        os.environ[SETTINGS_VARIABLE] = SETTINGS
        django.setup()
    if place.folder != settings.PLACE.folder:
        raise RuntimeError(f"this process has opened {settings.PLACE.folder} already, not {place.folder}")
    return place


def open_shop(folder: Path, *, make: bool = True) -> Opened:
    """The shop in `folder`, its records brought up to date; with `make` an empty folder becomes a new one."""
    is_new = not (folder / "secret").is_file()
    if not make:
        must_be_shop(folder)
    _stop_if_in_the_way(folder, is_new=is_new)
    folder.mkdir(parents=True, exist_ok=True)
    place = start(folder)
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    copy = copy_before(place, len(executor.loader.applied_migrations)) if waiting and not is_new else None
    if waiting:
        call_command("migrate", verbosity=0, interactive=False)
    call_command("clearsessions")
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA optimize = 0x10002")  # so that long tables are searched by the right index
    connection.close()
    return Opened(place, is_new, len(waiting), copy)


def is_made() -> bool:
    """Whether the opened shop has been made: it has a name and an owner."""
    from django.db import connection

    from gambrel.shop.records.models import ShopProfile

    made = ShopProfile.objects.exists()
    connection.close()
    return made


def copy_before(place: Place, applied_count: int) -> Path | None:
    """A copy of the records file, made while it may be in use; None where there is no file (yet)."""
    if os.environ.get(DATABASE_VARIABLE) or not place.database_file.is_file() or not applied_count:
        return None
    folder = place.folder / COPIES
    folder.mkdir(exist_ok=True)
    number = 1 + sum(1 for _ in folder.iterdir())
    path = folder / f"{number:03d}-after-{applied_count}-migrations.sqlite3"
    copy_database(place.database_file, path)
    return path


def copy_database(source: Path, copy: Path) -> None:
    """SQLite's own copy of a database in use: whole, as it stood at one moment."""
    with closing(sqlite3.connect(source)) as from_file, closing(sqlite3.connect(copy)) as to_file:
        from_file.backup(to_file)


def must_be_shop(folder: Path) -> None:
    """`CannotDo` where there is no shop in the folder."""
    if not (folder / "secret").is_file():
        raise CannotDo([Finding(str(folder), "no shop in it", "the folder of a shop", NAME_IT)])


def _stop_if_in_the_way(folder: Path, *, is_new: bool) -> None:
    if folder.exists() and not folder.is_dir():
        raise CannotDo([Finding(str(folder), "a file", "a folder", NAME_IT)])
    if is_new and folder.is_dir() and any(folder.iterdir()):
        raise CannotDo([Finding(str(folder), "a folder with other things in it",
                                "the folder of a shop, or an empty one to make it in", NAME_IT)])  # fmt: skip
