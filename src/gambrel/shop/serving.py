"""Serves the shop to browsers: one process with several threads, on this computer or to the shop's own network."""

from __future__ import annotations

import contextlib
import errno
import gc
import signal
import socket
from types import FrameType
from typing import Any

from gambrel.measures import CannotDo, Finding
from gambrel.shop.place import named_hosts

THREADS = 8
LARGEST_REQUEST_BYTES = 100_000_000
"""Largest thing that may be sent. Above the largest photograph that is read (`MOST_BYTES`), so that one which is too
large is told so by its own form, and not cut off on the way; the proxy of the guide stops between the two."""

TRUSTED_PROXY = "127.0.0.1"
TRUSTED_HEADERS = frozenset({"x-forwarded-proto", "x-forwarded-for"})
"""What the proxy on this computer may say of who asks; whatever else of the kind comes along is thrown away."""

_EVERY_ADDRESS = ("0.0.0.0", "::")


def listen(host: str, port: int) -> Any:
    """The shop's server, bound to its address but not yet answering; call `run` on it."""
    import waitress
    from django.conf import settings
    from django.urls import get_resolver

    from gambrel.shop.wsgi import application

    get_resolver().url_patterns  # noqa: B018  a mistake in the pages stops the start, not the first visitor
    keep_what_is_loaded()
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, *names_of_this_computer(host)]
    behind_proxy = {"trusted_proxy": TRUSTED_PROXY, "trusted_proxy_headers": set(TRUSTED_HEADERS),
                    "clear_untrusted_proxy_headers": True} if settings.HTTPS else {}  # fmt: skip
    try:
        return waitress.create_server(
            application, host=host, port=port, threads=THREADS, ident=None, connection_limit=400,
            max_request_body_size=LARGEST_REQUEST_BYTES, **behind_proxy,
        )  # fmt: skip
    except OSError as error:
        raise CannotDo([_cannot_listen(host, port, error)]) from error


def keep_what_is_loaded() -> None:
    """What is loaded by now stays: not looked through for rubbish again and again, at 80 ms for one page in four."""
    gc.collect()
    gc.freeze()


def run(server: Any) -> None:
    """Answer until the process is told to end; what is being answered then is answered first."""
    signal.signal(signal.SIGTERM, _end)
    server.run()


def seen_from_outside(address: str) -> str:
    """The address that people open: that of the proxy which speaks HTTPS, where there is one."""
    from django.conf import settings

    named = named_hosts()
    return f"https://{named[0]}/" if settings.HTTPS and named else address


def names_of_this_computer(host: str) -> list[str]:
    """Names by which browsers may ask for the shop when it listens on `host`."""
    if host not in _EVERY_ADDRESS:
        return [host]
    name = socket.gethostname()
    return sorted({name, f"{name}.local", *_own_addresses(name)})


def _own_addresses(name: str) -> set[str]:
    found = set()
    with contextlib.suppress(OSError):  # a computer whose own name is not known still has its address below
        found = {str(line[4][0]) for line in socket.getaddrinfo(name, None, socket.AF_INET)}
    with (
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking,
        contextlib.suppress(OSError),
    ):  # no network
        asking.connect(("192.0.2.1", 9))  # nothing is sent: it only tells which address would be used
        found.add(str(asking.getsockname()[0]))
    return found


def _end(signal_number: int, frame: FrameType | None) -> None:
    raise SystemExit(0)


def _cannot_listen(host: str, port: int, error: OSError) -> Finding:
    taken = error.errno == errno.EADDRINUSE
    return Finding(f"{host}:{port}", "taken by another program" if taken else (error.strerror or str(error)),
                   "an address of this computer with a free port", "Choose another with --port or --host.")  # fmt: skip
