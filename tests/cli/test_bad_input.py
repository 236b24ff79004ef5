"""Whatever a case file holds, a command answers: done, or every finding at once; never a traceback."""

from __future__ import annotations

import copy
import json
import random
import re
import tomllib
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import house
import pytest
from click.testing import CliRunner, Result

from gambrel.cli.main import COMMANDS, main

CASE_COMMANDS = ("breakdown", "grind", "hang", "plan", "price", "week")
MUTATIONS = 120
"""Mutations of each command's own example; enough to touch most fields, few enough to take a second."""


def write_toml(table: dict[str, Any]) -> str:
    """The least TOML that holds the table: everything inline after its key."""
    return "".join(f"{json.dumps(name)} = {_inline(value)}\n" for name, value in table.items())


def _inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(name)} = {_inline(item)}" for name, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_inline, value)) + "]"
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value)
    return json.dumps(value)


def example_of(name: str, folder: Path) -> dict[str, Any]:
    """The case file on the command's page of the guide (its other files are put into `folder`).

    `plan` writes its own example.
    """
    if name == "plan":
        text = CliRunner().invoke(main, ["plan", "--example", "2", "--days", "3", "--seed", "1"]).stdout
        return tomllib.loads(text)
    path = house.ROOT / "docs" / f"{name}.md"
    text = path.read_text("utf-8")
    files = dict(house.parse_page(path, text).files)
    files |= {
        file: body
        for file, _, body in re.findall(r"cat > (\S+) <<'(\w+)'\n(.*?)\n\2\n", text, flags=re.DOTALL)
    }
    for file, body in files.items():
        (folder / file).write_text(body, "utf-8")
    case = tomllib.loads(next(body for file, body in files.items() if file.endswith(".toml")))
    if "draws" in case:
        case["draws"] = 200
    return case


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every field of the case, tables and lists among them."""
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, inner in steps:
        yield (*path, step)
        yield from places(inner, (*path, step))


BAD = [
    *(0, -1, 350, 1e300, float("nan"), float("inf"), True, [], [1], ["a", {}], {}, {"a": {"b": 1}}),
    *("", "banana", "-5kg", "9000lb", "300in2", "0lb", "1e400kg", "12 lb 4 oz", "$", "-$3", "1/0in"),
    *("\x1b[31m", "Añejo", "x" * 400, date(2026, 3, 9)),
]


def mutated(case: dict[str, Any], draw: random.Random) -> dict[str, Any]:
    """One to three fields made wrong, taken out, given twice or added."""
    case = copy.deepcopy(case)
    for _ in range(draw.randint(1, 3)):
        path = draw.choice(list(places(case)) or [("empty",)])
        holder: Any = case
        for step in path[:-1]:
            holder = holder[step]
        how = draw.choice(["change", "change", "change", "take out", "twice", "add"])
        if how == "take out" and path[-1] != "empty":
            del holder[path[-1]]
        elif how == "twice" and isinstance(holder, list):
            holder.append(copy.deepcopy(holder[path[-1]]))
        elif how == "add" and isinstance(holder, dict):
            holder["nobody knows this"] = copy.deepcopy(draw.choice(BAD))
        else:
            holder[path[-1]] = copy.deepcopy(draw.choice(BAD))
    return case


def run(name: str, file: Path) -> Result:
    """The command on the file; a plan need not be searched to its end here."""
    hurry = {"plan": ["--gap", "0.1", "--seconds", "3"], "week": ["--seconds", "3"]}
    return CliRunner().invoke(main, [name, str(file), "--json", *hurry.get(name, [])])


def refusal_or_answer(answer: Result, said: str) -> None:
    """The contract of every command: exit status 0 or 1, and 1 with findings of four parts."""
    assert answer.exception is None or isinstance(answer.exception, SystemExit), (
        f"{said}\n{answer.exception!r}"
    )
    assert answer.exit_code in (0, 1), said
    assert "Traceback" not in answer.output
    if answer.exit_code == 1:
        findings = json.loads(answer.stdout)["findings"]
        assert findings, said
        assert all(set(finding) == {"where", "given", "wanted", "do"} for finding in findings)
        assert answer.stderr


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_an_example_made_wrong_is_answered(name: str, tmp_path: Path) -> None:
    example = example_of(name, tmp_path)
    draw = random.Random(name)
    file = tmp_path / "case.toml"
    refused = 0
    for _ in range(MUTATIONS):
        file.write_text(write_toml(mutated(example, draw)), "utf-8")
        answer = run(name, file)
        refusal_or_answer(answer, file.read_text("utf-8"))
        refused += answer.exit_code
    assert refused > MUTATIONS / 4


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_the_example_itself_is_done(name: str, tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_text(write_toml(example_of(name, tmp_path)), "utf-8")
    answer = run(name, file)
    assert answer.exit_code == 0, answer.output
    assert json.loads(answer.stdout)


@pytest.mark.parametrize("data", [b"", b"\n \n", b"\x00\xff\x00", b"\x89PNG\r\n\x1a\n\x00", b"hot = 806lb",
                                  b"hot = " + b"9" * 5000], ids=range(6))  # fmt: skip
@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_file_that_is_no_case(name: str, data: bytes, tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_bytes(data)
    answer = run(name, file)
    refusal_or_answer(answer, repr(data))
    assert answer.exit_code == 1


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_file_that_is_not_there_and_a_folder(name: str, tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        answer = run(name, path)
        refusal_or_answer(answer, str(path))
        assert answer.exit_code == 1


@pytest.mark.parametrize("mark", [b"\xef\xbb\xbf", b""], ids=["byte-order mark", "latin-1"])
@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_text_of_other_editors_is_read(name: str, mark: bytes, tmp_path: Path) -> None:
    text = write_toml(example_of(name, tmp_path)) + "# señal\n"
    file = tmp_path / "case.toml"
    file.write_bytes(mark + text.replace("\n", "\r\n").encode("utf-8" if mark else "latin-1"))
    answer = run(name, file)
    assert answer.exit_code == 0, answer.output


def test_every_command_that_reads_a_case_is_tried() -> None:
    others = {"grade", "demo", "card", "ribface", "serve", "backup", "restore"}
    assert set(CASE_COMMANDS) | others == set(COMMANDS)
