"""Many scales at once, and a server that is killed in the middle: nothing lost, nothing doubled, nothing altered."""

from __future__ import annotations

import shutil
import uuid
from pathlib import Path
from typing import Any

import kill_test
import psycopg
import pytest
import scales
from served import ServedShop, gambrel, serving


@pytest.mark.own_file
def test_eight_scales_weigh_at_once(served_shop: ServedShop) -> None:
    """Each line is sent twice, as by a scale that heard no answer."""
    block = scales.side_on_block(served_shop.folder)
    weighing = [scales.Scale() for _ in range(8)]
    scales.together(served_shop.address, block, weighing, most=25, twice=True)
    account = scales.account(weighing, scales.lines_in_file(served_shop.folder, block))
    assert account.clean, account
    assert account.sent == account.acknowledged == account.kept == 200


@pytest.mark.own_file
def test_two_sides_on_the_block_are_kept_apart(served_shop: ServedShop) -> None:
    blocks = [scales.side_on_block(served_shop.folder) for _ in range(2)]
    assert blocks[0].cutting_id != blocks[1].cutting_id
    for block in blocks:
        weighing = [scales.Scale()]
        scales.together(served_shop.address, block, weighing, most=5)
        account = scales.account(weighing, scales.lines_in_file(served_shop.folder, block))
        assert account.clean and account.kept == 5


@pytest.mark.own_file
def test_what_was_acknowledged_outlives_a_killed_server(
    prepared_shop: tuple[Path, Any], tmp_path: Path
) -> None:
    """Five kills; `python tools/kill_test.py` does a hundred."""
    shutil.copytree(prepared_shop[0], tmp_path / "shop")
    account = kill_test.kill_rounds(tmp_path / "shop", 5)
    assert account.clean, account
    assert account.acknowledged == account.sent == account.kept > 20


def test_eight_scales_weigh_at_once_on_postgresql(
    prepared_shop: tuple[Path, Any], server_database: str, tmp_path: Path
) -> None:
    gambrel("backup", str(tmp_path / "kept.zip"), "--shop", str(prepared_shop[0]))
    gambrel("restore", str(tmp_path / "kept.zip"), "--shop", str(tmp_path / "shop"), database=server_database)
    block = scales.side_on_block(tmp_path / "shop", database=server_database)
    weighing = [scales.Scale() for _ in range(8)]
    with serving(tmp_path / "shop", database=server_database) as served:
        scales.together(served.address, block, weighing, most=25, twice=True)
    with psycopg.connect(server_database) as server:
        lines = [
            (str(key), float(kg))
            for key, kg in server.execute(
                "SELECT key, weight_kg FROM records_scaleweight WHERE cutting_id = %s", [block.cutting_id]
            )
        ]
    account = scales.account(weighing, lines)
    assert account.clean and account.sent == account.acknowledged == account.kept == 200, account


def test_the_account_tells_what_is_wrong() -> None:
    """So that a clean account means something."""
    a, b, c, d = (str(uuid.UUID(int=number)) for number in range(4))
    scale = scales.Scale({a: 1.0, b: 2.0, c: 3.0}, {a, b}, ["409 no"])
    told = scales.account([scale], [(a, 1.0), (a, 1.0), (c, 3.1), (d, 1.0)])
    assert (told.lost, told.doubled, told.altered, told.unknown) == ((b,), (a,), (c,), (d,))
    assert not told.clean and scale.in_doubt == [c]
    assert "3 sent, 2 acknowledged, 4 kept; 1 lost, 1 doubled, 1 altered, 1 unknown, 1 refused" in str(told)
