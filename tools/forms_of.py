"""The forms of a page as a program sees them: where each is sent and which fields it has."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin

HIDDEN_KINDS = ("hidden", "submit", "button", "image", "reset")


@dataclass
class Form:
    """`fields` is name to what the page put there; `free` are the names a person fills in; `files` take a file."""

    action: str
    method: str = "get"
    fields: dict[str, str] = field(default_factory=dict)
    free: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)


class _Reader(HTMLParser):
    def __init__(self, path: str) -> None:
        super().__init__()
        self.path = path
        self.forms: list[Form] = []
        self._open: Form | None = None
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        name = said.get("name", "")
        if tag == "form":
            action = urljoin(self.path, said.get("action", "") or self.path)
            self._open = Form(action, said.get("method", "get").lower())
            self.forms.append(self._open)
        elif self._open is None or not (name or tag == "option"):
            return
        elif tag == "input" and said.get("type") == "file":
            self._open.files.append(name)
        elif (tag == "input" and said.get("type") in HIDDEN_KINDS) or tag == "button":
            self._open.fields[name] = said.get("value", "")
        elif tag in ("input", "textarea", "select"):
            self._open.free.append(name)
            self._open.fields.setdefault(name, said.get("value", ""))
            self._select = name if tag == "select" else ""
        elif (
            tag == "option"
            and self._select
            and ("selected" in said or not self._open.fields.get(self._select))
        ):
            self._open.fields[self._select] = said.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None


def forms_of(path: str, page: str) -> list[Form]:
    reader = _Reader(path)
    reader.feed(page)
    return reader.forms
