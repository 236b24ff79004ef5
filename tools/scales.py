"""Scales at the block as the shop sees them: threads that post weights, note what was acknowledged, and try again."""

from __future__ import annotations

import http.client
import json
import sqlite3
import subprocess
import sys
import threading
import uuid
from collections import Counter
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import served

_PREPARE = """
import json, sys, uuid
from decimal import Decimal
from pathlib import Path
from gambrel.shop.opening import start
start(Path(sys.argv[1]))
from gambrel.shop.records.models import Person, Side
from gambrel.shop.records.services import block, devices
owner = Person.objects.get(role="owner")
side = Side.objects.filter(state="hanging").select_related("animal").order_by("hung_at", "pk").first()
cutting = block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=owner, key=uuid.uuid4())
_, key = devices.make(f"Scale {cutting.pk}", may_write=True, by=owner)
print(json.dumps([cutting.pk, key]))
"""


@dataclass(frozen=True)
class Block:
    """A side on the block, and the key of a device that may weigh there."""

    cutting_id: int
    device_key: str


@dataclass
class Scale:
    """One scale's weights: every line it ever sent by its key, and which of them the shop acknowledged."""

    sent_kg: dict[str, float] = field(default_factory=dict)
    acknowledged: set[str] = field(default_factory=set)
    refused: list[str] = field(default_factory=list)

    @property
    def in_doubt(self) -> list[str]:
        return [key for key in self.sent_kg if key not in self.acknowledged]


def side_on_block(folder: Path, *, database: str | None = None) -> Block:
    """The next side of the invented shop on the block, and a key for its scale."""
    done = subprocess.run([sys.executable, "-c", _PREPARE, str(folder)], stdout=subprocess.PIPE, check=True,
                          env=served.environment(database))  # fmt: skip
    cutting_id, key = json.loads(done.stdout)
    return Block(cutting_id, key)


def weigh_until(
    stop: threading.Event, address: str, block: Block, scale: Scale, *, most: int, twice: bool = False
) -> None:
    """Post up to `most` weights, one after another, until told to stop or the shop is gone.

    With `twice` every line is sent a second time, as a scale does that heard no answer.
    """
    parts = urlsplit(address)
    connection = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=30)
    with closing(connection):
        for number in range(most):
            if stop.is_set():
                return
            key = str(uuid.uuid4())
            scale.sent_kg[key] = round(0.5 + number % 400 / 100, 3)
            for _ in range(2 if twice else 1):
                if not _post(connection, block, scale, key):
                    return


def send_again(address: str, block: Block, scale: Scale) -> None:
    """Send what was never acknowledged once more, under the keys it had."""
    parts = urlsplit(address)
    connection = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=30)
    with closing(connection):
        for key in scale.in_doubt:
            if not _post(connection, block, scale, key):
                raise ConnectionError("the shop went away while nobody stopped it")


def _post(connection: http.client.HTTPConnection, block: Block, scale: Scale, key: str) -> bool:
    """Whether the shop was there to answer."""
    body = json.dumps({"key": key, "slug": "ribeye-steak", "weight_kg": scale.sent_kg[key]})
    try:
        connection.request("POST", f"/api/cuttings/{block.cutting_id}/weights", body,
                           {"Content-Type": "application/json", "X-Device-Key": block.device_key})  # fmt: skip
        answer = connection.getresponse()
        said = answer.read()
    except (OSError, http.client.HTTPException):
        return False
    if answer.status == 201:
        scale.acknowledged.add(key)
    else:
        scale.refused.append(f"{answer.status} {said[:200]!r}")
    return True


def together(address: str, block: Block, scales: Sequence[Scale], *, most: int, twice: bool = False) -> None:
    """All scales at once, each in a thread of its own, until each has sent `most` weights."""
    never = threading.Event()
    threads = [threading.Thread(target=weigh_until, args=(never, address, block, scale),
                                kwargs={"most": most, "twice": twice}) for scale in scales]  # fmt: skip
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


@dataclass(frozen=True)
class Account:
    """What the scales sent against what the records hold."""

    sent: int
    acknowledged: int
    kept: int
    lost: tuple[str, ...]
    doubled: tuple[str, ...]
    altered: tuple[str, ...]
    unknown: tuple[str, ...]
    refused: tuple[str, ...]

    @property
    def clean(self) -> bool:
        return not (self.lost or self.doubled or self.altered or self.unknown or self.refused)

    def __str__(self) -> str:
        return (f"{self.sent} sent, {self.acknowledged} acknowledged, {self.kept} kept; {len(self.lost)} lost, "
                f"{len(self.doubled)} doubled, {len(self.altered)} altered, {len(self.unknown)} unknown, "
                f"{len(self.refused)} refused")  # fmt: skip


def account(scales: Sequence[Scale], lines: Sequence[tuple[str, float]]) -> Account:
    """`lines`: key and weight [kg] of every line the records hold for the block."""
    sent = {key: kg for scale in scales for key, kg in scale.sent_kg.items()}
    acknowledged = {key for scale in scales for key in scale.acknowledged}
    kept = Counter(key for key, _ in lines)
    return Account(
        sent=len(sent),
        acknowledged=len(acknowledged),
        kept=len(lines),
        lost=tuple(acknowledged - kept.keys()),
        doubled=tuple(key for key, count in kept.items() if count > 1),
        altered=tuple(key for key, kg in lines if key in sent and abs(kg - sent[key]) > 0.0005),
        unknown=tuple(kept.keys() - sent.keys()),
        refused=tuple(said for scale in scales for said in scale.refused),
    )


def lines_in_file(folder: Path, block: Block) -> list[tuple[str, float]]:
    """Key and weight of every line off this side, read past the program from the file itself."""
    with closing(sqlite3.connect(folder / "shop.sqlite3")) as records:
        asked = "SELECT key, weight_kg FROM records_scaleweight WHERE cutting_id = ?"
        return [(str(uuid.UUID(key)), kg) for key, kg in records.execute(asked, (block.cutting_id,))]
