"""The guide's files for setting the shop up fit the program: names, ports, folders, limits and trusted headers."""

from __future__ import annotations

import re

import pytest
from service_files import GUIDE, Block, Unit, environment_of, proxy, size_bytes, time_seconds, units

from gambrel.files.photograph import MOST_BYTES
from gambrel.shop.access import PROGRAMS
from gambrel.shop.serving import LARGEST_REQUEST_BYTES, TRUSTED_HEADERS, TRUSTED_PROXY

TEXT = GUIDE.read_text("utf-8")
ROUND_A_PHOTOGRAPH_BYTES = 1_000_000
"""A form's other fields and the lines between them; far more than there are."""


@pytest.fixture
def shop() -> Unit:
    return units(TEXT)["gambrel.service"]


@pytest.fixture
def night() -> Unit:
    return units(TEXT)["gambrel-backup.service"]


@pytest.fixture
def outside() -> Block:
    """The server of the proxy that browsers speak HTTPS with."""
    (found,) = (one for one in proxy(TEXT).blocks if ("listen", "443", "ssl") in one.lines)
    return found


@pytest.fixture
def in_the_clear() -> Block:
    (found,) = (one for one in proxy(TEXT).blocks if ("listen", "80") in one.lines)
    return found


def test_all_three_units_are_read() -> None:
    assert sorted(units(TEXT)) == ["gambrel-backup.service", "gambrel-backup.timer", "gambrel.service"]
    assert all(unit["Description"] for unit in units(TEXT).values())


def test_a_photograph_that_is_too_large_reaches_the_form_that_says_so(outside: Block) -> None:
    """The form judges what is above its own limit; what the proxy lets through the server does not cut off."""
    (limit,) = outside.one("client_max_body_size")
    assert MOST_BYTES + ROUND_A_PHOTOGRAPH_BYTES < size_bytes(limit) <= LARGEST_REQUEST_BYTES


def test_the_proxy_says_what_the_server_trusts_and_nothing_of_it_is_the_browser_s_own_word(
    outside: Block,
) -> None:
    page = outside.block("location", "/")
    said = {line[1]: line[2:] for line in page.lines if line[0] == "proxy_set_header"}
    assert {name.lower() for name in said} - {"host"} == TRUSTED_HEADERS
    assert said["X-Forwarded-For"] == ("$remote_addr",), "anything else passes on what a browser claims to be"
    assert said["X-Forwarded-Proto"] == ("$scheme",)
    assert said["Host"] == ("$host",)


def test_the_proxy_asks_where_the_service_listens(shop: Unit, outside: Block) -> None:
    (command,) = shop["ExecStart"]
    port = re.search(r"--port (\d+)", command)
    assert port and "--host" not in command  # this computer alone, which is where the trusted proxy asks from
    assert outside.block("location", "/").one("proxy_pass") == (f"http://{TRUSTED_PROXY}:{port[1]}",)


def test_the_service_knows_that_it_is_behind_https_and_under_which_name(
    shop: Unit, outside: Block, in_the_clear: Block
) -> None:
    given = environment_of(shop)
    assert given["GAMBREL_HTTPS"] == "1"
    assert outside.one("server_name") == in_the_clear.one("server_name") == (given["GAMBREL_HOSTS"],)


def test_who_comes_in_the_clear_is_sent_to_https_and_a_program_is_refused(in_the_clear: Block) -> None:
    assert in_the_clear.block("location", "/").one("return") == ("301", "https://$host$request_uri")
    assert in_the_clear.block("location", PROGRAMS).one("return", "403")
    assert not [line for line in in_the_clear.lines if line[0] == "return"]  # it would come before both


def test_an_answer_may_take_as_long_as_the_tables_of_ten_years(outside: Block) -> None:
    """72 s for the zip of 3 million packs, on two cores; the proxy's own patience is 60 s."""
    (limit,) = outside.block("location", "/").one("proxy_read_timeout")
    assert time_seconds(limit) >= 4 * 72


@pytest.mark.parametrize("status", ["413", "502"])
def test_what_the_proxy_answers_itself_is_said_in_both_languages(outside: Block, status: str) -> None:
    """The status stays as it is: a tablet's worker knows by it that the shop is not there."""
    (to,) = outside.one("error_page", status)
    place = outside.block("location", to)
    (words,) = place.one("return", status)
    assert re.search(r"^[A-Z].*\.\\n[A-Z].*\.\\n$", words) and re.search(
        r"\b(Es|La)\b", words.split("\\n")[1]
    )
    assert place.one("default_type") == ("text/plain; charset=utf-8",)


def test_shop_and_backup_are_of_one_user_and_one_folder(shop: Unit, night: Unit) -> None:
    assert shop["User"] == night["User"] and shop["UMask"] == night["UMask"] == ["0077"]
    folder = environment_of(shop)["GAMBREL_SHOP"]
    assert environment_of(night)["GAMBREL_SHOP"] == folder
    assert shop["ReadWritePaths"] == [folder]
    made = re.search(r"install -d -o (\w+) -g \w+ -m 700 (.*)", TEXT)
    assert made and [made[1]] == shop["User"]
    (kept_in,) = re.findall(r"gambrel backup (\S+)", night["ExecStart"][0])
    assert made[2].split() == [folder, kept_in]
    assert kept_in in night["ExecStartPost"][0] and not kept_in.startswith(f"{folder}/")


def test_only_backups_are_ever_thrown_away(night: Unit) -> None:
    """By the name that a backup gets; two months of nights stay."""
    (command,) = night["ExecStartPost"]
    assert '-name "gambrel-*.zip"' in command and command.endswith("-mtime +60 -delete")


def test_the_program_that_is_started_is_the_one_that_was_installed(shop: Unit, night: Unit) -> None:
    (folder,) = re.findall(r"/usr/bin/python3 -m venv (\S+)", TEXT)
    for unit in (shop, night):
        assert unit["ExecStart"][0].startswith(f"{folder}/bin/gambrel ")
    assert TEXT.count(f"{folder}/bin/pip install") == 2


def test_the_shop_talks_with_this_computer_alone(shop: Unit) -> None:
    assert (shop["IPAddressDeny"], shop["IPAddressAllow"]) == (["any"], ["localhost"])


def as_guide(proxy_text: str) -> str:
    return f"# A page\n\n```nginx\n{proxy_text}\n```\n"


def test_a_proxy_s_file_is_read_block_by_block() -> None:
    read = proxy(as_guide('a 1;\nb "x; {y}" 2; # c 3;\nlocation /p {\n  a 4;\n  if z { a 5; }\n}'))
    assert read.lines == [("a", "1"), ("b", "x; {y}", "2")]
    assert read.block("location", "/p").one("a") == ("4",)
    assert read.block("location", "/p").block("if", "z").lines == [("a", "5")]


@pytest.mark.parametrize("broken", ["a 1", "a {", "a; }", "x { a 1 }", "}"])
def test_a_proxy_s_file_that_does_not_close_is_an_error(broken: str) -> None:
    with pytest.raises(ValueError, match="close"):
        proxy(as_guide(broken))


@pytest.mark.parametrize(
    ("text", "bytes_", "seconds"), [("95m", 99_614_720, 5700), ("7", 7, 7), ("2k", 2048, None)]
)
def test_sizes_and_times(text: str, bytes_: int, seconds: int | None) -> None:
    assert size_bytes(text) == bytes_
    if seconds is None:
        with pytest.raises(ValueError, match="no size or time"):
            time_seconds(text)
    else:
        assert time_seconds(text) == seconds
