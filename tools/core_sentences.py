"""The sentences that the core says and the pages show: read from the code, so that none is left without its Spanish.

`python tools/core_sentences.py` says what is missing; with --add it is written into the lists, empty, to be filled in.
The core knows nothing of languages; its English is looked up by `gambrel.shop.core_words`. A sentence is written as it
stands in the code with its figures taken out, "{1} kg is more than {2}"; the lists are in `shop/core_words_es`, one for
each folder of the core.
"""

from __future__ import annotations

import ast
import json
import re
import sys
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

from gambrel.shop.names import spanish_names

SOURCE = Path(__file__).parents[1] / "src"
LISTS = SOURCE / "gambrel" / "shop" / "core_words_es"
FROM = ("gambrel.shop.pages", "gambrel.shop.records", "gambrel.shop.solving")
"""What the pages show is said by what these import, and by themselves."""
SAYING = ("Finding", "NotAQuantity", "wrong", "Refusal", "append", "label", "wrapped", "shortened",
          "picture", "strip", "paragraph", "Head", "RecallPart", "Binding", "rule",
          "record", "LabelSize", "_roll", "spoken", "Promise")  # fmt: skip
"""Calls whose words a person reads; and `add` with the four words of a finding."""
NO_SENTENCES = {"name", "findings", "self", "anchor"}
"""Arguments that hold no sentence, whatever they are put into."""
TABLES = {
    "gambrel.ribface.refuse": ("Reason",),
    "gambrel.files.sheets.cautions": ("CUTTING", "FOOT", "SHORT"),
    "gambrel.files.sheets.grinding_record": ("facts", "notes", "KEEP"),
    "gambrel.files.sheets.share_invoice": ("facts", "columns", "rows"),
    "gambrel.grind.rules": (
        "species_are_kept_apart",
        "inspection_is_kept_apart",
        "each_owner_gets_his_own",
        "added_fat_only_where_the_name_allows",
        "a_named_primal_holds_only_itself",
    ),
    "gambrel.files.shop_sheets": ("facts", "notes", "_REGION_NAMES", "_PART_OF", "_GROUPS", "_bid_words"),
    "gambrel.files.drawing.yields": ("LOOKS",),
    "gambrel.plan.questions.week_changes": (
        *(
            "_animal",
            "_pins",
            "_of_order",
            "_of_share",
            "_stock",
            "_of_counter",
            "_hours",
            "_rail",
            "_metres",
        ),
        *("_days", "_money"),
    ),
    "gambrel.shop.records.selectors.forecast": ("facts",),
    "gambrel.shop.records.selectors.prices": ("edition_said",),
    "gambrel.shop.records.yields_said": ("yields_said",),
}
"""Names whose every text is said, by their module."""
KEYS_SAID = ("gambrel.plan.questions.week_changes",)
"""Modules whose tables are said with their keys, which elsewhere are names for programs."""
_PLACE = re.compile(r"\{\d+\}")
_NO_WORD = re.compile(r"\b(kg|lb|mm|cm|cm2|in|in2|pt|px|min|CFR|JPEG|PNG|utf-8)\b")
_IDENTIFIER = re.compile(r"[a-z]+(_[a-z0-9]+)+|--[a-z]+|[A-Z]{4}|(roll|letter)-\w+")
_TYPST = re.compile(r'said\("([^"]+)"\)')


@cache
def modules() -> dict[str, Path]:
    """Every module of ours by its dotted name."""
    found = {}
    for path in SOURCE.rglob("*.py"):
        name = ".".join(path.relative_to(SOURCE).with_suffix("").parts)
        found[name.removesuffix(".__init__")] = path
    return found


@cache
def shown() -> dict[str, Path]:
    """The modules that the pages reach, without the pages' own: those speak through their lists."""
    every, waiting, seen = modules(), [name for name in modules() if name.startswith(FROM)], set()
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += [one for one in _imported(every[name]) if one in every]
    return {name: every[name] for name in sorted(seen) if not name.startswith("gambrel.shop.pages")}


def _imported(path: Path) -> Iterator[str]:
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield from (node.module, *(f"{node.module}.{one.name}" for one in node.names))


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


@cache
def sentences() -> dict[str, str]:
    """Every sentence that a page may show, and the module that says it."""
    found: dict[str, str] = {}
    for name, path in shown().items():
        for one in spoken(_tree(path), TABLES.get(name, ()), with_keys=name in KEYS_SAID):
            found.setdefault(one, name)
    found |= dict.fromkeys(in_data(), "gambrel.sell.rules") | dict.fromkeys(
        in_templates(), "gambrel.files.sheets"
    )
    return found


