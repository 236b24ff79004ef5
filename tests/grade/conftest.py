"""Running `gambrel grade` in this process, and writing a table for it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from gambrel.cli.main import main

HEADER = "kind,sex,hot_lb,fat_in,ribeye_in2,kph_pct,marbling,maturity"
GOOD = "grain-finished,steer,750,0.40,12.8,2.5,430,A"


@dataclass(frozen=True)
class Answer:
    status: int
    out: str
    err: str

    @property
    def value(self) -> Any:
        return json.loads(self.out)

    @property
    def lines(self) -> list[Any]:
        return [json.loads(line) for line in self.out.splitlines()]


@pytest.fixture
def grade():
    def run(*typed: str) -> Answer:
        result = CliRunner().invoke(main, ["grade", *typed])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    return run


@pytest.fixture
def carcass(grade):
    """Grade one steer; options given replace or are added to the usual ones, None takes one out."""

    def run(*flags: str, **changed: str | None) -> Answer:
        options = {
            "kind": "grain-finished",
            "sex": "steer",
            "hot": "750lb",
            "fat": "0.40in",
            "ribeye": "12.8in2",
            "kph": "2.5",
            "marbling": "430",
            "maturity": "A",
        } | changed
        typed = [
            part
            for name, value in options.items()
            if value is not None
            for part in (f"--{name.replace('_', '-')}", value)
        ]
        return grade(*typed, *flags)

    return run


@pytest.fixture
def table(grade, tmp_path):
    """Grade a table given as bytes or as rows below the usual header."""

    def run(
        *rows: str, data: bytes | None = None, header: str = HEADER, flags: tuple[str, ...] = ("--json",)
    ) -> Answer:
        path: Path = tmp_path / "table.csv"
        path.write_bytes(data if data is not None else "\n".join((header, *rows)).encode() + b"\n")
        return grade("--table", str(path), *flags)

    return run
