"""A look over the solver's shoulder: what it has found and proven so far, and a way to make it stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Watch:
    """`found` is told the objective and the proven bound at every better answer; `stop` is asked now and then."""

    found: Callable[[float, float], None] | None = None
    stop: Callable[[], bool] | None = None


class Listener:
    """A watch put on one solver. What goes wrong in its functions ends the search, and is raised by `end`."""

    def __init__(self, highs: Any, watch: Watch) -> None:
        self.watch = watch
        self.error: BaseException | None = None
        if watch.found is not None:
            highs.cbMipImprovingSolution.subscribe(self._better)
        for asked in (highs.cbMipInterrupt, highs.cbIpmInterrupt, highs.cbSimplexInterrupt):
            asked.subscribe(self._go_on)

    def end(self) -> None:
        if self.error is not None:
            raise self.error

    def _better(self, event: Any) -> None:
        data = event.data_out
        try:
            if self.watch.found is not None and self.error is None:
                self.watch.found(float(data.objective_function_value), float(data.mip_dual_bound))
        except BaseException as error:  # noqa: BLE001 - kept, and raised by `end`
            self.error = error

    def _go_on(self, event: Any) -> None:
        try:
            if self.error is not None or (self.watch.stop is not None and self.watch.stop()):
                event.interrupt()
        except BaseException as error:  # noqa: BLE001 - kept, and raised by `end`
            self.error = error
            event.interrupt()
