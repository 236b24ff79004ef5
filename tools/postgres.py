"""A private PostgreSQL for the tests: `python tools/postgres.py COMMAND ...` runs a command with one at its side.

Its folder is new and its own, it listens on a socket there and nowhere else, and it is stopped and taken away
afterwards. The command finds its address in $GAMBREL_DATABASE. PostgreSQL refuses to run as root, so as root it
runs as the user that its package makes.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import sys
import tempfile
import uuid
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

USER = "postgres"
OPTIONS = "-c listen_addresses='' -c fsync=off -c full_page_writes=off -c max_connections=60"
"""No network; and no waiting for the disk, since nothing here outlives the tests."""


def binaries() -> Path | None:
    """The folder of PostgreSQL's programs: the newest of Debian's, or wherever the path leads."""
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if debian:
        return debian[-1].parent
    found = shutil.which("initdb")
    return Path(found).resolve().parent if found else None


def install() -> None:
    """Install PostgreSQL; raises where that is not possible."""
    if os.geteuid() != 0 or not shutil.which("apt-get"):
        raise OSError("only Debian's packages are known here, and they need root")
    subprocess.run(["apt-get", "-q", "update"], check=True, stdout=subprocess.DEVNULL)
    subprocess.run(["apt-get", "-q", "install", "-y", "--no-install-recommends", "postgresql"], check=True,
                   stdout=subprocess.DEVNULL, env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"})  # fmt: skip


@contextmanager
def cluster(programs: Path) -> Iterator[str]:
    """A cluster of its own, running; gives its address."""
    user = _user()
    folder = Path(tempfile.mkdtemp(prefix="gambrel-postgres-"))  # short: a socket's path is at most 107 bytes
    data = folder / "data"
    try:
        if user:
            shutil.chown(folder, user, user)
        _run(folder, user, str(programs / "initdb"), "-D", str(data), "-U", USER, "-A", "trust", "-E", "UTF8",
             "--no-sync", "--locale=C.UTF-8")  # fmt: skip
        control = (str(programs / "pg_ctl"), "-D", str(data), "-w", "-l", str(folder / "log"))
        _run(folder, user, *control, "-o", f"-k {folder} {OPTIONS}", "start")
        try:
            yield f"postgresql://{USER}@/postgres?host={folder}"
        finally:
            _run(folder, user, *control, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder)


def _run(folder: Path, user: str | None, *words: str) -> None:
    groups: list[str] | None = [] if user else None
    subprocess.run(
        words, check=True, stdout=subprocess.DEVNULL, cwd=folder, user=user, group=user, extra_groups=groups
    )


def new_database(address: str) -> str:
    """A new, empty database beside the one that `address` names; gives its address."""
    import psycopg

    before, after = address.split("/postgres?", 1)
    name = f"shop_{uuid.uuid4().hex}"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"'.encode())
    return f"{before}/{name}?{after}"


def _user() -> str | None:
    """Whom PostgreSQL runs as: nobody else, unless this is root."""
    if os.geteuid() != 0:
        return None
    pwd.getpwnam(USER)
    return USER


def main(command: Sequence[str]) -> int:
    programs = binaries()
    if programs is None:
        try:
            install()
        except (OSError, subprocess.CalledProcessError) as error:
            print(f"No PostgreSQL was found and it could not be installed ({error}). Install it: the shop's records "
                  "are tested on it too.", file=sys.stderr)  # fmt: skip
            return 1
        programs = binaries()
    if programs is None:
        print(
            "PostgreSQL was installed, but its programs are not where they are looked for.", file=sys.stderr
        )
        return 1
    with cluster(programs) as address:
        return subprocess.run(
            command, env={**os.environ, "GAMBREL_DATABASE": address}, check=False
        ).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
