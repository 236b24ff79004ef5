"""Memory that is kept from one reading to the next.

The arrays of a large face come to some 30 MB. By itself the allocator gives that back to the system at the end of each
reading, and every page must be fetched and cleared anew for the next: a twentieth of the time of reading a large eye.
"""

from __future__ import annotations

from functools import cache

import numpy as np

KEPT_BYTES = 31 << 20
"""Pieces up to this size are kept. The GNU allocator goes by the largest piece ever given back, up to 32 MB, and keeps
twice as much; others, which do not, lose nothing by it."""


@cache
def keep_memory() -> None:
    """Let the allocator see one large piece come and go, untouched."""
    np.empty(KEPT_BYTES, np.uint8)
