"""The machines of a plant behind one Dask scheduler: opened by its address, or a finding that says why not."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

from gambrel.measures import Findings


@contextmanager
def plant_at(address: str) -> Iterator[Any]:
    """A client of the scheduler at `address`; `CannotDo` when Dask is not installed or nobody answers there."""
    findings = Findings()
    try:
        from dask.distributed import Client
        from distributed.comm.addressing import get_address_host_port
    except ImportError:
        findings.add("--scheduler", "Dask is not installed", "the packages of the plant extra",
                     "Install gambrel[plant], or leave --scheduler out to use this machine.")  # fmt: skip
        findings.stop_if_any()
    client: Any = None
    try:
        get_address_host_port(address)  # a client made with a wrong address does not end quietly
        client = Client(address, timeout="10s", set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        findings.add("--scheduler", f"{address}: {str(error) or type(error).__name__}", "a Dask scheduler that answers",
                     "Start it with `dask scheduler` and give its address, tcp://machine:8786.")  # fmt: skip
    findings.stop_if_any()
    try:
        yield client
    finally:
        with suppress(TimeoutError):
            client.close()
