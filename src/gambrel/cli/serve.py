"""`gambrel serve`: the shop in a browser."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from gambrel.cli.report import answers, as_json, print_json
from gambrel.measures import Entry, Findings
from gambrel.shop.place import DEFAULT_FOLDER, FOLDER_VARIABLE

in_shop = click.option(
    "--shop", "folder", type=click.Path(path_type=Path), default=Path(DEFAULT_FOLDER), show_default=True,
    envvar=FOLDER_VARIABLE, help="The shop's folder: records, photographs and its own secret.",
)  # fmt: skip


@click.command("serve")
@in_shop
@click.option(
    "--host", default="127.0.0.1", show_default=True, help="Address to listen on; 0.0.0.0: the whole network."
)
@click.option("--port", default="8000", show_default=True, help="Port to listen on; 0 takes a free one.")
@as_json
@answers
def command(folder: Path, host: str, port: str, as_json: bool) -> None:
    """Run the shop in a browser until it is stopped with Ctrl-C.

    An empty folder becomes a new shop: its first page leads through making it. A shop made by an older version is
    brought up to date first, and a copy of its records is kept.
    """
    # Before the first numbers: the shop's matrices are small, and more threads of the algebra library only wait for
    # each other. The learn page takes two thirds of the time with one.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from gambrel.shop import first_start
    from gambrel.shop.opening import is_made, open_shop
    from gambrel.shop.serving import listen, run, seen_from_outside

    findings = Findings()
    port_number = Entry({"--port": port}, "", findings).whole("--port", low=0, high=65535, required=True)
    findings.stop_if_any()
    if port_number is None:
        raise AssertionError("a port without findings is a number")
    opened = open_shop(folder)
    server = listen(host, port_number)
    address = f"http://{host if host not in ('0.0.0.0', '::') else 'localhost'}:{server.effective_port}/"
    seen_at = seen_from_outside(address)
    first = None if is_made() else f"{seen_at}setup/begin/?code={first_start.code(opened.place.folder)}"
    if as_json:
        copy = str(opened.copy) if opened.copy else None
        print_json({"address": address, "shop": str(opened.place.folder), "new": opened.is_new,
                    "migrations": opened.migrations_count, "copy": copy, "first": first})  # fmt: skip
    else:
        if opened.copy:
            print(f"The records were brought up to date; as they were before: {opened.copy}")
        if opened.is_new:
            print(f"A new shop in {opened.place.folder}.")
        if first:
            print(f"Make the shop at {first}  (whoever has this line may)")
        print(f"The shop is open at {seen_at}  (Ctrl-C closes it)")
    sys.stdout.flush()
    run(server)
