"""Two writers of one file: whoever comes last wins, and a reader never sees half of either."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from gambrel.files.writing import write_whole
from gambrel.measures import CannotDo

SIZE = 300_000
TIMES = 25

WRITER = f"""
import sys
from pathlib import Path
from gambrel.files.writing import write_whole
print("ready", flush=True)
sys.stdin.readline()
for _ in range({TIMES}):
    write_whole(Path(sys.argv[1]), sys.argv[2].encode() * {SIZE})
"""


def writer(path: Path, letter: str) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", WRITER, str(path), letter], stdin=subprocess.PIPE,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)  # fmt: skip


def leftovers(folder: Path) -> list[str]:
    return [name for name in os.listdir(folder) if name.endswith(".part")]


def test_two_processes_never_mix_their_bytes(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(b"o" * SIZE)
    writers = [writer(path, letter) for letter in "ab"]
    for one in writers:
        assert one.stdout is not None and one.stdout.readline() == "ready\n"
    for one in writers:
        assert one.stdin is not None
        one.stdin.write("go\n")
        one.stdin.flush()
    seen: set[bytes] = set()
    while any(one.poll() is None for one in writers):
        data = path.read_bytes()
        assert len(data) == SIZE
        assert data == data[:1] * SIZE
        seen.add(data[:1])
    for one in writers:
        _, complaint = one.communicate()
        assert (one.returncode, complaint) == (0, "")
    assert path.read_bytes()[:1] in (b"a", b"b")
    assert seen <= {b"o", b"a", b"b"}
    assert leftovers(tmp_path) == []


def test_threads_of_one_process_never_mix_their_bytes(tmp_path: Path) -> None:
    """Two sheets written at once by one program go through two files beside the target, not one."""
    path = tmp_path / "plan.pdf"

    def write(letter: bytes) -> None:
        for _ in range(TIMES):
            write_whole(path, letter * SIZE)

    with ThreadPoolExecutor(4) as pool:
        for done in [pool.submit(write, letter) for letter in (b"a", b"b", b"c", b"d")]:
            done.result()
    data = path.read_bytes()
    assert data == data[:1] * SIZE
    assert leftovers(tmp_path) == []


def test_a_writer_that_is_killed_leaves_a_whole_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(b"o" * SIZE)
    one = writer(path, "a")
    assert one.stdin is not None and one.stdout is not None
    one.stdout.readline()
    one.stdin.write("go\n")
    one.stdin.flush()
    while path.read_bytes()[:1] == b"o" and one.poll() is None:
        pass
    one.kill()
    one.communicate()
    assert path.read_bytes() == b"a" * SIZE


@pytest.mark.parametrize(
    "name", ["a b.pdf", "Añejo.pdf", "和牛.pdf", "x" * 200 + ".pdf", "y" * 255, "-x.pdf", ".hidden", "a'b\"c"]
)
def test_any_name_a_disk_may_hold(tmp_path: Path, name: str) -> None:
    write_whole(tmp_path / name, b"x")
    assert os.listdir(tmp_path) == [name]


def test_a_name_too_long_for_the_disk_is_a_finding(tmp_path: Path) -> None:
    with pytest.raises(CannotDo, match="too long"):
        write_whole(tmp_path / ("x" * 300), b"x")
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("size", [0, 1, 4095, 4096, 4097, 3_000_001])
def test_every_byte_arrives(tmp_path: Path, size: int) -> None:
    data = os.urandom(size)
    write_whole(tmp_path / "f", data)
    assert (tmp_path / "f").read_bytes() == data
