"""The guide's own examples as case files, and the command line run in this process."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import house
import pytest
from click.testing import CliRunner, Result

from gambrel.cli.main import main

STEER = (
    "--kind",
    "grain-finished",
    "--sex",
    "steer",
    "--hot",
    "750lb",
    "--fat",
    "0.40in",
    "--ribeye",
    "12.8in2",
)


def run_gambrel(*words: str) -> Result:
    """The command with its exit status; an exception of ours is raised again."""
    answer = CliRunner().invoke(main, list(words), prog_name="gambrel")
    if answer.exception is not None and not isinstance(answer.exception, SystemExit):
        raise answer.exception
    return answer


def _files_of_page(name: str) -> dict[str, str]:
    path = house.ROOT / "docs" / f"{name}.md"
    text = path.read_text("utf-8")
    files = dict(house.parse_page(path, text).files)
    typed = re.findall(r"cat > (\S+) <<'(\w+)'\n(.*?)\n\2\n", text, flags=re.DOTALL)
    return files | {file: body + "\n" for file, _, body in typed}


@pytest.fixture(scope="session")
def examples(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Command to its case file, as on its page of the guide; small weeks for the plan."""
    cases: dict[str, Path] = {}
    for name in ("breakdown", "grind", "hang", "price", "week"):
        folder = tmp_path_factory.mktemp(name)
        for file, body in _files_of_page(name).items():
            (folder / file).write_text(body.replace("draws = 4000", "draws = 400"), "utf-8")
            if file.endswith(".toml"):
                cases.setdefault(name, folder / file)
    cases["plan"] = tmp_path_factory.mktemp("plan") / "week.toml"
    cases["plan"].write_text(run_gambrel("plan", "--example", "2", "--days", "3").stdout, "utf-8")
    return cases


@pytest.fixture(scope="session")
def usual(examples: dict[str, Path]) -> dict[str, tuple[str, ...]]:
    """Command to the words that do its job once."""
    hurry = {"plan": ("--gap", "0.2", "--seconds", "5"), "week": ("--seconds", "5")}
    cases = {name: (name, str(path), *hurry.get(name, ())) for name, path in examples.items()}
    return cases | {"grade": ("grade", *STEER, "--marbling", "430", "--maturity", "A")}


@pytest.fixture(scope="session")
def said(usual: dict[str, tuple[str, ...]]) -> dict[str, Result]:
    """What each command answers a person."""
    return {name: run_gambrel(*words) for name, words in usual.items()}


@pytest.fixture(scope="session")
def told(usual: dict[str, tuple[str, ...]]) -> dict[str, Result]:
    """What each command answers a program."""
    return {name: run_gambrel(*words, "--json") for name, words in usual.items()}


@pytest.fixture
def gambrel() -> Callable[..., Result]:
    return run_gambrel
