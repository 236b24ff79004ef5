"""A shop's backup: its records and photographs as one file, which is not called done before it was restored once."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import tempfile
import zipfile
from dataclasses import dataclass
from datetime import datetime
from importlib import metadata
from pathlib import Path
from typing import Any

from gambrel.measures import CannotDo, Finding, Findings

NO_ROOM_TO_WRITE = (errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOSPC, errno.EDQUOT)
FORMAT = 1
RECORDS, PHOTOGRAPHS, MANIFEST = "records.sqlite3", "photographs", "manifest.json"


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What was kept. `missing` are photographs that the records name and the folder has not."""

    path: Path
    counts: dict[str, int]
    photographs_count: int
    size_bytes: int
    missing: tuple[str, ...]


def back_up(photographs: Path, out: Path, *, at: datetime) -> BackedUp:
    """Records and photographs of the opened shop into `out`, or into a file named by the time when `out` is a folder.

    The records are copied first: a photograph is stored before its line, so every line's photograph is there.
    """
    path = out / f"gambrel-{at:%Y%m%dT%H%M%SZ}.zip" if out.is_dir() else out
    if path.exists():
        raise CannotDo([Finding(str(path), "a file that is there already", "a new file",
                                "A backup is written over nothing: name another file, or a folder.")])  # fmt: skip
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name[:40]}.{os.getpid()}.part")
    try:
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=".gambrel-backup-") as folder:
            made = _write(part, photographs, Path(folder), at)
            _prove(part, made, Path(folder))
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)
    return BackedUp(
        path, made["counts"], len(made["photographs"]), path.stat().st_size, tuple(made["missing"])
    )


def _write(part: Path, photographs: Path, folder: Path, at: datetime) -> dict[str, Any]:
    from gambrel.shop.copying import copy_to_file, counts_in_file
    from gambrel.shop.records.models import Photograph

    records = folder / RECORDS
    copy_to_file(records)
    made: dict[str, Any] = {
        "format": FORMAT,
        "made_at": at.isoformat(),
        "version": metadata.version("gambrel"),
        "counts": counts_in_file(records),
        "records_sha256": sha256_of(records),
        "photographs": {},
        "missing": [],
    }
    with zipfile.ZipFile(part, "x", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        archive.write(records, RECORDS)
        for name in Photograph.objects.order_by("pk").values_list("file", flat=True).iterator():
            file = photographs / name
            if not file.is_file():
                made["missing"].append(name)
                continue
            made["photographs"][name] = sha256_of(file)
            archive.write(file, f"{PHOTOGRAPHS}/{name}", zipfile.ZIP_STORED)  # they are compressed already
        archive.writestr(MANIFEST, json.dumps(made, indent=1))
    with part.open("rb+") as stream:
        os.fsync(stream.fileno())
    return made


def _prove(part: Path, made: dict[str, Any], folder: Path) -> None:
    """Restore it to a folder beside and compare; `CannotDo` when anything came back otherwise than it went in."""
    findings = Findings()
    restored = folder / "restored"
    manifest = unpack(part, restored, findings)
    findings.stop_if_any()
    if manifest != made:
        raise CannotDo([Finding(str(part), "a list that reads otherwise than it was written",
                                "the same list", "Check the disk, and make the backup again.")])  # fmt: skip


def unpack(archive_path: Path, folder: Path, findings: Findings) -> dict[str, Any]:
    """A backup's files into `folder`, each compared with its fingerprint, the records with their counts."""
    from gambrel.shop.copying import counts_in_file

    manifest: dict[str, Any] = {}
    try:
        with zipfile.ZipFile(archive_path) as archive:
            manifest = json.loads(archive.read(MANIFEST))
            if manifest["format"] > FORMAT:
                findings.add(str(archive_path), f"form {manifest['format']}, of a newer version", f"form {FORMAT}",
                             "Install the version that made it, or a newer one.")  # fmt: skip
                return manifest
            (folder / PHOTOGRAPHS).mkdir(parents=True)
            _take_out(archive, RECORDS, folder / RECORDS, manifest["records_sha256"], findings)
            for name, sha256 in manifest["photographs"].items():
                if Path(name).name != name:
                    findings.add(
                        name, "a name that leads out of its folder", "a plain name", "Do not use this file."
                    )
                    continue
                _take_out(archive, f"{PHOTOGRAPHS}/{name}", folder / PHOTOGRAPHS / name, sha256, findings)
    except (zipfile.BadZipFile, KeyError, TypeError, AttributeError, ValueError, EOFError, OSError) as error:
        if isinstance(error, OSError) and error.errno in NO_ROOM_TO_WRITE:
            raise  # the folder or the disk is in the way, and the backup may be as good as ever
        findings.add(str(archive_path), f"no whole backup ({error})", "a file made by gambrel backup",
                     "Take another backup.")  # fmt: skip
        return manifest
    if not findings and counts_in_file(folder / RECORDS) != manifest["counts"]:
        findings.add(str(archive_path), "records with other counts than its list says", "the same counts",
                     "Take another backup.")  # fmt: skip
    return manifest


def _take_out(archive: zipfile.ZipFile, name: str, file: Path, sha256: str, findings: Findings) -> None:
    with archive.open(name) as source, file.open("xb") as target:
        while piece := source.read(1 << 20):
            target.write(piece)
        target.flush()
        os.fsync(target.fileno())
    if sha256_of(file) != sha256:
        findings.add(name, "other content than when it was kept", "the same content", "Take another backup.")


def sha256_of(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
