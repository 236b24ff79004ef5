"""Memory is kept from one reading to the next, where the allocator can be told so."""

from __future__ import annotations

import platform
import subprocess
import sys

import pytest

PROGRAM = """
import resource, sys
import numpy as np
from gambrel.ribface.memory import keep_memory

if sys.argv[1] == "kept":
    keep_memory()
for _ in range(3):
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    arrays = [np.ones((750, 650, 3), np.float32) for _ in range(6)]
    del arrays
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


def pages_fetched(how: str) -> int:
    """Pages that the third round of six arrays of 5.9 MB fetches from the system."""
    done = subprocess.run([sys.executable, "-c", PROGRAM, how], capture_output=True, text=True, check=True)
    return int(done.stdout)


@pytest.mark.skipif(
    platform.libc_ver()[0] != "glibc", reason="other allocators keep memory in ways of their own"
)
def test_memory_once_used_is_not_fetched_anew() -> None:
    assert pages_fetched("kept") < 20 < pages_fetched("as it comes")
