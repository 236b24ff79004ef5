"""`gambrel backup OUT`: a shop's records and photographs as one file."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.cli.serve import in_shop
from gambrel.measures import Finding


@click.command("backup")
@click.argument("out", type=click.Path(path_type=Path))
@in_shop
@as_json
@answers
def command(out: Path, folder: Path, as_json: bool) -> int:
    """Keep a shop's records and photographs as one file, and prove it by restoring it once.

    OUT is a new file, or a folder in which the file is named by the time. The shop may be in use meanwhile.
    """
    from gambrel.shop.backup import back_up
    from gambrel.shop.opening import must_be_shop, start

    must_be_shop(folder)
    kept = back_up(start(folder).photographs, out, at=datetime.now(UTC))
    if as_json:
        print_json({"file": str(kept.path), "bytes": kept.size_bytes, "lines": sum(kept.counts.values()),
                    "photographs": kept.photographs_count, "missing": list(kept.missing)})  # fmt: skip
    else:
        print(f"{kept.path}: {sum(kept.counts.values()):,} lines of records, {kept.photographs_count:,} photographs, "
              f"{kept.size_bytes / 1e6:,.1f} MB; restored once and compared.")  # fmt: skip
    complain(Finding(name, "not in the folder", "a photograph that the records name",
                     "Look for it in an older backup.") for name in kept.missing)  # fmt: skip
    return 1 if kept.missing else 0
