"""`gambrel ribface PHOTO ...`: area, fat, marbling and colour of the rib face, or why it was not read."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.files.drawing import say
from gambrel.measures import Entry, Findings
from gambrel.measures.units import in2_from_cm2, in_from_mm

if TYPE_CHECKING:
    from gambrel.files.ribface_reading import ByHand, FaceReading

_SIDES = ("left", "right", "top", "bottom")


@click.command("ribface")
@click.argument("photos", metavar="PHOTO ...", nargs=-1, required=True, type=click.Path(path_type=Path))
@as_json
@click.option(
    "--picture", type=click.Path(path_type=Path), help="Draw what was measured: a PNG, or a folder for many."
)
@click.option("--chine", help="Where the chine is in the picture: left, right, top or bottom.")
@click.option("--length", help='Two points and a length, where there is no card: "x1,y1,x2,y2,120mm".')
@click.option("--outline", type=click.Path(path_type=Path), help="A corrected outline to measure from, JSON.")
@click.option("--no-scale", is_flag=True, help="Marbling and colour alone; no card is needed.")
@click.option("--seed", help="A point inside the eye, x,y.")
@click.option("--jobs", help="Photographs read side by side; one a core when left out.")
@click.option("--scheduler", help="Address of a Dask scheduler, for a plant's archive.")
@answers
def command(
    photos: tuple[Path, ...], as_json: bool, picture: Path | None, chine: str | None, length: str | None,
    outline: Path | None, no_scale: bool, seed: str | None, jobs: str | None, scheduler: str | None,
) -> int:  # fmt: skip
    """Read ribeye area, fat thickness, marbling and colour from photographs of the cut face.

    The scale card lies flat beside the eye, in its plane. Points are in pixels of the stored picture.
    """
    from gambrel.files.ribface_batch import Job, cores, read_here, read_on_plant
    from gambrel.files.ribface_picture import check_pictures

    findings = Findings()
    by_hand = _by_hand(chine, length, outline, seed, findings, scale=not no_scale)
    processes = Entry({"--jobs": jobs}, "", findings).whole("--jobs", low=1, high=256)
    if len(photos) > 1 and (outline or seed):
        given = "--outline" if outline else "--seed"
        findings.add(
            given, f"{len(photos)} photographs", "one photograph", "Give each its own, one at a time."
        )
    if no_scale and length:
        findings.add("--length", "--no-scale as well", "one of the two", "Leave one of them out.")
    pictures = picture_files(photos, picture)
    check_pictures(photos, pictures, findings)
    findings.stop_if_any()
    work = [Job(photo, place) for photo, place in zip(photos, pictures, strict=True)]
    if scheduler:
        read = read_on_plant(work, by_hand, address=scheduler)
    else:
        read = read_here(work, by_hand, processes=processes or cores())
    return _tell(_with_bar(read, len(work)), as_json=as_json)


def _by_hand(
    chine: str | None, length: str | None, outline: Path | None, seed: str | None, findings: Findings, *, scale: bool
) -> ByHand:  # fmt: skip
    from gambrel.files.outline_file import read_length, read_outline_file, read_seed
    from gambrel.files.ribface_reading import ByHand
    from gambrel.measures import CannotDo

    corrected = None
    if outline:
        try:
            corrected = read_outline_file(outline, findings)
        except CannotDo as unreadable:
            findings.extend(unreadable.findings)
    return ByHand(
        chine=Entry({"--chine": chine}, "", findings).word("--chine", _SIDES),
        length=read_length(length, findings) if length else None,
        outline=corrected,
        seed=read_seed(seed, findings) if seed else None,
        scale=scale,
    )


def picture_files(photos: Sequence[Path], picture: Path | None) -> list[Path | None]:
    """Where each photograph is drawn: the file itself, a folder, or numbered files beside each other."""
    if picture is None:
        return [None] * len(photos)
    folder = picture.is_dir() or not picture.suffix
    if not folder:
        many = len(photos) > 1
        return [
            picture.with_name(f"{picture.stem}-{number}{picture.suffix}") if many else picture
            for number in range(1, len(photos) + 1)
        ]
    names = [photo.stem for photo in photos]
    if len(set(names)) < len(names):  # all are numbered, so that none is like another
        names = [f"{name}-{number}" for number, name in enumerate(names, 1)]
    return [picture / f"{name}.png" for name in names]


def _with_bar(read: Iterator[FaceReading], count: int) -> Iterator[FaceReading]:
    """The same answers, with a progress bar on a terminal's standard error when there are several."""
    if count < 2 or not sys.stderr.isatty():
        yield from read
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(read, "reading", total=count, console=Console(stderr=True))


def _tell(read: Iterator[FaceReading], *, as_json: bool) -> int:
    refused = 0
    for answer in read:
        if as_json:
            print_json(answer.as_json())
        else:
            _show(answer)
        if answer.refused is not None:
            refused += 1
            complain([answer.refused])
    return 1 if refused else 0


def _show(answer: FaceReading) -> None:
    print(answer.photo)
    for line in figure_lines(answer):
        print(f"  {line}")
    if answer.refused is not None:
        print("  not read")
    elif answer.outline_px is not None:
        print("  the shop's own estimate; only a licensed grader gives an official grade")
    for warning in answer.warnings:
        print(f"  look at: {warning}")


def figure_lines(answer: FaceReading) -> list[str]:
    """The figures as a butcher reads them; a line for each that was read."""
    lines = []
    if answer.ribeye_cm2 is not None:
        eye = answer.ribeye_cm2
        lines.append(
            f"ribeye {eye.mean:.1f} cm2 ({in2_from_cm2(eye.mean):.1f} in2), {eye.p05:.1f} to {eye.p95:.1f} cm2"
        )
    if answer.length_cm is not None and answer.width_cm is not None:
        lines.append(f"length {answer.length_cm:.1f} cm, width {answer.width_cm:.1f} cm")
    if answer.fat_mm is not None:
        fat = answer.fat_mm
        lines.append(
            f"fat {fat.mean:.1f} mm ({in_from_mm(fat.mean):.2f} in), {fat.p05:.1f} to {fat.p95:.1f} mm"
        )
    if answer.marbling_pct is not None:
        marbling = answer.marbling_pct
        score = "" if answer.marbling_score is None else f"; score about {answer.marbling_score.mean:.0f}"
        lines.append(
            f"marbling {say.plain(marbling.mean)} %, {say.plain(marbling.p05)} to {say.plain(marbling.p95)} %{score}"
        )
    for name, lab in (("lean", answer.lean_lab), ("fat", answer.fat_lab)):
        if lab is not None:
            lines.append(f"{name} colour L* {lab[0]:.0f}, a* {lab[1]:.0f}, b* {lab[2]:.0f}")
    return lines
