"""Every page keeps to the policy that it is sent with: nothing is written into it that a browser would refuse."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import page_times
import pytest
from django.test import Client

from gambrel.shop.records.models import Person
from gambrel.shop.safety import POLICY

NAMED_BY = {"img": "alt", "html": "lang"}
SELF_NAMED = ("hidden", "submit", "button")


class Watch(HTMLParser):
    """What a page must not have, and what it lacks: by element, in words."""

    def __init__(self) -> None:
        super().__init__()
        self.wrong: list[str] = []
        self.labels: set[str] = set()
        self.boxes: list[tuple[str, str, bool]] = []
        self.inside_label = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        self._policy(tag, said)
        if tag in NAMED_BY and NAMED_BY[tag] not in said:
            self.wrong.append(f"{tag} without {NAMED_BY[tag]}")
        if tag == "label":
            self.inside_label += 1
            self.labels.add(said.get("for", ""))
        if tag in ("input", "select", "textarea") and said.get("type") not in SELF_NAMED:
            named = bool(self.inside_label) or "aria-label" in said or "aria-labelledby" in said
            self.boxes.append((said.get("id", ""), said.get("name", ""), named))

    def handle_endtag(self, tag: str) -> None:
        if tag == "label":
            self.inside_label -= 1

    def _policy(self, tag: str, said: dict[str, str]) -> None:
        if tag == "style" or "style" in said:
            self.wrong.append(f"style written into {tag}")
        if tag == "script" and "src" not in said and said.get("type") != "application/json":
            self.wrong.append("script written into the page")
        self.wrong += [f"{name} on {tag}" for name in said if name.startswith("on")]
        for name in ("src", "href", "action"):
            if re.match(r"(https?:)?//|javascript:", said.get(name, "")):
                self.wrong.append(f"{tag} leads to {said[name]}")

    def found(self) -> list[str]:
        unnamed = [name for box, name, named in self.boxes if not named and box not in self.labels]
        return self.wrong + [f"no label for {name}" for name in unnamed]


def looked_at(html: str) -> list[str]:
    watch = Watch()
    watch.feed(html)
    return watch.found()


def _pages() -> Iterator[tuple[str, str]]:
    for name, path, roles in page_times.addresses():
        if not roles:
            continue
        role = next((role for role in ("owner", "cutter", "counter") if role in roles), "owner")
        client = Client(raise_request_exception=False)
        client.force_login(
            Person.objects.filter(role=role)[0], backend="django.contrib.auth.backends.ModelBackend"
        )
        answer: Any = client.get(path)
        page = page_times.body_of(answer)
        if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
            assert answer["Content-Security-Policy"] == POLICY, name
            yield name, page.decode()


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
def test_every_page_keeps_to_its_policy_and_names_its_boxes() -> None:
    found = {name: looked_at(html) for name, html in _pages()}
    assert len(found) > 35
    assert {name: said for name, said in found.items() if said} == {}


@pytest.mark.parametrize(
    ("html", "said"),
    [
        ('<p style="color:red">x</p>', "style written into p"),
        ("<style>p{}</style>", "style written into style"),
        ("<script>alert(1)</script>", "script written into the page"),
        ('<button onclick="x()">x</button>', "onclick on button"),
        (
            '<script src="https://elsewhere.example/x.js"></script>',
            "script leads to https://elsewhere.example/x.js",
        ),
        ('<a href="javascript:x()">x</a>', "a leads to javascript:x()"),
        ('<input name="weight">', "no label for weight"),
        ('<img src="/x.png">', "img without alt"),
    ],
)
def test_what_a_page_must_not_have_is_seen(html: str, said: str) -> None:
    assert looked_at(html) == [said]


@pytest.mark.parametrize(
    "html",
    [
        '<label for="a">Weight</label><input id="a" name="weight">',
        "<label>Weight <input name='weight'></label>",
        '<input type="hidden" name="key">',
        '<script src="/static/base/base.js" defer></script>',
        '<script type="application/json" id="x">{}</script>',
    ],
)
def test_what_a_page_may_have_is_let_go(html: str) -> None:
    assert looked_at(html) == []


def test_the_policy_lets_nothing_in_from_outside() -> None:
    assert POLICY.startswith("default-src 'none'")
    for word in ("unsafe", "http:", "https:", "*"):
        assert word not in POLICY
