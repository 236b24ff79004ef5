"""The renderer lives outside the package, in tools/faces."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

pytest.importorskip("cv2")
FACES = Path(__file__).resolve().parents[2] / "tools" / "faces"
if str(FACES) not in sys.path:
    sys.path.insert(0, str(FACES))
