"""What a phone wants to know to put the shop on its first screen, and what it says without a network."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse
from PIL import Image

from gambrel.shop.records.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def test_the_manifest_names_the_shop_and_its_icons(visitor_client: Client) -> None:
    answer = visitor_client.get(reverse("manifest"))
    described: dict[str, Any] = json.loads(answer.content)
    assert answer["Content-Type"] == "application/manifest+json"
    assert (described["name"], described["display"]) == ("Cottonwood Bend", "standalone")
    for icon in described["icons"]:
        path = finders.find(icon["src"].removeprefix("/static/"))
        assert path, icon
        if icon["type"] == "image/png":
            with Image.open(str(path)) as picture:
                assert f"{picture.width}x{picture.height}" == icon["sizes"]


def test_the_worker_keeps_the_pages_of_the_work_and_no_other(visitor_client: Client) -> None:
    """What it does with them is tested in a browser with its network cut."""
    script = visitor_client.get(reverse("worker"))
    text = script.content.decode()
    assert script["Content-Type"].startswith("text/javascript")
    assert f'PAGE = "{reverse("offline")}"' in text and f'SIGN_OUT = "{reverse("sign_out")}"' in text
    (work,) = re.findall(r"WORK = /(.+?)/,", text)
    kept = re.compile(work.replace(r"\/", "/"))
    assert all(kept.match(reverse(name, args=args)) for name, args in (
        ("block", []), ("cutting", [3]), ("grind", []), ("batch", [7])))  # fmt: skip
    assert not any(kept.match(reverse(name, args=args)) for name, args in (
        ("books", []), ("people", []), ("prices", []), ("finish_cutting", [3]), ("close_batch", [7])))  # fmt: skip


def test_the_offline_page_wants_nothing_that_is_not_kept_with_it(visitor_client: Client) -> None:
    text = visitor_client.get(reverse("offline")).content.decode()
    assert "cannot be reached" in text and "<form" not in text
    wanted = re.findall(r'(?:src|href)="([^"]+)"', text)
    assert wanted
    worker = visitor_client.get(reverse("worker")).content.decode()
    assert all(f'"{address}"' in worker for address in wanted), wanted


@pytest.mark.parametrize(
    ("name", "wanted"), [("rail", 'aria-current="page"'), ("preferences", "Skip to the content")]
)
def test_every_page_has_its_frame(owner_client: Client, name: str, wanted: str) -> None:
    text = owner_client.get(reverse(name)).content.decode()
    assert wanted in text and "licensed grader" in text
    for written_in in ("<style", "style=", "onclick", "javascript:"):
        assert written_in not in text, "the policy forbids it"


@pytest.mark.parametrize(
    ("client_name", "shown", "hidden"),
    [
        ("cutter_client", ("Rail", "Block", "Plan"), ("Books", "Bid", "People")),
        ("counter_client", ("Rail", "Prices", "Orders"), ("Block", "Books", "People")),
        ("visitor_client", (), ("Rail", "Prices", "Side by side")),
    ],
)
def test_steps_are_those_of_the_role(
    request: pytest.FixtureRequest, client_name: str, shown: tuple[str, ...], hidden: tuple[str, ...]
) -> None:
    client = request.getfixturevalue(client_name)
    Person.objects.update(language="en")
    text = client.get(reverse("preferences")).content.decode()
    assert [name for name in shown if f">{name}</a>" not in text] == []
    assert [name for name in hidden if f">{name}</a>" in text] == []


def test_an_address_that_leads_nowhere_says_so(owner_client: Client) -> None:
    answer = owner_client.get("/nothing-here/")
    assert answer.status_code == 404 and "Nothing here" in answer.content.decode()


def test_a_mistake_of_the_program_shows_no_insides(demo_shop: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from gambrel.shop.pages.people import views

    def broken(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError("a secret of the program")

    monkeypatch.setattr(views, "form_page", broken)
    answer = Client(raise_request_exception=False).get(reverse("sign_in"))
    text = answer.content.decode()
    assert answer.status_code == 500 and "The program made a mistake" in text and "secret" not in text
