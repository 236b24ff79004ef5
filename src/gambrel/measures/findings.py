"""What is wrong with something a person entered: what was given, what was wanted, what to do.

People's mistakes are collected and shown all at once; programming mistakes raise as usual.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass

from gambrel.measures.errors import CannotDo


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong, in words a butcher can act on."""

    where: str
    given: str
    wanted: str
    do: str

    def as_json(self) -> dict[str, str]:
        return asdict(self)

    def sentence(self) -> str:
        return f"{self.where}: given {self.given}; wanted {self.wanted}. {self.do}"


class Findings:
    """A growing list of findings; `stop_if_any` ends the work only once everything has been looked at."""

    def __init__(self, found: Iterable[Finding] = ()) -> None:
        self._found: dict[Finding, None] = dict.fromkeys(found)  # in order, each once, and found at once

    def add(self, where: str, given: object, wanted: str, do: str) -> None:
        finding = Finding(where=where, given=str(given), wanted=wanted, do=do)
        self._found[finding] = None

    def extend(self, found: Iterable[Finding]) -> None:
        for finding in found:
            self.add(finding.where, finding.given, finding.wanted, finding.do)

    def __iter__(self) -> Iterator[Finding]:
        return iter(self._found)

    def __len__(self) -> int:
        return len(self._found)

    def __bool__(self) -> bool:
        return bool(self._found)

    def stop_if_any(self) -> None:
        """Raise `CannotDo` with everything found so far, or return when nothing was."""
        if self._found:
            raise CannotDo(list(self._found))
