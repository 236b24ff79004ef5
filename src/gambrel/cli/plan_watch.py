"""A plan on its way in a terminal: a line with profit and proven bound, and q or Ctrl-C for the best plan so far."""

from __future__ import annotations

import contextlib
import select
import signal
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import FrameType
from typing import TextIO

from gambrel.measures.money import show_money
from gambrel.plan import Progress

HOW_TO_STOP = "q or Ctrl-C: the best plan so far"
LINE_WIDTH = 100


@dataclass
class PlanWatch:
    """Tells progress on `screen` (None: nowhere), and knows whether somebody wants the best plan so far."""

    screen: TextIO | None
    keys: TextIO | None
    enough: bool = False
    _shown: bool = field(default=False, init=False)

    def progress(self, so_far: Progress) -> None:
        if self.screen is not None:
            self.screen.write("\r" + progress_line(so_far).ljust(LINE_WIDTH))
            self.screen.flush()
            self._shown = True

    def stop(self) -> bool:
        if not self.enough and self.keys is not None and select.select([self.keys], [], [], 0)[0]:
            self.enough = self.keys.read(1).lower() == "q"
        return self.enough

    def interrupted(self, number: int, frame: FrameType | None) -> None:
        """The first Ctrl-C asks for the best plan so far, the second ends the command as ever."""
        if self.enough:
            raise KeyboardInterrupt
        self.enough = True

    def end(self) -> None:
        if self._shown and self.screen is not None:
            self.screen.write("\r" + " " * LINE_WIDTH + "\r")
            self.screen.flush()


def progress_line(so_far: Progress) -> str:
    """`12 s: earns $41,711.85; no plan earns more than $41,908.50 (0.5 % above). q or Ctrl-C: ...`"""
    profit, bound = so_far.profit_cents, so_far.bound_cents
    earns = "no plan yet" if profit is None else f"earns {show_money(profit)}"
    most = "" if bound is None else f"; no plan earns more than {show_money(bound)}"
    above = f" ({100 * (bound - profit) / abs(profit):.1f} % above)" if profit and bound is not None else ""
    return f"{so_far.seconds:.0f} s: {earns}{most}{above}. {HOW_TO_STOP}"


@contextlib.contextmanager
def watching() -> Iterator[PlanWatch]:
    """A watch on this terminal for as long as the block runs; without a terminal Ctrl-C alone is heard."""
    screen = sys.stderr if sys.stderr is not None and sys.stderr.isatty() else None
    with contextlib.ExitStack() as undo:
        keys = (
            sys.stdin if screen is not None and sys.stdin is not None and _one_key_at_a_time(undo) else None
        )
        watch = PlanWatch(screen, keys)
        undo.callback(watch.end)
        if threading.current_thread() is threading.main_thread():
            before = signal.signal(signal.SIGINT, watch.interrupted)
            undo.callback(signal.signal, signal.SIGINT, before)
        yield watch


def _one_key_at_a_time(undo: contextlib.ExitStack) -> bool:
    """Keys are heard without Enter until `undo`; False where the system or the terminal cannot do that."""
    try:
        import termios
        import tty
    except ImportError:
        return False
    if not sys.stdin.isatty():
        return False
    descriptor = sys.stdin.fileno()
    undo.callback(termios.tcsetattr, descriptor, termios.TCSADRAIN, termios.tcgetattr(descriptor))
    tty.setcbreak(descriptor)
    return True
