"""A real server of the shop for tests and measurements: started on a folder, asked until it is told to end."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

COMMAND = (sys.executable, "-m", "gambrel.cli.main")
FOLDER, DATABASE = "GAMBREL_SHOP", "GAMBREL_DATABASE"


@dataclass(frozen=True)
class ServedShop:
    """Where the shop answers, its folder, the process that answers, and who may sign in."""

    address: str
    folder: Path
    process: subprocess.Popen[str] = field(repr=False)
    sign_ins: Sequence[dict[str, str]] = field(repr=False)

    @property
    def port(self) -> int:
        return int(self.address.rstrip("/").rsplit(":", 1)[1])

    def who(self, role: str) -> dict[str, str]:
        """Name and password of the person with this role."""
        return next(one for one in self.sign_ins if one["role"] == role)

    def sign_in(self, page: Any, role: str) -> None:
        """Sign in on a page of a driven browser, through the form as a person does."""
        who = self.who(role)
        page.goto(f"{self.address}sign-in/")
        page.fill("input[autocomplete=username]", who["name"])
        page.fill("input[type=password]", who["password"])
        page.click("main form button[type=submit]")
        page.wait_for_url(lambda url: "sign-in" not in url)


def begin_boneless(page: Any, typed: str) -> None:
    """On the page that takes a side off its rail: cut boneless, this weight, and a yes to any doubt."""
    page.select_option("#id_style", "boneless")
    page.fill("#id_typed", typed)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    if "begin" in page.url:
        page.click("button[name=sure]")
    page.wait_for_selector("#weigh")
    page.wait_for_load_state("domcontentloaded")  # its script listens from then on


def environment(database: str | None) -> dict[str, str]:
    """This process's environment with the records in their folder's own file, or in `database`."""
    plain = {name: value for name, value in os.environ.items() if name not in (FOLDER, DATABASE)}
    return plain | ({DATABASE: database} if database else {})


def gambrel(*words: str, database: str | None = None) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own; a traceback is never an answer."""
    done = subprocess.run([*COMMAND, *words], capture_output=True, text=True, timeout=300, check=False,
                          env=environment(database))  # fmt: skip
    if "Traceback" in done.stderr:
        raise AssertionError(done.stderr)
    return done


def start(
    folder: Path, sign_ins: Sequence[dict[str, str]] = (), *, port: int = 0, database: str | None = None
) -> ServedShop:
    """`gambrel serve` on this folder, answering; its complaints go to `server.log` beside the folder."""
    log = (folder.parent / "server.log").open("a")
    process = subprocess.Popen(
        [*COMMAND, "serve", "--json", "--shop", str(folder), "--port", str(port)],
        stdout=subprocess.PIPE, stderr=log, text=True, env=environment(database),
    )  # fmt: skip
    log.close()
    if process.stdout is None:
        raise AssertionError("standard output is a pipe")
    line = process.stdout.readline()
    if not line:
        process.wait()
        process.stdout.close()
        raise RuntimeError((folder.parent / "server.log").read_text())
    return ServedShop(json.loads(line)["address"], folder, process, sign_ins)


def stop(served: ServedShop) -> None:
    served.process.terminate()
    served.process.wait(timeout=30)
    if served.process.stdout is not None:
        served.process.stdout.close()


@contextmanager
def serving(
    folder: Path, sign_ins: Sequence[dict[str, str]] = (), *, database: str | None = None
) -> Iterator[ServedShop]:
    served = start(folder, sign_ins, database=database)
    try:
        yield served
    finally:
        stop(served)
