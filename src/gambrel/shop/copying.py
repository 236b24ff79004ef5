"""The records copied whole: out of a database in use into a file, and from such a file into an empty database."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import islice
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.management import call_command
from django.db import connections, transaction
from django.db.models import Model

from gambrel.shop.opening import copy_database
from gambrel.shop.place import file_database

BATCH = 2000
"""Lines that are written together."""


def copy_to_file(path: Path) -> None:
    """The records as they stand at one moment, as an SQLite file, whatever database they are in."""
    if connections["default"].vendor == "sqlite":
        copy_database(Path(str(connections["default"].settings_dict["NAME"])), path)
        return
    with _file_open(path) as copy:
        call_command("migrate", database=copy, verbosity=0, interactive=False)
        with transaction.atomic("default"):
            with connections["default"].cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            copy_records(source="default", target=copy)


def fill_from_file(path: Path) -> None:
    """Records out of an SQLite file into the shop's own database, which is up to date and empty."""
    with _file_open(path) as copy:
        call_command("migrate", database=copy, verbosity=0, interactive=False)
        copy_records(source=copy, target="default")


def copy_records(*, source: str, target: str) -> None:
    """Every line of every record, with its number; all or nothing."""
    models = list(apps.get_app_config("records").get_models(include_auto_created=True))
    with transaction.atomic(target):
        for model in models:
            for lines in _batches(model, source):
                model._base_manager.using(target).bulk_create(lines, batch_size=BATCH)
        _count_on(models, target)


def counts_in_file(path: Path) -> dict[str, int]:
    """Lines of each table of records in an SQLite file; raises when the file is not whole."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as records:
        said = records.execute("PRAGMA integrity_check").fetchone()[0]
        dangling = records.execute("PRAGMA foreign_key_check").fetchone()
        if said != "ok" or dangling:
            raise sqlite3.DatabaseError(f"{path.name} is not whole: {said}, {dangling}")
        names = records.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'records\\_%' ESCAPE '\\'"
        )
        return {
            name: records.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
            for (name,) in sorted(names.fetchall())
        }


def counts_in_shop() -> dict[str, int]:
    """Lines of each table of records in the shop's own database."""
    models = apps.get_app_config("records").get_models(include_auto_created=True)
    return {model._meta.db_table: model._base_manager.count() for model in sorted(models, key=_table)}


def _table(model: type[Model]) -> str:
    return model._meta.db_table


def _batches(model: type[Model], source: str) -> Iterator[list[Model]]:
    lines = model._base_manager.using(source).order_by("pk").iterator(chunk_size=BATCH)
    while batch := list(islice(lines, BATCH)):
        yield batch


def _count_on(models: list[type[Model]], target: str) -> None:
    """The next line's number comes after the last one that was copied."""
    from django.core.management.color import no_style

    with connections[target].cursor() as cursor:
        for sql in connections[target].ops.sequence_reset_sql(no_style(), models):
            cursor.execute(sql)


@contextmanager
def _file_open(path: Path) -> Iterator[str]:
    """The file as a second database of Django, for as long as it is needed; gives its name there."""
    alias = "copy"
    settings: dict[str, Any] = {**connections["default"].settings_dict, **file_database(path)}
    settings["OPTIONS"] = {"init_command": "PRAGMA foreign_keys=ON;"}
    settings["CONN_MAX_AGE"], settings["CONN_HEALTH_CHECKS"] = 0, False
    connections.databases[alias] = settings
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias]
        del connections.databases[alias]
