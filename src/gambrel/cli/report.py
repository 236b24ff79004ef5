"""How a command answers: results to standard output, complaints to standard error, and the exit status.

0 done; 1 could not be done with these inputs, and the findings say why; 2 the command was typed wrong.
"""

from __future__ import annotations

import contextlib
import functools
import io
import json
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Any, ParamSpec

import click

from gambrel.measures import CannotDo, Finding

P = ParamSpec("P")

as_json = click.option("--json", "as_json", is_flag=True, help="Answer with one JSON value, in metric units.")


def answers(command: Callable[P, int | None]) -> Callable[P, None]:
    """Wrap a command body: findings become complaints and exit status 1, a closed pipe ends quietly.

    The body returns None or an exit status. With `as_json=True` among its arguments, a refusal is also given
    as `{"findings": [...]}` on standard output. A full disk or a folder that may not be written is for
    the person to mend, so it is a finding too; any other exception is our own mistake and is left to be seen.
    """

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        _print_any_letter()
        try:
            try:
                status = command(*args, **kwargs) or 0
            except CannotDo as refusal:
                status = _refuse(refusal.findings, as_json=bool(kwargs.get("as_json")))
            if sys.stdout is not None:
                sys.stdout.flush()
        except BrokenPipeError:  # the reader (head, a pager) has gone: nobody is left to complain to
            _drop_output()
            status = 1
        except OSError as error:
            about_a_file = error.filename is not None  # if not, it is standard output itself that failed
            if not about_a_file:
                _drop_output()
            status = _refuse([_blocked(error)], as_json=about_a_file and bool(kwargs.get("as_json")))
        sys.exit(status)

    return run


def print_json(value: Any) -> None:
    """One JSON value on one line; not-a-number is a mistake of ours and raises."""
    print(json.dumps(value, allow_nan=False))


def complain(findings: Iterable[Finding], *, word: str = "error") -> None:
    """Each finding on standard error: where, given, wanted, what to do."""
    for finding in findings:
        print(f"{word}: {finding.where}\n  given:  {finding.given}\n  wanted: {finding.wanted}\n"
              f"hint: {finding.do}", file=sys.stderr)  # fmt: skip


def _refuse(findings: Sequence[Finding], *, as_json: bool) -> int:
    if as_json:
        print_json({"findings": [finding.as_json() for finding in findings]})
    complain(findings)
    return 1


def _blocked(error: OSError) -> Finding:
    where = str(error.filename) if error.filename is not None else "the answer"
    do = "Check the folder, who may use it, and the room on the disk."
    return Finding(where, error.strerror or str(error), "a place that can be read and written", do)


def _print_any_letter() -> None:
    """A letter that the terminal's alphabet lacks is printed by its code instead of ending in an error."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")


def _drop_output() -> None:
    """Point standard output at nothing, so that Python's own flush at the end is silent."""
    if sys.stdout is None:
        return
    with contextlib.suppress(io.UnsupportedOperation):  # a stream in memory has no number and needs none
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
