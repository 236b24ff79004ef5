"""A file is written whole or not at all."""

from __future__ import annotations

import os
import stat
import sys

import pytest

from gambrel.files import writing
from gambrel.files.writing import write_whole
from gambrel.measures import CannotDo


def leftovers(folder) -> list[str]:
    return [name for name in os.listdir(folder) if name.endswith(".part")]


def test_a_new_file_and_its_folder_are_made(tmp_path):
    path = tmp_path / "new" / "deep" / "plan.csv"
    write_whole(path, b"side,kg\r\n")
    assert path.read_bytes() == b"side,kg\r\n"
    assert leftovers(path.parent) == []


def test_an_old_file_is_replaced(tmp_path):
    path = tmp_path / "plan.csv"
    path.write_bytes(b"old and longer than the new one")
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_an_interruption_leaves_the_old_file(tmp_path, monkeypatch, step):
    """The disk fails while the new file is written, or just before it takes the old one's place."""
    path = tmp_path / "plan.csv"
    path.write_bytes(b"old")

    def fail(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing.os, step, fail)
    with pytest.raises(CannotDo) as refusal:
        write_whole(path, b"new")
    monkeypatch.undo()
    assert path.read_bytes() == b"old"
    assert leftovers(tmp_path) == []
    (finding,) = refusal.value.findings
    assert finding.where == str(path)
    assert "No space left" in finding.given


def test_a_power_cut_before_the_renaming_leaves_the_old_file(tmp_path, monkeypatch):
    """A cut is no error that can be handled: nothing after it runs, so the disk must be good as it is."""

    class PowerCut(BaseException):
        pass

    path = tmp_path / "plan.csv"
    path.write_bytes(b"old")

    def cut(*args: object) -> None:
        raise PowerCut

    monkeypatch.setattr(writing.os, "replace", cut)
    with pytest.raises(PowerCut):
        write_whole(path, b"new")
    monkeypatch.undo()
    assert path.read_bytes() == b"old"
    assert len(leftovers(tmp_path)) == 1
    write_whole(path, b"newer")  # what was left behind is no hindrance
    assert path.read_bytes() == b"newer"
    assert leftovers(tmp_path) == []


def test_the_new_file_is_on_the_disk_before_it_takes_the_place(tmp_path, monkeypatch):
    order: list[str] = []
    real_sync, real_replace = os.fsync, os.replace
    monkeypatch.setattr(writing.os, "fsync", lambda handle: (order.append("sync"), real_sync(handle))[1])
    monkeypatch.setattr(writing.os, "replace", lambda a, b: (order.append("replace"), real_replace(a, b))[1])
    write_whole(tmp_path / "a", b"x")
    assert order[:2] == ["sync", "replace"]


def test_a_folder_in_place_of_the_file_is_a_finding(tmp_path):
    with pytest.raises(CannotDo, match="a folder"):
        write_whole(tmp_path, b"x")


def test_a_file_in_place_of_the_folder_is_a_finding(tmp_path):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(CannotDo) as refusal:
        write_whole(tmp_path / "file" / "plan.csv", b"x")
    assert refusal.value.findings[0].do.startswith("Choose another folder")


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="the superuser may write everywhere")
def test_a_folder_that_may_not_be_written_is_a_finding(tmp_path):
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        with pytest.raises(CannotDo, match="Permission denied"):
            write_whole(tmp_path / "plan.csv", b"x")
    finally:
        tmp_path.chmod(stat.S_IRWXU)


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_stays_a_link(tmp_path):
    (tmp_path / "real.csv").write_bytes(b"old")
    (tmp_path / "link.csv").symlink_to(tmp_path / "real.csv")
    write_whole(tmp_path / "link.csv", b"new")
    assert (tmp_path / "link.csv").is_symlink()
    assert (tmp_path / "real.csv").read_bytes() == b"new"


def test_others_may_read_it_as_any_file(tmp_path):
    path = tmp_path / "plan.csv"
    write_whole(path, b"x")
    (tmp_path / "plain").write_bytes(b"x")
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE((tmp_path / "plain").stat().st_mode)
