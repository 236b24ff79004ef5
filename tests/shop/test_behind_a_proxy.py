"""A real server with the settings of the guide's service, asked as the guide's proxy asks it."""

from __future__ import annotations

import http.client
import os
import re
import urllib.parse
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path

import pytest
from served import ServedShop, start, stop
from service_files import GUIDE, environment_of, proxy, units

from gambrel.files.photograph import MOST_BYTES
from gambrel.shop.serving import LARGEST_REQUEST_BYTES

pytestmark = [
    pytest.mark.own_file,
    pytest.mark.skipif(
        bool(os.environ.get("GAMBREL_DATABASE")), reason="the server is on the folder's own file"
    ),
]

NAME = "shop.example"
PASSWORD = "willow stump 41"
ANSWER_S = 60


def as_the_proxy_says(client: str) -> dict[str, str]:
    """The headers of the guide's proxy for somebody at this address, who asked by HTTPS."""
    (page,) = (block for server in proxy(GUIDE.read_text("utf-8")).blocks for block in server.blocks
               if any(line[0] == "proxy_pass" for line in block.lines))  # fmt: skip
    means = {"$host": NAME, "$remote_addr": client, "$scheme": "https"}
    return {line[1]: means[line[2]] for line in page.lines if line[0] == "proxy_set_header"}


