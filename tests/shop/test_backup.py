"""A backup holds all of a shop, is proved before it is called done, and comes back whole or not at all."""

from __future__ import annotations

import errno
import json
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from served import gambrel

from gambrel.measures import CannotDo, Findings
from gambrel.shop import backup

FACES = {"one.jpg": b"\xff\xd8 first " * 500, "two.jpg": b"\xff\xd8 second " * 500}

pytestmark = pytest.mark.own_file


def lines_of(file: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every line of every table of records."""
    with closing(sqlite3.connect(file)) as records:
        names = [row[0] for row in records.execute("SELECT name FROM sqlite_master WHERE name LIKE 'records!_%' "
                                                   "ESCAPE '!' AND type = 'table'")]  # fmt: skip
        return {name: records.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall() for name in names}


@pytest.fixture(scope="module")
def shop(prepared_shop: tuple[Path, Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the invented shop with two photographs in it."""
    folder = tmp_path_factory.mktemp("backed") / "shop"
    shutil.copytree(prepared_shop[0], folder)
    (folder / "photographs").mkdir(exist_ok=True)
    with closing(sqlite3.connect(folder / "shop.sqlite3")) as records, records:
        for number, (name, data) in enumerate(FACES.items()):
            (folder / "photographs" / name).write_bytes(data)
            records.execute(
                "INSERT INTO records_photograph (key, side_id, at, file, content_type, sha256, width_px, height_px) "
                "VALUES (?, (SELECT min(id) FROM records_side), '2026-03-09 12:00:00', ?, 'image/jpeg', 'x', 4, 3)",
                (f"{number:032x}", name),
            )
    return folder


@pytest.fixture(scope="module")
def kept(shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("kept") / "shop.zip"
    done = gambrel("backup", str(out), "--shop", str(shop), "--json")
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["file"] == str(out) and said["photographs"] >= 2 and said["missing"] == []
    assert said["lines"] == sum(map(len, lines_of(shop / "shop.sqlite3").values()))
    assert [path.name for path in out.parent.iterdir()] == ["shop.zip"]  # nothing is left beside it
    return out


def test_what_comes_back_is_what_was_kept(shop: Path, kept: Path, tmp_path: Path) -> None:
    done = gambrel("restore", str(kept), "--shop", str(tmp_path / "again"))
    assert done.returncode == 0 and "gambrel serve --shop" in done.stdout
    assert lines_of(tmp_path / "again" / "shop.sqlite3") == lines_of(shop / "shop.sqlite3")
    for name, data in FACES.items():
        assert (tmp_path / "again" / "photographs" / name).read_bytes() == data


def test_the_secret_stays_at_home(shop: Path, kept: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(kept) as archive:
        assert not any("secret" in name for name in archive.namelist())
    gambrel("restore", str(kept), "--shop", str(tmp_path / "again"))
    assert (tmp_path / "again" / "secret").read_text() != (shop / "secret").read_text()


def test_guards_stand_in_a_restored_shop(kept: Path, tmp_path: Path) -> None:
    gambrel("restore", str(kept), "--shop", str(tmp_path / "again"))
    with (
        closing(sqlite3.connect(tmp_path / "again" / "shop.sqlite3")) as records,
        pytest.raises(sqlite3.IntegrityError),
    ):
        records.execute("DELETE FROM records_weighing")


def test_nothing_is_written_over_a_shop_or_a_file(shop: Path, kept: Path) -> None:
    before = lines_of(shop / "shop.sqlite3")
    restored = gambrel("restore", str(kept), "--shop", str(shop))
    assert restored.returncode == 1 and "there already" in restored.stderr
    assert lines_of(shop / "shop.sqlite3") == before
    size = kept.stat().st_size
    again = gambrel("backup", str(kept), "--shop", str(shop))
    assert again.returncode == 1 and "there already" in again.stderr and kept.stat().st_size == size


def test_into_a_folder_the_file_is_named_by_the_time(shop: Path, tmp_path: Path) -> None:
    said = json.loads(gambrel("backup", str(tmp_path), "--shop", str(shop), "--json").stdout)
    (file,) = tmp_path.iterdir()
    assert said["file"] == str(file) and file.name.startswith("gambrel-20") and file.suffix == ".zip"


def test_a_photograph_that_is_gone_is_named_and_the_rest_is_kept(shop: Path, tmp_path: Path) -> None:
    copy = tmp_path / "shop"
    shutil.copytree(shop, copy)
    (copy / "photographs" / "two.jpg").unlink()
    done = gambrel("backup", str(tmp_path / "kept.zip"), "--shop", str(copy))
    assert done.returncode == 1 and "two.jpg" in done.stderr
    with zipfile.ZipFile(tmp_path / "kept.zip") as archive:
        assert "photographs/one.jpg" in archive.namelist()


def _flipped(kept: Path, damaged: Path) -> None:
    data = bytearray(kept.read_bytes())
    at = data.index(b"\xff\xd8 first")
    data[at + 40] ^= 1
    damaged.write_bytes(data)


def _cut(kept: Path, damaged: Path) -> None:
    damaged.write_bytes(kept.read_bytes()[:-3000])


def _letter(kept: Path, damaged: Path) -> None:
    damaged.write_text("Dear aunt")


def _rewritten(kept: Path, damaged: Path, change: Callable[[dict[str, Any]], None]) -> None:
    with zipfile.ZipFile(kept) as source, zipfile.ZipFile(damaged, "w") as target:
        manifest = json.loads(source.read("manifest.json"))
        change(manifest)
        for name in source.namelist():
            data = source.read(name)
            target.writestr(name, json.dumps(manifest) if name == "manifest.json" else data)


def _outward(kept: Path, damaged: Path) -> None:
    _rewritten(kept, damaged, lambda manifest: manifest["photographs"].update({"../../out.jpg": "0"}))


def _miscounted(kept: Path, damaged: Path) -> None:
    _rewritten(kept, damaged, lambda manifest: manifest["counts"].update(records_side=1))


def _newer(kept: Path, damaged: Path) -> None:
    _rewritten(kept, damaged, lambda manifest: manifest.update(format=99))


def _no_list(kept: Path, damaged: Path) -> None:
    _rewritten(kept, damaged, lambda manifest: manifest.clear())


@pytest.mark.parametrize("harm", [_flipped, _cut, _letter, _outward, _miscounted, _newer, _no_list])
def test_a_harmed_backup_makes_no_shop(
    kept: Path, tmp_path: Path, harm: Callable[[Path, Path], None]
) -> None:
    harm(kept, tmp_path / "harmed.zip")
    done = gambrel(
        "restore", str(tmp_path / "harmed.zip"), "--shop", str(tmp_path / "shops" / "again"), "--json"
    )
    assert done.returncode == 1 and json.loads(done.stdout)["findings"]
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == ["harmed.zip"]


def test_records_of_a_newer_program_are_refused(shop: Path, tmp_path: Path) -> None:
    copy = tmp_path / "shop"
    shutil.copytree(shop, copy)
    with closing(sqlite3.connect(copy / "shop.sqlite3")) as records, records:
        records.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('records', '9999_later', '2030-01-01')"
        )
    gambrel("backup", str(tmp_path / "kept.zip"), "--shop", str(copy))
    done = gambrel("restore", str(tmp_path / "kept.zip"), "--shop", str(tmp_path / "again"))
    assert done.returncode == 1 and "9999_later" in done.stderr and not (tmp_path / "again").exists()


def test_a_folder_without_a_shop_has_nothing_to_keep(tmp_path: Path) -> None:
    done = gambrel("backup", str(tmp_path / "kept.zip"), "--shop", str(tmp_path))
    assert done.returncode == 1 and "no shop in it" in done.stderr and not any(tmp_path.iterdir())


@pytest.mark.parametrize("number", [errno.EACCES, errno.ENOSPC, errno.EROFS], ids=os.strerror)
def test_a_disk_that_is_in_the_way_is_not_blamed_on_the_backup(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """Whoever restores after a loss must not believe that the backup is lost as well."""

    def refuses(*given: Any) -> None:
        raise OSError(number, os.strerror(number), str(tmp_path / "again"))

    monkeypatch.setattr(backup, "_take_out", refuses)
    findings = Findings()
    with pytest.raises(OSError, match=os.strerror(number)):
        backup.unpack(kept, tmp_path / "again", findings)
    assert not findings


def test_a_backup_whose_bytes_cannot_be_read_back_is(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*given: Any) -> None:
        raise OSError(errno.EIO, "Input/output error", str(kept))

    monkeypatch.setattr(backup, "_take_out", breaks)
    findings = Findings()
    backup.unpack(kept, tmp_path / "again", findings)
    assert "no whole backup" in f"{CannotDo(list(findings)).findings}"
