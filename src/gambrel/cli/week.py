"""`gambrel week`: the whole job from one file of hanging animals."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from gambrel.cli.report import answers, as_json, print_json
from gambrel.measures import Entry, Findings

if TYPE_CHECKING:
    from gambrel.files.week_photographs import WeekFaces
    from gambrel.journey import Journey


@click.command("week")
@click.argument("week_file", type=click.Path(path_type=Path))
@click.option(
    "--out", "folder", type=click.Path(path_type=Path), help="Folder for sheets, tables and pictures."
)
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    default="letter",
    show_default=True,
    help="Size of the sheets.",
)
@click.option("--seconds", metavar="S", default="60", show_default=True, help="Most time for the plan.")
@click.option("--ways", "ways_file", type=click.Path(path_type=Path), help="The shop's own ways (TOML).")
@as_json
@answers
def command(
    week_file: Path,
    folder: Path | None,
    paper: str,
    seconds: str,
    ways_file: Path | None,
    as_json: bool,
) -> int:
    """Grade, forecast, plan and price everything in WEEK_FILE, and write the sheets."""
    journey, faces = walk_with_faces(
        week_file, seconds=seconds_of(seconds), ways_file=ways_file, folder=folder
    )
    return answer(journey, folder, paper, faces, as_json=as_json)


def answer(
    journey: Journey, folder: Path | None, paper: str, faces: WeekFaces, *, as_json: bool,
    more: dict[str, Any] | None = None,
) -> int:  # fmt: skip
    """Print the week and write its sheets; the exit status is 1 where no plan keeps every promise.

    `more` is what else a program is told.
    """
    files = write_sheets(journey, folder, paper, faces) if folder is not None else 0
    if as_json:
        from gambrel.cli.week_json import week_json

        where = {"folder": str(folder.resolve()) if folder else None, "files": files}
        print_json({**week_json(journey, faces), **where, **(more or {})})
    else:
        from gambrel.cli.week_faces import print_faces
        from gambrel.cli.week_page import print_week

        print_faces(faces)
        print_week(journey)
        if folder is not None:
            print(f"\n{files} files written to {folder.resolve()}: plan.pdf, prices.pdf, price-board.pdf, kinds.pdf, "
                  "forecast/ (a document a side), workbooks (.xlsx), tables/ (.csv), pictures/ (.svg)"
                  + (", faces/ (.jpg)." if faces.pictures else "."))  # fmt: skip
    return 0 if journey.plan.has_plan else 1


def seconds_of(typed: str) -> float:
    """The time limit that was typed [s]; `CannotDo` when it is none."""
    findings = Findings()
    limit = Entry({"seconds": typed}, "", findings).number(
        "seconds", low=1.0, high=86_400.0, required=True, what="a number of seconds"
    )
    findings.stop_if_any()
    return limit or 0.0


def walk_with_faces(
    week_file: Path, *, seconds: float, ways_file: Path | None = None, folder: Path | None = None
) -> tuple[Journey, WeekFaces]:
    """The whole job, the photographs that the file names read first and drawn into `folder`/faces.

    Slips are told before any photograph is opened; what is wrong with a photograph is among the week's findings.
    """
    from gambrel.catalog.cuts import shipped_cuts
    from gambrel.files.reading import read_case
    from gambrel.files.shop_data import own_tree
    from gambrel.files.week_photographs import WeekFaces, names_photographs, read_week_photographs
    from gambrel.journey import walk
    from gambrel.plan import read_week

    entry = read_case(week_file, Findings())
    week, tree, faces = read_week(entry), own_tree(ways_file), WeekFaces()
    if names_photographs(entry.fields):
        say("reading the rib faces …")
        filled, faces = read_week_photographs(
            entry.fields,
            week_file.parent,
            pictures=folder / "faces" if folder else None,
            progress=lambda number, count, side: say(f"rib face {number} of {count}: {side}"),
        )
        week = read_week(Entry(filled, "", Findings()))
    say("planning …")
    journey = walk(week, tree=tree, cuts=shipped_cuts(), seconds=seconds)
    return replace(journey, findings=(*faces.findings, *journey.findings)), faces


def write_sheets(journey: Journey, folder: Path, paper: str, faces: WeekFaces) -> int:
    """Write every file of the week, showing how far it is on a terminal; gives the number of files there."""
    from gambrel.catalog.cuts import shipped_cuts
    from gambrel.files.week_folder import week_files, write_files

    files = week_files(journey, cuts=shipped_cuts(), paper=paper, marbling_pct=faces.marbling_pct())
    total = len(files)
    for number, path in enumerate(write_files(files, folder), 1):
        say(f"{number} of {total}: {path.name}")
    say("")
    return total + len(faces.pictures)


def say(progress: str) -> None:
    """How far the work is, on one line that is written over; only where somebody can see it."""
    if sys.stderr.isatty():
        print(f"\r\x1b[K{progress}", end="", file=sys.stderr, flush=True)