def in_data() -> Iterator[str]:
    """What the rules of labels say, and where they stand."""
    rules = tomllib.loads((SOURCE / "gambrel" / "sell" / "data" / "rules.toml").read_text("utf-8"))
    return (rule[what] for rule in rules["rule"] for what in ("says", "citation") if has_words(rule[what]))


def spoken(tree: ast.Module, tables: Iterable[str] = (), *, with_keys: bool = False) -> Iterator[str]:
    """The sentences of a module: what stands in the calls that say something, its figures taken out.

    A function that hands what it is given to such a call says it too. `tables` are names whose every text is said.
    """
    reader, passed = _Reader(tree, with_keys), dict[str, set[str]]()
    while True:
        told = list(_told(tree, passed))
        more = _handed_on(tree, told)
        if more == passed:
            break
        passed = more
    for argument in (*told, *(one for name in tables for one in reader.named.get(name, ()))):
        yield from filter(has_words, reader.texts(argument, frozenset()))


def _told(tree: ast.Module, passed: Mapping[str, set[str]]) -> Iterator[ast.expr]:
    """What is put into calls that say something, and into those that hand it on to one."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = _name(node.func)
        if name in SAYING or (name == "add" and len(node.args) == 4):
            yield from (*node.args, *(one.value for one in node.keywords if one.arg not in NO_SENTENCES))
        elif name in passed:
            function = next(one for one in _functions(tree) if one.name == name)
            names = [one.arg for one in function.args.args if one.arg != "self"]
            given: dict[str, ast.expr] = dict(zip(names, node.args, strict=False))
            given |= {one.arg: one.value for one in node.keywords if one.arg}
            yield from (value for one, value in given.items() if one in passed[name])


def _handed_on(tree: ast.Module, told: Iterable[ast.expr]) -> dict[str, set[str]]:
    """Functions with the arguments that they put into what is told."""
    used = {id(one) for argument in told for one in ast.walk(argument)}
    found: dict[str, set[str]] = {}
    for function in _functions(tree):
        names = {one.arg for one in (*function.args.args, *function.args.kwonlyargs)} - NO_SENTENCES
        given = {one.id for one in ast.walk(function) if isinstance(one, ast.Name) and id(one) in used}
        if names & given:
            found[function.name] = names & given
    return found


def _functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    return (one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef))


def has_words(sentence: str) -> bool:
    """Whether there is anything to put into Spanish: figures and units are the same."""
    own = _NO_WORD.sub("", _PLACE.sub("", sentence))
    return not _IDENTIFIER.fullmatch(sentence) and bool(re.search(r"[A-Za-z]{2}", own))


def _name(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


class _Reader:
    """Finds the texts that an expression may come to, following names and functions of the same module."""

    def __init__(self, tree: ast.Module, with_keys: bool) -> None:
        self.with_keys = with_keys
        self.named: dict[str, list[ast.expr]] = {}
        for node in ast.walk(tree):
            if isinstance(node, ast.Assign):
                for target in node.targets:
                    if isinstance(target, ast.Name):
                        self.named.setdefault(target.id, []).append(node.value)
                    elif isinstance(target, ast.Subscript) and isinstance(target.value, ast.Name):
                        self.named.setdefault(target.value.id, []).extend(
                            self._entry(target.slice, node.value)
                        )
            elif isinstance(node, (ast.AnnAssign, ast.AugAssign)):
                if isinstance(node.target, ast.Name) and node.value:
                    self.named.setdefault(node.target.id, []).append(node.value)
            elif isinstance(node, ast.ClassDef):
                given = [one.value for one in node.body if isinstance(one, ast.Assign)]
                self.named.setdefault(node.name, []).extend(given)
            elif isinstance(node, (ast.For, ast.comprehension)):
                for part in ast.walk(node.target):
                    if isinstance(part, ast.Name):
                        self.named.setdefault(part.id, []).append(node.iter)
            elif isinstance(node, ast.FunctionDef):
                gives = (ast.Return, ast.Yield, ast.YieldFrom)
                given = [one.value for one in ast.walk(node) if isinstance(one, gives) and one.value]
                self.named.setdefault(node.name, []).extend(given)

    def _entry(self, key: ast.expr, value: ast.expr) -> tuple[ast.expr, ...]:
        return (key, value) if self.with_keys else (value,)

    def texts(self, node: ast.expr, seen: frozenset[str]) -> Iterator[str]:
        if isinstance(node, ast.Constant):
            if isinstance(node.value, str):
                yield node.value
        elif isinstance(node, ast.JoinedStr):
            yield template_of(node)
            for part in node.values:
                if isinstance(part, ast.FormattedValue):
                    yield from self.texts(part.value, seen)
        else:
            followed = seen | {node.id} if isinstance(node, ast.Name) else seen
            for part in self._parts(node, seen):
                yield from self.texts(part, followed)

    def _parts(self, node: ast.expr, seen: frozenset[str]) -> Iterable[ast.expr]:
        """What an expression that is no text itself is put together from."""
        if isinstance(node, ast.IfExp):
            return (node.body, node.orelse)
        if isinstance(node, ast.BoolOp):
            return node.values
        if isinstance(node, ast.BinOp):
            return (node.left, node.right)
        if isinstance(node, ast.Dict):
            keys = filter(None, node.keys) if self.with_keys else ()
            return (*keys, *node.values)
        if isinstance(node, ast.DictComp):
            return self._entry(node.key, node.value)
        if isinstance(node, (ast.Tuple, ast.List, ast.Set)):
            return node.elts
        if isinstance(node, (ast.GeneratorExp, ast.ListComp)):
            return (node.elt,)
        if isinstance(node, (ast.Starred, ast.Subscript)):
            return (node.value,)
        if isinstance(node, ast.Name):
            return () if node.id in seen else self.named.get(node.id, ())
        if isinstance(node, ast.Call):
            if _name(node.func) in ("join", "str", "map", "capitalize"):
                return node.args
            return (node.func,) if isinstance(node.func, ast.Name) else ()
        return ()


def template_of(node: ast.JoinedStr) -> str:
    """The sentence with its places numbered: "{1} kg is more than {2}"."""
    written, count = "", 0
    for part in node.values:
        if isinstance(part, ast.Constant):
            written += str(part.value)
        else:
            count += 1
            written += f"{{{count}}}"
    return written


@cache
def constants() -> set[str]:
    """Every text of the modules that are shown and of the sheets' templates, said or not."""
    found = set()
    for path in shown().values():
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                found.add(template_of(node))
    return found | set(in_templates()) | set(in_data())


