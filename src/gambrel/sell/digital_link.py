"""The same elements as a web address in a QR code: item, variant, lot and serial in the path, the rest after it.

[GS1 Digital Link URI syntax, GS1 AISBL; the order of the qualifiers from the GS1 Syntax Dictionary]
"""

from __future__ import annotations

import re
from urllib.parse import parse_qsl, quote, unquote, urlsplit

from gambrel.measures import CannotDo, Finding, Findings
from gambrel.sell.application_identifiers import IDENTIFIERS
from gambrel.sell.element_strings import Elements, look_over

KEY = "01"
QUALIFIERS = ("22", "10", "21")
"""What may follow the item in the path, in this order; each may be left out."""

_HOST = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?(?::\d{1,5})?")


def digital_link(elements: Elements, *, host: str) -> str:
    """The address for these elements at the shop's own host. `CannotDo` lists what is wrong."""
    findings = Findings(look_over(elements))
    values = dict(elements)
    if KEY not in values:
        findings.add("web address", "no item", "an item number (01)", "Give the cut an item number.")
    if not _HOST.fullmatch(host):
        findings.add("host", host, "a host name without signs around it", "Write it like shop.example.")
    findings.stop_if_any()
    path = "".join(f"/{ai}/{_safe(values[ai])}" for ai in (KEY, *QUALIFIERS) if ai in values)
    rest = "&".join(f"{ai}={_safe(value)}" for ai, value in elements if ai not in (KEY, *QUALIFIERS))
    return f"https://{host}{path}" + (f"?{rest}" if rest else "")


def read_digital_link(address: str) -> dict[str, str]:
    """Identifiers and values of a scanned address. `CannotDo` says why it holds none.

    An item number of fewer digits is filled up to fourteen; words after the question mark that are no
    identifiers belong to the web page and are left out.
    """
    try:
        parts = urlsplit(address.strip())
    except ValueError:
        raise CannotDo([_no_address(address)]) from None
    steps = parts.path.strip("/").split("/")
    start = next((n for n in range(len(steps) - 1) if steps[n] == KEY), None)
    if parts.scheme not in ("http", "https") or start is None or (len(steps) - start) % 2:
        raise CannotDo([_no_address(address)])
    pairs = zip(steps[start::2], steps[start + 1 :: 2], strict=True)
    elements = [(ai, unquote(value)) for ai, value in pairs]
    elements[0] = (KEY, elements[0][1].rjust(14, "0"))
    elements += [(ai, value) for ai, value in parse_qsl(parts.query) if ai in IDENTIFIERS]
    findings = Findings(look_over(elements))
    findings.stop_if_any()
    return dict(elements)


def _no_address(address: str) -> Finding:
    again = "Scan it again, or type the pack's number."
    return Finding("code", address, "a web address with an item number in it", again)


def _safe(value: str) -> str:
    return quote(value, safe="")
