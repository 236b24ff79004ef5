"""Spanish of the shop's pages: `python tools/translations.py` compiles it and says what is missing.

Each folder of pages has its own list in locale/es/LC_MESSAGES; what stands outside the pages has shop/locale. A
sentence may also stand in the list of `base`, which every page shares. With --add, what is missing is written into
the lists, empty, to be filled in.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polib

SHOP = Path(__file__).parents[1] / "src" / "gambrel" / "shop"
PAGES = SHOP / "pages"
CALLS = ("_", "gettext", "gettext_lazy", "gettext_noop", "ngettext", "ngettext_lazy")
HEAD = {"Language": "es", "Content-Type": "text/plain; charset=UTF-8", "Content-Transfer-Encoding": "8bit",
        "Plural-Forms": "nplurals=2; plural=(n != 1);"}  # fmt: skip
_IN_TEMPLATE = re.compile(r"""\b(?:gettext|ngettext|_)\((u?r?(?:'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*"))""")
_PLACES = re.compile(r"%\((\w+)\)[sd]|\{(\w+)\}|%%")


def folders() -> list[Path]:
    """Every folder that has a list of its own; the shop itself, for what is outside the pages, comes last."""
    return [*(path for path in sorted(PAGES.iterdir()) if (path / "apps.py").is_file()), SHOP]


def list_of(folder: Path) -> Path:
    return folder / "locale" / "es" / "LC_MESSAGES" / "django.po"


def sentences(folder: Path) -> set[str]:
    """Every English sentence of a folder that is to be said in Spanish."""
    return {sentence for path in _files(folder) for sentence in _sentences_of(path)}


def _files(folder: Path) -> Iterator[Path]:
    for path in sorted((*folder.rglob("*.py"), *folder.rglob("*.html"))):
        if folder != SHOP or not path.is_relative_to(PAGES):
            yield path


def _sentences_of(path: Path) -> Iterator[str]:
    text = path.read_text("utf-8")
    if path.suffix == ".py":
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Call) and _called(node.func) in CALLS and node.args:
                yield from _said(node.args[0])
        return
    from django.utils.translation.template import templatize

    for match in _IN_TEMPLATE.finditer(templatize(text, origin=str(path))):
        yield ast.literal_eval(match[1])


def _called(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _said(argument: ast.expr) -> Iterator[str]:
    if isinstance(argument, ast.Constant) and isinstance(argument.value, str) and argument.value:
        yield argument.value


def read_lists() -> dict[Path, Any]:
    """The list of every folder that has one."""
    return {folder: polib.pofile(str(list_of(folder))) for folder in folders() if list_of(folder).is_file()}


def missing(lists: dict[Path, Any]) -> dict[Path, set[str]]:
    """Folder to the sentences that have no Spanish in its own list or in base's."""
    done = {folder: {entry.msgid for entry in found if entry.translated()} for folder, found in lists.items()}
    shared = done.get(PAGES / "base", set())
    every = {folder: sentences(folder) - done.get(folder, set()) - shared for folder in folders()}
    return {folder: found for folder, found in every.items() if found}


def problems(lists: dict[Path, Any]) -> list[str]:
    """What is wrong with the lists: missing, doubtful, left over, at odds, or with other places to fill in."""
    found = [
        f"{folder.name}: no Spanish for {one!r}"
        for folder, ones in missing(lists).items()
        for one in sorted(ones)
    ]
    kept: dict[str, tuple[str, str]] = {}
    for folder, entries in lists.items():
        used = sentences(folder) if folder.name != "base" else set()
        for entry in entries:
            if entry.fuzzy:
                found.append(f"{folder.name}: in doubt: {entry.msgid!r}")
            if used and entry.msgid not in used:
                found.append(f"{folder.name}: left over: {entry.msgid!r}")
            if entry.msgstr and places(entry.msgid) != places(entry.msgstr):
                found.append(f"{folder.name}: other places to fill in: {entry.msgid!r}")
            other = kept.setdefault(entry.msgid, (folder.name, entry.msgstr))
            if entry.msgstr and other[1] and other[1] != entry.msgstr:
                found.append(
                    f"{folder.name}: {entry.msgid!r} is {entry.msgstr!r}, but {other[1]!r} in {other[0]}"
                )
    return found


def places(text: str) -> set[str]:
    """What is filled into a sentence, by name."""
    return {match[1] or match[2] for match in _PLACES.finditer(text) if match[1] or match[2]}


def stale(lists: dict[Path, Any]) -> list[Path]:
    """Lists whose compiled form is not there or says something else."""
    found = []
    for folder, entries in lists.items():
        compiled = list_of(folder).with_suffix(".mo")
        said = (
            {entry.msgid: entry.msgstr for entry in polib.mofile(str(compiled))}
            if compiled.is_file()
            else None
        )
        if said != {entry.msgid: entry.msgstr for entry in entries if entry.translated()}:
            found.append(folder)
    return found


def compile_all(lists: dict[Path, Any]) -> None:
    for folder in stale(lists):
        lists[folder].save_as_mofile(str(list_of(folder).with_suffix(".mo")))


def add_missing(lists: dict[Path, Any]) -> None:
    for folder, ones in missing(lists).items():
        path = list_of(folder)
        path.parent.mkdir(parents=True, exist_ok=True)
        entries = lists.get(folder) or polib.POFile()
        entries.metadata = entries.metadata or HEAD
        there = {entry.msgid for entry in entries}
        entries.extend(polib.POEntry(msgid=one) for one in sorted(ones - there))
        entries.save(str(path))


def main() -> int:
    if "--add" in sys.argv:
        add_missing(read_lists())
    lists = read_lists()
    compile_all(lists)
    found = problems(lists)
    print("\n".join(found) or f"{sum(map(len, lists.values()))} sentences in Spanish, none missing")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
