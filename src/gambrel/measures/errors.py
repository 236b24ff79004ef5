"""The family of errors.

    GambrelError
    └── CannotDo      the inputs cannot be worked with; carries the findings that say why

Anything else that is raised is a mistake in the program and is left to be seen.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gambrel.measures.findings import Finding


class GambrelError(Exception):
    """Base of everything this package raises on purpose."""


class CannotDo(GambrelError):
    """The work cannot be done with these inputs; `findings` holds every reason."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = tuple(findings)
        super().__init__("; ".join(finding.sentence() for finding in self.findings))
