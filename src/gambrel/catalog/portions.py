"""How much of an animal a share is."""

from __future__ import annotations

PORTIONS = {"whole": 2.0, "half": 1.0, "quarter": 0.5, "eighth": 0.25}
"""Sides in a share. A quarter here is half of a side with some of everything, as shops split them; a forequarter or
hindquarter as it hangs is an order of that piece. Common practice."""
