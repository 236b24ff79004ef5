"""The tree and the guide as values, for the tests that hold the house rules (tests/docs)."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "gambrel"
TESTS = ROOT / "tests"
PAGES = [
    ROOT / "README.md",
    *sorted((ROOT / "docs").glob("*.md")),
    *sorted((ROOT / "docs" / "shop").glob("*.md")),
]
OUR_FOLDERS = ("src", "tests", "docs", "bench", "tools", "locks", ".ci")

_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_SAVED = re.compile(r"\[[^\]]+\]\((gallery/[\w-]+\.jpg)\) as `[\w-]+\.jpg`")
_NAMED = re.compile(r"`([\w.-]+\.(?:toml|csv))`:\s*\Z")


@dataclass(frozen=True)
class Page:
    """A page of the guide: its files (name to text), pictures the reader is told to save, and its shell blocks."""

    path: Path
    files: dict[str, str] = field(default_factory=dict)
    shells: list[str] = field(default_factory=list)
    pictures: list[str] = field(default_factory=list)


def parse_page(path: Path, text: str) -> Page:
    """Fenced blocks of a page. One that follows a line ending in "`name.toml`:" is a file of that name."""
    page = Page(path, pictures=_SAVED.findall(text))
    for block in _FENCE.finditer(text):
        language, body = block.groups()
        named = _NAMED.search(text[: block.start()])
        if named:
            page.files[named[1]] = body
        elif language in ("sh", "shell", "bash"):
            page.shells.append(body)
    return page


def commands_of(shell: str) -> list[str]:
    """The `gambrel` commands of a shell block; a line that ends in a backslash goes on."""
    lines = shell.replace("\\\n", " ").splitlines()
    return [line.strip() for line in lines if line.strip().startswith("gambrel")]


def python_files(folder: Path) -> list[Path]:
    """Files that a person writes; Django writes the migrations."""
    return sorted(
        path for path in folder.rglob("*.py") if not {"__pycache__", "migrations"} & set(path.parts)
    )


def functions(path: Path) -> Iterator[ast.FunctionDef]:
    """Every function of a file, methods and functions within functions among them."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef):
            yield node


def our_files() -> list[Path]:
    """Every file of the project, those at the root among them; not what tools leave behind."""
    found = [path for path in ROOT.iterdir() if path.is_file() and path.name != ".git"]
    for folder in OUR_FOLDERS:
        found += [path for path in (ROOT / folder).rglob("*") if path.is_file()]
    return sorted(path for path in found if "__pycache__" not in path.parts)


@dataclass(frozen=True)
class NumberName:
    """A public place that takes or holds a number: where it is, and what it is called."""

    where: str
    name: str


_NUMBERS = {"float", "int", "float | None", "int | None"}


def public_numbers() -> list[NumberName]:
    """Parameters of public functions and fields of public classes whose type is one number.

    Drawings are left out: there every length is in points of the sheet.
    """
    found: list[NumberName] = []
    for path in python_files(SOURCE):
        place = path.relative_to(SOURCE)
        if place.parts[:2] == ("files", "drawing"):
            continue
        for node in _public(ast.parse(path.read_text("utf-8")).body):
            found += [NumberName(f"{place}, {node.name}", name) for name, note in _typed_names(node)
                      if note is not None and ast.unparse(note) in _NUMBERS]  # fmt: skip
    return found


def _public(body: list[ast.stmt]) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    """Public functions and classes of a module, and the methods of those classes."""
    for node in body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from _public(node.body)


def _typed_names(node: ast.FunctionDef | ast.ClassDef) -> Iterator[tuple[str, ast.expr | None]]:
    if isinstance(node, ast.FunctionDef):
        for argument in [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]:
            yield argument.arg, argument.annotation
        return
    for line in node.body:
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name):
            yield line.target.id, line.annotation


def words_of(heading: str) -> set[str]:
    """The names in backquotes in the first column of the tables below `heading` of docs/words.md."""
    text = (ROOT / "docs" / "words.md").read_text("utf-8")
    section = re.split(r"^## ", text.split(f"## {heading}\n", 1)[1], maxsplit=1, flags=re.MULTILINE)[0]
    first_cells = [line.split("|")[1] for line in section.splitlines() if line.startswith("|")]
    return {name.lstrip("_") for cell in first_cells for name in re.findall(r"`(\w+)`", cell)}
