"""A backup made into a shop again, in a folder (or a database) that has none."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from gambrel.measures import CannotDo, Finding, Findings
from gambrel.shop.backup import PHOTOGRAPHS, RECORDS, unpack
from gambrel.shop.opening import open_shop
from gambrel.shop.place import DATABASE_VARIABLE, Place


def restore(archive: Path, folder: Path) -> dict[str, Any]:
    """The shop of a backup in `folder`, brought up to date; gives the backup's own list. All or nothing.

    A new secret is made: whoever was signed in signs in again. With PostgreSQL named in the environment the
    records go there, and the photographs into `folder`.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise CannotDo([Finding(str(folder), "something that is there already", "a folder that is not there yet",
                                "A shop is restored over nothing: name a new folder with --shop.")])  # fmt: skip
    findings = Findings()
    part = folder.with_name(f".{folder.name}.{os.getpid()}.part")
    try:
        manifest = unpack(archive, part, findings)
        findings.stop_if_any()
        _stop_if_newer(archive, part / RECORDS)
        if os.environ.get(DATABASE_VARIABLE):
            _into_server(folder, part)
        else:
            _into_folder(folder, part)
    finally:
        shutil.rmtree(part, ignore_errors=True)
    return manifest


def _into_folder(folder: Path, part: Path) -> None:
    (part / RECORDS).rename(Place(part).database_file)
    Place(part).make_secret()
    if folder.is_dir():
        folder.rmdir()
    part.rename(folder)
    open_shop(folder, make=False)


def _into_server(folder: Path, part: Path) -> None:
    open_shop(folder)
    from gambrel.shop.copying import counts_in_file, counts_in_shop, fill_from_file

    there = {name: count for name, count in counts_in_shop().items() if count}
    if there:
        raise CannotDo([Finding("the database", f"{sum(there.values())} lines of records", "an empty database",
                                f"Name another one in ${DATABASE_VARIABLE}.")])  # fmt: skip
    fill_from_file(part / RECORDS)
    (part / PHOTOGRAPHS).rename(folder / PHOTOGRAPHS)
    if counts_in_shop() != counts_in_file(part / RECORDS):
        raise RuntimeError("the database holds other counts than the backup")


def _stop_if_newer(archive: Path, records: Path) -> None:
    """Records that a newer program changed cannot be read by this one."""
    from importlib import resources

    known = {file.name.removesuffix(".py")
             for file in resources.files("gambrel.shop.records.migrations").iterdir()}  # fmt: skip
    with closing(sqlite3.connect(records)) as database:
        asked = "SELECT name FROM django_migrations WHERE app = 'records'"
        newer = sorted(name for (name,) in database.execute(asked) if name not in known)
    if newer:
        raise CannotDo([Finding(str(archive), f"records of a newer version ({newer[-1]})", "no newer version",
                                "Install the version that made the backup.")])  # fmt: skip
