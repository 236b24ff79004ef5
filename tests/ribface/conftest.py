"""What the tests of the rib face share."""

from __future__ import annotations

from pathlib import Path

import pytest
from faces.made_scene import Scene, make_scene


@pytest.fixture(scope="session")
def plain() -> Scene:
    return make_scene()


@pytest.fixture(scope="session")
def photos() -> Path:
    """The folder of outside photographs, where this checkout has one beside it."""
    folder = Path(__file__).resolve().parents[3] / "shared" / "photos"
    if not folder.is_dir():
        pytest.skip("no folder ../shared/photos beside this checkout: outside photographs are not at hand")
    return folder
