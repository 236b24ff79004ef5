"""`gambrel demo`: the invented shop in a folder of its own, and the main job done on it."""

from __future__ import annotations

import shutil
from pathlib import Path

import click

from gambrel.cli.report import answers, as_json
from gambrel.measures import Findings

MARKER = ".gambrel-demo"
SIDES = 18
DAYS = 14
SEED = 4
PHOTOGRAPHS = "photographs"
SHOP = "shop"


@click.command("demo")
@click.option(
    "--out",
    "folder",
    type=click.Path(path_type=Path),
    default=Path("gambrel-demo"),
    show_default=True,
    help="Folder to build the shop in.",
)
@click.option("--seconds", metavar="S", default="60", show_default=True, help="Most time for the plan.")
@as_json
@answers
def command(folder: Path, seconds: str, as_json: bool) -> int:
    """Build the invented shop Cottonwood Bend and do the main job on it.

    Running it again starts afresh; nothing outside its own folder is touched.
    """
    from gambrel.cli.week import answer, say, seconds_of, walk_with_faces
    from gambrel.files.demo_photographs import demo_photographs
    from gambrel.files.writing import write_whole
    from gambrel.plan.example import example_week
    from gambrel.shop.demo_apart import PLAN_SECONDS, build_demo_shop

    limit_s = seconds_of(seconds)
    start_afresh(folder)
    week_file = folder / "week.toml"
    write_whole(
        folder / MARKER, b"This folder was made by gambrel demo and is emptied when the demo runs again.\n"
    )
    text = example_week(sides=SIDES, days=DAYS, seed=SEED, photographs=PHOTOGRAPHS)
    for name, data in demo_photographs():
        if f'"{PHOTOGRAPHS}/{name}"' in text:
            write_whole(folder / PHOTOGRAPHS / name, data)
    write_whole(week_file, text.encode())
    journey, faces = walk_with_faces(week_file, seconds=limit_s, folder=folder)
    say("building the shop for the browser …")
    sign_ins = build_demo_shop(folder / SHOP, plan_seconds=min(limit_s, PLAN_SECONDS))
    more = {"open_shop": {"folder": str((folder / SHOP).resolve()), "sign_ins": sign_ins}}
    status = answer(journey, folder, "letter", faces, as_json=as_json, more=more)
    if not as_json:
        print(f"\nChange {week_file} and do it again: gambrel week {week_file} --out {folder}")
        _print_how_to_open(folder / SHOP, sign_ins)
    return status


def _print_how_to_open(shop: Path, sign_ins: list[dict[str, str]]) -> None:
    print("\nThe same shop in a browser. Sign in as")
    for one in sign_ins:
        print(f"  {one['name']:<8} ({one['role']}), password {one['password']}")
    print(f"Open it: gambrel serve --shop {shop}")


def start_afresh(folder: Path) -> None:
    """Empty the demo's own folder; `CannotDo` when something else is in the way."""
    findings = Findings()
    if folder.is_dir() and any(folder.iterdir()) and not (folder / MARKER).is_file():
        findings.add(
            str(folder),
            "a folder with other things in it",
            "an empty folder, or the demo's own from before",
            "Choose another with --out.",
        )
    elif folder.exists() and not folder.is_dir():
        findings.add(str(folder), "a file", "a folder", "Choose another with --out.")
    findings.stop_if_any()
    if folder.is_dir():
        shutil.rmtree(folder)
