"""Rendered rib faces with their truth, from a seed: for training and for examining the reading of faces."""

from __future__ import annotations

from .arrays import CLASSES
from .plan import REASONS, WANTS
from .scene import Rendered, render_face

__all__ = ["CLASSES", "REASONS", "WANTS", "Rendered", "render_face"]
