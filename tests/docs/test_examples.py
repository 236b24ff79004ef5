"""Every example of the guide runs as it is printed, in a folder that holds only the page's own files and pictures."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import house
import pytest

PAGES = [house.parse_page(path, path.read_text("utf-8")) for path in house.PAGES]
RUNNABLE = [page for page in PAGES if any(house.commands_of(shell) for shell in page.shells)]
SECONDS = 400.0


@pytest.mark.parametrize("page", RUNNABLE, ids=lambda page: page.path.name)
def test_the_examples_of_a_page_run(page: house.Page, tmp_path: Path) -> None:
    """The blocks with a `gambrel` command are run in order by the shell; each must end with exit status 0."""
    for name, text in page.files.items():
        (tmp_path / name).write_text(text, "utf-8")
    for picture in page.pictures:
        shutil.copy(page.path.parent / picture, tmp_path)
    beside = Path(sys.executable).parent
    environment = {
        **os.environ,
        "PATH": f"{beside}{os.pathsep}{os.environ.get('PATH', '')}",
        "COLUMNS": "110",
    }
    for shell in page.shells:
        if not house.commands_of(shell):
            continue
        done = subprocess.run(
            ["sh", "-e", "-c", shell], cwd=tmp_path, env=environment, capture_output=True, text=True,
            timeout=SECONDS, check=False,
        )  # fmt: skip
        assert done.returncode == 0, f"{shell}\n{done.stderr[-2000:]}"
        assert done.stdout or ">" in shell or "--out" in shell, f"{shell} printed nothing"


def test_examples_are_found() -> None:
    """So that a change of form cannot quietly leave nothing to run."""
    text = "Save it as `side.toml`:\n\n```toml\nhot = 1\n```\n\n```sh\ngambrel hang \\\n  side.toml\n```\n"
    path = Path("page.md")
    page = house.parse_page(path, text)
    assert page.files == {"side.toml": "hot = 1\n"}
    linked = house.parse_page(
        path, "Save [this](gallery/face.jpg) as `face.jpg`, see ![it](gallery/other.jpg).\n"
    )
    assert linked.pictures == ["gallery/face.jpg"]
    assert [house.commands_of(shell) for shell in page.shells] == [["gambrel hang    side.toml"]]
