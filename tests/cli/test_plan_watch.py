"""A plan's progress in a terminal, and the keys that ask for the best plan so far."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from gambrel.cli.plan_watch import PlanWatch, progress_line
from gambrel.plan import Progress, example_week

termios = pytest.importorskip(
    "termios", reason="this system has no terminals of the kind that is driven here"
)


@pytest.mark.parametrize(
    ("so_far", "said"),
    [
        (Progress(0.4, None, None), "0 s: no plan yet. "),
        (Progress(3.2, 4_171_185, None), "3 s: earns $41,711.85. "),
        (Progress(3.2, None, 4_190_848), "3 s: no plan yet; no plan earns more than $41,908.48. "),
        (Progress(12.0, 100_000, 101_000),
         "12 s: earns $1,000.00; no plan earns more than $1,010.00 (1.0 % above). "),
        (Progress(12.0, -100_000, -99_000),
         "12 s: earns -$1,000.00; no plan earns more than -$990.00 (1.0 % above). "),
    ],
)  # fmt: skip
def test_progress_is_one_line_that_says_how_to_stop(so_far: Progress, said: str) -> None:
    line = progress_line(so_far)
    assert line.startswith(said)
    assert line.endswith("q or Ctrl-C: the best plan so far")


def test_the_line_is_rubbed_out_at_the_end() -> None:
    screen = io.StringIO()
    watch = PlanWatch(screen, None)
    watch.progress(Progress(1.0, 100, 200))
    watch.end()
    *_, last, end = screen.getvalue().split("\r")
    assert (last.strip(), end) == ("", "")


def test_without_a_screen_nothing_is_written_and_nothing_stops() -> None:
    watch = PlanWatch(None, None)
    watch.progress(Progress(1.0, 100, 200))
    watch.end()
    assert not watch.stop()


def test_a_first_ctrl_c_asks_for_the_best_so_far_and_a_second_ends() -> None:
    watch = PlanWatch(None, None)
    watch.interrupted(signal.SIGINT, None)
    assert watch.stop()
    with pytest.raises(KeyboardInterrupt):
        watch.interrupted(signal.SIGINT, None)


@pytest.fixture(scope="module")
def long_week(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A week whose last thousandth of a percent takes minutes."""
    path = tmp_path_factory.mktemp("long") / "week.toml"
    path.write_text(example_week(sides=6, days=10, seed=4))
    return path


@pytest.mark.parametrize("how", ["q", "ctrl-c"])
def test_a_terminal_gives_the_best_plan_so_far(how: str, long_week: Path) -> None:
    ours, its = os.openpty()
    command = [Path(sys.executable).parent / "gambrel", "plan", long_week, "--gap", "0", "--json",
               "--seconds", "300"]  # fmt: skip
    process = subprocess.Popen(command, stdin=its, stderr=its, stdout=subprocess.PIPE, text=True)
    os.close(its)
    seen = b""
    try:
        while b"earns" not in seen:
            part = os.read(ours, 4096)
            assert part, seen
            seen += part
        if how == "q":
            os.write(ours, b"q")
        else:
            process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=120)
    finally:
        process.kill()
        os.close(ours)
    assert process.returncode == 0, seen
    plan = json.loads(out)
    assert plan["status"] == "time-limit"
    assert plan["sides"] and plan["profit"] <= plan["bound"]