def in_templates() -> Iterator[str]:
    """What the templates of the sheets say."""
    for path in sorted((SOURCE / "gambrel" / "files" / "sheets" / "templates").glob("*.typ")):
        yield from _TYPST.findall(path.read_text("utf-8"))


def _says_much(sentence: str) -> bool:
    return bool(_PLACE.search(sentence)) and len(_PLACE.sub("", sentence)) > 8


def _form(sentence: str) -> str:
    return ".+?".join(map(re.escape, _PLACE.split(sentence)))


def spanish() -> dict[str, str]:
    """English to Spanish, of every list; a sentence that stands in two lists is a mistake."""
    found: dict[str, str] = {}
    for path in sorted(LISTS.glob("*.toml")):
        for english, said in tomllib.loads(path.read_text("utf-8")).items():
            if english in found:
                raise ValueError(f"{path.name}: {english!r} stands in two lists")
            found[english] = said
    return found


def problems(lists: dict[str, str]) -> list[str]:
    """Sentences without Spanish, Spanish of sentences that nobody says, and Spanish with other places to fill in."""
    known = spanish_names()
    found = [
        f"{where}: no Spanish for {one!r}"
        for one, where in sentences().items()
        if not lists.get(one) and (one in lists or one not in known)
    ]
    every = {one.strip() for one in constants()}
    put_together = re.compile("|".join(map(_form, filter(_says_much, every))), re.DOTALL)
    for english, spanish_one in lists.items():
        if english.strip() not in every and not put_together.fullmatch(english):
            found.append(f"core_words_es: left over: {english!r}")
        if sorted(_PLACE.findall(english)) != sorted(set(_PLACE.findall(spanish_one))):
            found.append(f"core_words_es: other places to fill in: {english!r}")
    return found


def list_of(module: str) -> Path:
    """The list of the folder that says it; drawings and sheets have their own."""
    parts = module.split(".")[1:]
    apart = parts[:2] in (["shop", "records"], ["files", "drawing"], ["files", "sheets"])
    return LISTS / f"{parts[1] if apart else parts[0]}.toml"


def add_missing() -> None:
    done = spanish()
    for sentence, module in sentences().items():
        if sentence not in done and sentence not in spanish_names():
            with list_of(module).open("a", encoding="utf-8") as file:
                file.write(f'{json.dumps(sentence, ensure_ascii=False)} = ""\n')


def main() -> int:
    if "--add" in sys.argv:
        add_missing()
    lists = spanish()
    found = problems(lists)
    print("\n".join(found) or f"{len(lists)} sentences of the core in Spanish, none missing")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
