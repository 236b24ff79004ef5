"""Finds the Chromium that the browser tests drive, or installs it: `python tools/browser.py` prints its path.

On Debian as root it comes from the system's packages; elsewhere the driver's own install is used.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome")
PATH_VARIABLE = "GAMBREL_CHROMIUM"


def chromium() -> str | None:
    """Path of a Chromium on this machine: the one named by the environment, the system's, or the driver's own."""
    named = os.environ.get(PATH_VARIABLE)
    if named:
        return named
    for name in NAMES:
        if found := shutil.which(name):
            return found
    return _drivers_own()


def _drivers_own() -> str | None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        path = driver.chromium.executable_path
    return path if Path(path).is_file() else None


def install() -> None:
    """Install Chromium; raises where neither way works."""
    if os.geteuid() == 0 and shutil.which("apt-get"):
        subprocess.run(["apt-get", "-q", "update"], check=True, stdout=subprocess.DEVNULL)
        subprocess.run(["apt-get", "-q", "install", "-y", "--no-install-recommends", "chromium"], check=True,
                       stdout=subprocess.DEVNULL, env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"})  # fmt: skip
        return
    subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=True)


def main() -> int:
    path = chromium()
    if path is None:
        try:
            install()
        except (OSError, subprocess.CalledProcessError) as error:
            print(f"No Chromium was found and it could not be installed ({error}). Install Chromium, or name one "
                  f"in ${PATH_VARIABLE}: the shop's pages are tested in it.", file=sys.stderr)  # fmt: skip
            return 1
        path = chromium()
    print(path)
    return 0 if path else 1


if __name__ == "__main__":
    sys.exit(main())
