"""`gambrel restore IN --shop NEW`: a backup made into a shop again."""

from __future__ import annotations

from pathlib import Path

import click

from gambrel.cli.report import answers, as_json, print_json
from gambrel.cli.serve import in_shop


@click.command("restore")
@click.argument("archive", metavar="IN", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@in_shop
@as_json
@answers
def command(archive: Path, folder: Path, as_json: bool) -> None:
    """Make a shop again out of a backup, in a folder that has none.

    Every file is compared with its fingerprint first. Everybody signs in again: the new folder has a secret of its own.
    """
    from gambrel.shop.restore import restore

    manifest = restore(archive, folder)
    lines = sum(manifest["counts"].values())
    if as_json:
        print_json({"shop": str(folder), "made_at": manifest["made_at"], "lines": lines,
                    "photographs": len(manifest["photographs"])})  # fmt: skip
        return
    print(f"{folder}: the shop as it stood at {manifest['made_at']}, {lines:,} lines of records and "
          f"{len(manifest['photographs']):,} photographs.")  # fmt: skip
    print(f"Open it: gambrel serve --shop {folder}")
