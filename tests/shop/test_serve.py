"""`gambrel serve`: an empty folder becomes a shop, an old one is brought up to date, the rest is refused."""

from __future__ import annotations

import gc
import json
import os
import signal
import socket
import sqlite3
import stat
import subprocess
import sys
import urllib.error
import urllib.request
from contextlib import closing
from pathlib import Path

import pytest
from served import COMMAND, ServedShop, environment, gambrel, serving, start, stop

from gambrel.shop.serving import keep_what_is_loaded

pytestmark = pytest.mark.own_file


def refused(*words: str) -> str:
    done = gambrel("serve", *words)
    assert done.returncode == 1 and done.stdout == ""
    return done.stderr


def status_of(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=20) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        with error:
            return error.code


def test_an_empty_folder_becomes_a_new_shop_that_its_owner_alone_reads(tmp_path: Path) -> None:
    with serving(tmp_path / "shop") as served:
        assert status_of(served.address) < 500
        secret = served.folder / "secret"
        assert stat.S_IMODE(secret.stat().st_mode) == 0o600 and len(secret.read_text()) > 40
    assert served.process.returncode == 0  # told to end, it ended by itself


def test_a_second_start_keeps_the_secret_and_changes_nothing(tmp_path: Path) -> None:
    with serving(tmp_path / "shop") as served:
        secret = (served.folder / "secret").read_text()
    with serving(tmp_path / "shop") as again:
        assert (again.folder / "secret").read_text() == secret
        assert not (again.folder / "before-migration").exists()


def test_a_shop_of_an_older_version_is_brought_up_to_date_and_a_copy_kept(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    stop(start(folder))
    with closing(sqlite3.connect(folder / "shop.sqlite3")) as records, records:
        (sessions,) = records.execute(
            "SELECT count(*) FROM django_migrations WHERE app = 'sessions'"
        ).fetchone()
        records.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
        records.execute("DROP TABLE django_session")
    assert sessions == 1
    with serving(folder):
        (copy,) = (folder / "before-migration").iterdir()
    with closing(sqlite3.connect(copy)) as before, closing(sqlite3.connect(folder / "shop.sqlite3")) as after:
        asked = "SELECT count(*) FROM sqlite_master WHERE name = 'django_session'"
        assert before.execute(asked).fetchone() == (0,) and after.execute(asked).fetchone() == (1,)


def test_a_folder_with_other_things_and_a_file_are_refused_with_findings(tmp_path: Path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "letter.txt").write_text("Dear aunt")
    assert "a folder with other things in it" in refused("--shop", str(tmp_path / "letters"))
    assert "a file" in refused("--shop", str(tmp_path / "letters" / "letter.txt"))
    assert [path.name for path in (tmp_path / "letters").iterdir()] == ["letter.txt"]


def test_a_port_that_is_taken_or_none_is_a_finding(tmp_path: Path) -> None:
    with socket.socket() as taking:
        taking.bind(("127.0.0.1", 0))
        taking.listen()
        port = str(taking.getsockname()[1])
        assert "taken by another program" in refused("--shop", str(tmp_path / "shop"), "--port", port)
    assert "--port" in refused("--shop", str(tmp_path / "shop"), "--port", "eighty")


def test_a_person_is_told_where_the_shop_is_and_that_it_is_new(tmp_path: Path) -> None:
    words = [*COMMAND, "serve", "--shop", str(tmp_path / "shop"), "--port", "0"]
    process = subprocess.Popen(words, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                               env=environment(None))  # fmt: skip
    assert process.stdout is not None
    first, second, third = (process.stdout.readline() for _ in range(3))
    assert "A new shop" in first and "http://127.0.0.1:" in third
    code = (tmp_path / "shop" / "first-start").read_text()
    assert second.startswith("Make the shop at http://127.0.0.1:") and f"/setup/begin/?code={code} " in second
    address = second.split()[4]
    with urllib.request.urlopen(address, timeout=20) as page:
        assert f'value="{code}"' in page.read().decode(), (
            "the line that was printed opens the page, filled in"
        )
    process.send_signal(signal.SIGTERM)
    assert process.communicate(timeout=30)[1] == "" and process.returncode == 0


def test_a_busy_moment_is_not_told_to_whoever_started_the_shop(caplog: pytest.LogCaptureFixture) -> None:
    """A single question may find no thread free yet on a busy machine."""
    from waitress.task import ThreadedTaskDispatcher

    ThreadedTaskDispatcher().add_task(None)  # no thread at all
    assert caplog.records == []


@pytest.mark.parametrize(("https", "begins"), [("1", "https://shop.example/"), ("0", "http://127.0.0.1:")])
def test_behind_a_proxy_people_are_told_its_address(tmp_path: Path, https: str, begins: str) -> None:
    """The computer's own address would be refused there: cookies travel by HTTPS alone."""
    words = [*COMMAND, "serve", "--shop", str(tmp_path / "shop"), "--port", "0"]
    named = {"GAMBREL_HTTPS": https, "GAMBREL_HOSTS": "shop.example,other.example"}
    process = subprocess.Popen(words, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                               env=environment(None) | named)  # fmt: skip
    assert process.stdout is not None
    _, make, seen = (process.stdout.readline() for _ in range(3))
    process.send_signal(signal.SIGTERM)
    assert process.communicate(timeout=30)[1] == ""
    assert make.startswith(f"Make the shop at {begins}") and seen.startswith(f"The shop is open at {begins}")


def test_a_shop_that_is_made_has_no_code(served_shop: ServedShop) -> None:
    assert not (served_shop.folder / "first-start").exists()


def test_another_name_for_this_computer_is_refused(served_shop: ServedShop) -> None:
    """A page of another site cannot reach the shop under a name of its own."""
    asked = urllib.request.Request(served_shop.address, headers={"Host": "elsewhere.example"})
    with pytest.raises(urllib.error.HTTPError) as refusal, urllib.request.urlopen(asked, timeout=20):
        pass
    assert refusal.value.code == 400
    refusal.value.close()


def test_reading_the_settings_makes_no_folder(tmp_path: Path) -> None:
    code = "import json, gambrel.shop.settings as s; print(json.dumps([s.SECRET_KEY]))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True,
                          env={**os.environ, "GAMBREL_SHOP": str(tmp_path / "none")})  # fmt: skip
    assert len(json.loads(done.stdout)[0]) > 40 and not (tmp_path / "none").exists()


def test_what_is_loaded_when_the_server_starts_is_not_looked_through_again() -> None:
    before = gc.get_freeze_count()
    try:
        keep_what_is_loaded()
        assert gc.get_freeze_count() > max(before, 1_000)
    finally:
        gc.unfreeze()