class Visitor:
    """A browser of the simplest kind: it keeps cookies and knows where it came from."""

    def __init__(self, port: int, client: str, also: Mapping[str, str] | None = None) -> None:
        self.port = port
        self.also = {**as_the_proxy_says(client), **(also or {})}
        self.cookies: dict[str, str] = {}
        self.set_cookies: list[str] = []

    def ask(
        self, address: str, form: Mapping[str, str] | None = None, **more: str
    ) -> tuple[int, dict[str, str], str]:
        """Status, headers and text; a form is sent with the token of the page at its own address."""
        body = None
        headers = {**self.also, **{name.replace("_", "-"): value for name, value in more.items()}}
        if form is not None:
            _, _, page = self.ask(address)
            (token,) = set(re.findall(r'name="csrfmiddlewaretoken" value="(\w+)"', page))
            body = urllib.parse.urlencode({"csrfmiddlewaretoken": token, **form})
            headers |= {"Content-Type": "application/x-www-form-urlencoded"}
            headers = {"Referer": f"https://{NAME}{address}", **headers}
        headers["Cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=ANSWER_S)
        connection.request("POST" if body else "GET", address, body, headers)
        answer = connection.getresponse()
        text = answer.read().decode()
        self.set_cookies = [value for name, value in answer.getheaders() if name == "Set-Cookie"]
        self.cookies |= dict(one.split(";")[0].split("=", 1) for one in self.set_cookies)
        connection.close()
        return answer.status, dict(answer.getheaders()), text


@pytest.fixture(scope="module")
def behind(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServedShop]:
    """A new shop as the guide's service starts it, made by its owner."""
    folder = tmp_path_factory.mktemp("behind") / "shop"
    given = environment_of(units(GUIDE.read_text("utf-8"))["gambrel.service"])
    with pytest.MonkeyPatch.context() as patch:
        for name in ("GAMBREL_HTTPS", "GAMBREL_HOSTS"):
            patch.setenv(name, given[name])
        served = start(folder)
    try:
        made, _, page = Visitor(served.port, "192.0.2.1").ask("/setup/begin/", {
            "shop_name": "Hollow Creek", "zone": "America/Denver", "language": "en", "weight_unit": "lb",
            "code": (folder / "first-start").read_text(), "owner": "Ada", "password": PASSWORD,
            "again": PASSWORD})  # fmt: skip
        assert made == 302, page
        yield served
    finally:
        stop(served)


def signs_in(visitor: Visitor, password: str = PASSWORD, **more: str) -> int:
    return visitor.ask("/sign-in/", {"username": "Ada", "password": password}, **more)[0]


def test_a_form_that_posts_is_taken_and_its_cookies_travel_by_https_alone(behind: ServedShop) -> None:
    visitor = Visitor(behind.port, "192.0.2.2")
    assert signs_in(visitor) == 302
    assert {"sessionid", "csrftoken"} <= set(visitor.cookies) and visitor.set_cookies
    for cookie in visitor.set_cookies:
        assert "; Secure" in cookie and "; HttpOnly" in cookie and "; SameSite=Lax" in cookie
    status, headers, _ = visitor.ask("/today/")
    assert status == 200 and headers["Cache-Control"] == "no-store"
    assert headers["Strict-Transport-Security"] == "max-age=31536000"
    assert "script-src 'self'" in headers["Content-Security-Policy"]


def test_a_form_from_another_site_is_refused(behind: ServedShop) -> None:
    visitor = Visitor(behind.port, "192.0.2.3")
    assert signs_in(visitor, Referer="https://elsewhere.example/") == 403
    assert signs_in(visitor, Origin="https://elsewhere.example") == 403
    assert signs_in(visitor, Origin=f"http://{NAME}") == 403  # the same name in the clear is another site
    assert signs_in(visitor, Origin=f"https://{NAME}") == 302


def test_wrong_passwords_are_counted_by_the_address_that_the_proxy_saw(behind: ServedShop) -> None:
    """Whatever else a browser claims to be; and somebody at another address may still sign in."""
    tries = []
    for number in range(6):
        forged = {"Forwarded": f"for=198.51.100.{number}", "X-Real-IP": f"198.51.100.{number}",
                  "X-Client-IP": f"198.51.100.{number}", "True-Client-IP": f"198.51.100.{number}"}  # fmt: skip
        tries.append(signs_in(Visitor(behind.port, "192.0.2.4", forged), "wrong"))
    assert tries == [400, 400, 400, 400, 429, 429]
    assert signs_in(Visitor(behind.port, "192.0.2.4")) == 429
    assert signs_in(Visitor(behind.port, "192.0.2.5")) == 302


@pytest.mark.parametrize(
    "forged",
    [{"X-Forwarded-Host": "elsewhere.example"}, {"X-Forwarded-Port": "81"}, {"X-Forwarded-By": "elsewhere.example"},
     {"Forwarded": "proto=http;host=elsewhere.example"}],
    ids=lambda one: next(iter(one)),
)  # fmt: skip
def test_what_the_proxy_does_not_say_is_not_believed(behind: ServedShop, forged: dict[str, str]) -> None:
    status, headers, text = Visitor(behind.port, "192.0.2.6", forged).ask("/sign-in/")
    assert status == 200 and "Strict-Transport-Security" in headers and "elsewhere" not in text


def test_another_name_than_the_service_gives_is_refused(behind: ServedShop) -> None:
    assert Visitor(behind.port, "192.0.2.7", {"Host": "elsewhere.example"}).ask("/sign-in/")[0] == 400


def test_a_stylesheet_may_be_kept_and_is_asked_after_by_its_mark(behind: ServedShop) -> None:
    visitor = Visitor(behind.port, "192.0.2.8")
    status, headers, text = visitor.ask("/static/base/base.css")
    assert status == 200 and text and headers["Cache-Control"] == "max-age=60, public"
    assert visitor.ask("/static/base/base.css", If_None_Match=headers["Etag"])[0] == 304


def sent_bytes(port: int, count: int) -> int:
    """Status for a body so large, sent to a page that takes forms; the connection may end while it is on its way."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=ANSWER_S)
    headers = {**as_the_proxy_says("192.0.2.9"), "Content-Length": str(count),
               "Content-Type": "multipart/form-data; boundary=x"}  # fmt: skip
    connection.putrequest("POST", "/sign-in/", skip_host=True)
    for name, value in headers.items():
        connection.putheader(name, value)
    connection.endheaders()
    piece = bytes(1_000_000)
    with closing(connection):
        try:
            for _ in range(count // len(piece)):
                connection.send(piece)
            with connection.getresponse() as answer:
                return answer.status
        except (BrokenPipeError, ConnectionResetError):
            return 413


def test_a_photograph_above_the_form_s_limit_still_reaches_the_program(behind: ServedShop) -> None:
    """403: the program itself looked at it and missed the form's token."""
    assert sent_bytes(behind.port, MOST_BYTES + 10_000_000) == 403
    assert sent_bytes(behind.port, LARGEST_REQUEST_BYTES + 10_000_000) == 413


def test_names_may_have_spaces_between_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GAMBREL_HTTPS", "1")
    monkeypatch.setenv("GAMBREL_HOSTS", "shop.example, other.example")
    served = start(tmp_path / "shop")
    try:
        assert Visitor(served.port, "192.0.2.1", {"Host": "other.example"}).ask("/setup/begin/")[0] == 200
    finally:
        stop(served)
