"""What no file of the tree may hold, and what the locks must."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import house
import pytest

# Put together here so that this file does not hold what it looks for.
HOSTS = [".".join(parts) for parts in (("pypi", "org"), ("files", "pythonhosted", "org"), ("npmjs", "com"))]
MACHINE_PATHS = [
    f"/{folder}/" for folder in ("wo" + "rk", "ho" + "me", "ro" + "ot", "Us" + "ers", "t" + "mp")
]
TALK = ["as " + word for word in ("requested", "discussed", "instructed")] + [
    "you " + "asked",
    "the user " + "wants",
]


def text_files() -> list[Path]:
    return [path for path in house.our_files() if b"\x00" not in path.read_bytes()]


@pytest.mark.parametrize("words", [HOSTS, MACHINE_PATHS, TALK], ids=["hosts", "machine-paths", "talk"])
def test_no_file_names(words: list[str]) -> None:
    found = []
    for path in text_files():
        text = path.read_text("utf-8", errors="replace").lower()
        found += [f"{path.relative_to(house.ROOT)}: {word}" for word in words if word.lower() in text]
    assert found == []


def test_something_was_looked_at() -> None:
    names = {str(path.relative_to(house.ROOT)) for path in text_files()}
    assert {"README.md", "pyproject.toml", "locks/dev.txt", "src/gambrel/cli/main.py"} <= names


@pytest.mark.parametrize("name", ["runtime", "dev"])
def test_a_lock_pins_and_hashes_everything_and_names_no_host(name: str) -> None:
    text = (house.ROOT / "locks" / f"{name}.txt").read_text("utf-8")
    assert "://" not in text
    assert "--index-url" not in text
    assert "--find-links" not in text
    pinned = re.findall(r"^([a-z0-9-]+)==(\S+)", text, flags=re.MULTILINE)
    blocks = re.split(r"^(?=[a-z])", text, flags=re.MULTILINE)[1:]
    assert len(pinned) == len(blocks) > 5
    assert all("--hash=sha256:" in block for block in blocks)
    wanted = (house.ROOT / "locks" / f"{name}.in").read_text("utf-8").split()
    names = {
        re.split(r"[\[<>=]", line)[0]
        for line in wanted
        if not line.startswith("-") and not line.endswith(".in")
    }
    assert names <= dict(pinned).keys()


def test_both_locks_agree() -> None:
    """What is tested is what is used: the same version of everything that both hold."""
    runtime, dev = (
        dict(
            re.findall(
                r"^([a-z0-9-]+)==(\S+)", (house.ROOT / "locks" / name).read_text("utf-8"), re.MULTILINE
            )
        )
        for name in ("runtime.txt", "dev.txt")
    )
    assert runtime.items() <= dev.items()


CORE = (
    "measures",
    "standards",
    "optimize",
    "catalog",
    "hang",
    "breakdown",
    "grind",
    "plan",
    "price",
    "journey",
)
OUTSIDE = {"os", "pathlib", "socket", "subprocess", "shutil", "tempfile", "secrets"}


def core_files(name: str) -> list[Path]:
    """The files of a core folder, or the one file of that name."""
    one = house.SOURCE / f"{name}.py"
    return [one] if one.exists() else house.python_files(house.SOURCE / name)


def imports_of(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
    return found


@pytest.mark.parametrize("folder", CORE)
def test_a_core_folder_touches_no_file_clock_or_environment(folder: str) -> None:
    """The one exception keeps the solver's greeting off standard output, which needs the file descriptor."""
    touching = {
        str(path.relative_to(house.SOURCE)): sorted(imports_of(path) & OUTSIDE)
        for path in core_files(folder)
        if imports_of(path) & OUTSIDE
    }
    touching.pop("optimize/problem.py", None)
    assert touching == {}


@pytest.mark.parametrize(
    "call", ["date.today(", "datetime.now(", "default_rng()", "Random()", "random.random(", "time.time("]
)
def test_no_core_file_asks_for_the_day_or_a_seed_of_its_own(call: str) -> None:
    """A stopwatch for a time limit (`time.perf_counter`) is no clock: it says nothing about the day."""
    asking = [
        str(path.relative_to(house.SOURCE))
        for folder in CORE
        for path in core_files(folder)
        if call in path.read_text("utf-8")
    ]
    assert asking == []


def test_scipy_and_the_learning_library_are_for_tests_only() -> None:
    using = [
        path.name for path in house.python_files(house.SOURCE) if imports_of(path) & {"scipy", "sklearn"}
    ]
    assert using == []
