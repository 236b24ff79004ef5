"""How a command answers: results to standard output, complaints to standard error, and the exit status.

0 done; 1 could not be done with these inputs, and the findings say why; 2 the command was typed wrong.
"""

from __future__ import annotations

import functools
import json
import os
import sys
from collections.abc import Callable, Iterable
from typing import Any, ParamSpec

import click

from gambrel.measures import CannotDo, Finding

P = ParamSpec("P")

as_json = click.option("--json", "as_json", is_flag=True, help="Answer with one JSON value, in metric units.")


def answers(command: Callable[P, int | None]) -> Callable[P, None]:
    """Wrap a command body: findings become complaints and exit status 1, a closed pipe ends quietly.

    The body returns None or an exit status. With `as_json=True` among its arguments, a refusal is also given
    as `{"findings": [...]}` on standard output.
    """

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        try:
            status = command(*args, **kwargs) or 0
            sys.stdout.flush()
        except CannotDo as refusal:
            if kwargs.get("as_json"):
                print_json({"findings": [finding.as_json() for finding in refusal.findings]})
            complain(refusal.findings)
            status = 1
        except BrokenPipeError:
            # The reader (head, a pager) has gone; point stdout elsewhere so that Python's own flush is silent.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            status = 1
        sys.exit(status)

    return run


def print_json(value: Any) -> None:
    """One JSON value on one line; not-a-number is a mistake of ours and raises."""
    print(json.dumps(value, ensure_ascii=False, allow_nan=False))


def complain(findings: Iterable[Finding], *, word: str = "error") -> None:
    """Each finding on standard error: where, given, wanted, what to do."""
    for finding in findings:
        print(f"{word}: {finding.where}\n  given:  {finding.given}\n  wanted: {finding.wanted}\n"
              f"hint: {finding.do}", file=sys.stderr)  # fmt: skip
