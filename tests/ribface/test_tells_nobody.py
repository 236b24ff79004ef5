"""Reading a rib face tells nobody: the library that runs the network would report its use to its maker."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

LOOK = "from gambrel.ribface import network; network._session()"
SWITCH = "ORT_DISABLE_TELEMETRY"


def left_behind(home: Path, code: str, **given: str) -> list[str]:
    """What a process that ran this code left in its empty home: before it reports, the library keeps a list there."""
    home.mkdir()
    plain = {
        name: value for name, value in os.environ.items() if name != SWITCH and not name.startswith("XDG_")
    }
    subprocess.run([sys.executable, "-c", code], check=True, env={**plain, "HOME": str(home), **given})
    return [path.name for path in home.rglob("*") if path.is_file() and "onnxruntime" in str(path)]


def test_the_library_keeps_no_list_of_its_use(tmp_path: Path) -> None:
    assert left_behind(tmp_path / "home", LOOK) == []


def test_whoever_asks_for_it_in_the_environment_does_not_get_it_either(tmp_path: Path) -> None:
    assert left_behind(tmp_path / "home", LOOK, **{SWITCH: "0"}) == []


def test_a_process_that_the_shop_starts_is_told_so_too(tmp_path: Path) -> None:
    """A child that loads the library without this program, as a tool might, inherits the switch."""
    code = ("import gambrel, subprocess, sys; "
            "subprocess.run([sys.executable, '-c', 'import onnxruntime'], check=True)")  # fmt: skip
    assert left_behind(tmp_path / "home", code) == []
