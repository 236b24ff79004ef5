"""Pages found by following links from the first page on, as a person would; used by tests and by the pictures."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

from django.urls import Resolver404, resolve

from gambrel.shop.access import PROGRAMS

_LINK = re.compile(r'<a\b[^>]*\bhref="([^"#]+)')


def reached(asking: Any, first: str = "/") -> Iterator[tuple[str, str]]:
    """Name of every page that links lead to and one address of it; a link that leads nowhere is a mistake.

    `asking` is what a driven browser asks with, signed in as whoever follows the links.
    """
    waiting, seen = [first], {""}
    while waiting:
        address = waiting.pop(0)
        name = name_of(address)
        if name in seen:
            continue
        seen.add(name)
        answer = asking.get(address)
        assert answer.status == 200, f"a link leads to {address}, which answers {answer.status}"
        if not is_page(answer):
            continue
        yield name, address
        links = [link.replace("&amp;", "&") for link in _LINK.findall(answer.text())]
        waiting += [link for link in links if link.startswith("/") and not link.startswith(PROGRAMS)]


def is_page(answer: Any) -> bool:
    """What takes a form only is reached by a button; what gives a file is no page."""
    return answer.status == 200 and "text/html" in answer.headers["content-type"]


def name_of(address: str) -> str:
    try:
        return resolve(urlsplit(address).path).url_name or ""
    except Resolver404:
        return ""


def route_of(address: str) -> str:
    """The address as the table of addresses writes it: what it names is left open."""
    return f"/{resolve(urlsplit(address).path).route}"
