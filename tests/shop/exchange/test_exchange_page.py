"""In and out: a table is looked at before it is stored, whole or not at all; everything can be taken along."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from decimal import Decimal
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from gambrel.shop.records import import_files
from gambrel.shop.records.imports import SUBJECTS
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Demand,
    Device,
    Order,
    Pack,
    Person,
    Side,
    Supplier,
    Weighing,
)  # fmt: skip

pytestmark = pytest.mark.django_db

ANIMALS = """tag,kind,sex,killed,hot_left_lb,hot_right_lb,supplier,paid_by,price_per_lb,kill_fee_dollars,kph_pct
G71,grass-finished,steer,2026-03-02,352,349.5,Larkspur Draw,rail,3.10,95,2.0
B71,bison,bull,2026-03-03,340,,Our own herd,,,,
"""


def bring(client: Client, subject: str, data: str | bytes, name: str = "../../table.csv") -> Any:
    content = data.encode() if isinstance(data, str) else data
    sent = {"subject": subject, "table": SimpleUploadedFile(name, content)}
    return client.post("/exchange/bring/", sent, follow=True)


def accept(client: Client, looked: Any) -> Any:
    (address,) = re.findall(r'action="(/exchange/store/[^"]+)"', looked.content.decode())
    return client.post(address, follow=True)


def test_animals_come_with_their_sides_and_bill(owner_client: Client) -> None:
    looked = bring(owner_client, "animals", ANIMALS)
    assert "2 rows" in looked.content.decode() and not Animal.objects.filter(tag="G71").exists()
    accept(owner_client, looked)
    animal = Animal.objects.get(tag="G71")
    hot_kg = {side.half: side.hot_kg for side in animal.sides.all()}
    # 1 lb = 0.45359237 kg exactly (NIST SP 811, 2008)
    assert hot_kg == {"left": Decimal("159.665"), "right": Decimal("158.531")}
    assert animal.bill.kill_fee_cents == 9500 and animal.bill.paid_cents == pytest.approx(
        310 * (352 + 349.5),
        abs=1,  # each side is kept to the gram
    )
    assert [side.half for side in Animal.objects.get(tag="B71").sides.all()] == ["left"]


def test_one_bad_row_keeps_the_whole_table_out_and_all_is_said_at_once(owner_client: Client) -> None:
    bad = ANIMALS + "G72,unicorn,steer,2026-13-02,352,349,,,,,\nG71,bison,bull,2026-03-02,352,,,,,,\n"
    text = bring(owner_client, "animals", bad).content.decode()
    assert "row 4, kind" in text and "row 4, killed" in text and "row 5, tag" in text
    assert "Store it" not in text
    assert not Animal.objects.filter(tag__in=("G71", "B71", "G72")).exists()
    assert not AuditLine.objects.filter(what="brought in", after__tag="G71").exists()


def test_a_table_stored_twice_is_stored_once(owner_client: Client) -> None:
    looked = bring(owner_client, "weighings", "side,weight,at\nB1-left,333.4 lb,2026-03-08 07:30\n")
    (address,) = re.findall(r'action="(/exchange/store/[^"]+)"', looked.content.decode())
    before = Weighing.objects.count()
    owner_client.post(address)
    again = owner_client.post(address, follow=True)
    assert Weighing.objects.count() == before + 1 and "waits no more" in again.content.decode()
    accept(
        owner_client, bring(owner_client, "weighings", "side,weight,at\nB1-left,333.4 lb,2026-03-08 07:30\n")
    )
    assert Weighing.objects.count() == before + 1  # the same file brought again
    line = Weighing.objects.order_by("-pk")[0]
    assert (
        line.at.isoformat() == "2026-03-08T13:30:00+00:00"
    )  # half past seven in Denver, summer time since that day
    assert line.typed == "333.4 lb" and line.weight_kg == Decimal("151.228")


def test_steps_of_a_product_come_together(owner_client: Client) -> None:
    rows = "cut,kinds,upto_kg,price_per_kg,shelf_days\nflank-steak,wagyu,3,60,4\nflank-steak,wagyu,8,45.5,4\n"
    Demand.objects.filter(slug="flank-steak").delete()
    accept(owner_client, bring(owner_client, "demand", rows))
    demand = Demand.objects.get(slug="flank-steak")
    assert demand.kinds == ["wagyu"] and demand.shelf_days == 4
    assert [(step["upto_kg"], round(step["price_cents_per_kg"], 6)) for step in demand.steps] == [
        (3, 6000),
        (8, 4550),
    ]


def test_what_the_freezer_sells_comes_with_the_first_row_or_stays_as_it_is(owner_client: Client) -> None:
    Demand.objects.filter(slug="flank-steak").delete()
    head = "cut,kinds,upto_kg,price_per_kg,frozen_upto_kg,frozen_price_per_kg,frozen_kept_per_kg\n"
    accept(owner_client, bring(owner_client, "demand", head + "flank-steak,wagyu,3,60,2,40,25.5\n"))
    said = ("frozen_upto_kg", "frozen_price_cents_per_kg", "frozen_kept_cents_per_kg")
    assert Demand.objects.filter(slug="flank-steak").values_list(*said).get() == (2.0, 4000.0, 2550.0)
    accept(
        owner_client,
        bring(owner_client, "demand", "cut,kinds,upto_kg,price_per_kg\nflank-steak,wagyu,4,61\n"),
    )
    assert Demand.objects.filter(slug="flank-steak").values_list(*said).get() == (2.0, 4000.0, 2550.0)
    half = bring(owner_client, "demand", head + "flank-steak,wagyu,3,60,,40,\n").content.decode()
    assert "both frozen_upto and frozen_price, or neither" in half and "Store it" not in half


def test_orders_and_suppliers_come_from_a_workbook(owner_client: Client) -> None:
    book, out = openpyxl.Workbook(), io.BytesIO()
    sheet = book.active
    sheet.append(["customer", "cut", "kinds", "weight_kg", "by", "price_per_kg"])
    sheet.append(["The Juniper Table", "ribeye-steak", "bison", 4.5, "2026-03-20", 55])
    sheet.append([None, None, None, None, None, None])
    book.save(out)
    accept(owner_client, bring(owner_client, "orders", out.getvalue(), "orders.xlsx"))
    order = Order.objects.order_by("-pk")[0]
    assert (order.weight_kg, order.price_cents_per_kg, order.kinds) == (Decimal("4.500"), 5500.0, ["bison"])
    accept(owner_client, bring(owner_client, "suppliers", "name;note\nLarkspur Draw;grass all year\n"))
    assert Supplier.objects.get(name="Larkspur Draw").note == "grass all year"


@pytest.mark.parametrize("data", [b"", b"\x00\x01\x02", b"PK\x03\x04 broken", b"tag\n", b"no,such,columns\n1,2,3\n",
                                  b"\xff\xfe", b"tag,kind,sex,killed\n" + b"," * 5000 + b"\n", b'"' * 999])  # fmt: skip
@pytest.mark.parametrize("subject", ["animals", "demand"])
def test_files_that_are_no_table_are_told_so(owner_client: Client, data: bytes, subject: str) -> None:
    looked = bring(owner_client, subject, data)
    assert looked.status_code in (200, 400) and "Store it" not in looked.content.decode()


@pytest.mark.parametrize("subject", sorted(SUBJECTS))
def test_the_example_of_each_table_can_be_brought_as_it_is(owner_client: Client, subject: str) -> None:
    data = owner_client.get(f"/exchange/example/{subject}.csv").content
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    assert [column.name for column in SUBJECTS[subject].columns] == rows[0]
    if subject == "weighings":
        data = data.replace(b"G7-left", b"B1-left")  # its animal must hang
    assert "Store it" in bring(owner_client, subject, data).content.decode()


def test_a_table_put_away_is_gone(owner_client: Client) -> None:
    looked = bring(owner_client, "animals", ANIMALS)
    (address,) = re.findall(r'action="(/exchange/forget/[^"]+)"', looked.content.decode())
    owner_client.post(address)
    assert owner_client.get(looked.request["PATH_INFO"]).status_code == 404
    assert not Animal.objects.filter(tag="G71").exists()


def test_a_large_file_is_refused(owner_client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gambrel.shop.pages.exchange.forms.LARGEST_BYTES", 100)
    assert bring(owner_client, "animals", ANIMALS).status_code == 400


def test_names_of_files_are_our_own(owner_client: Client, settings: Any) -> None:
    bring(owner_client, "animals", ANIMALS, "../../../evil.csv")
    found = [path.name for path in (settings.PLACE.folder / "imports").iterdir()]
    assert found and all(re.fullmatch(r"[0-9a-f]{32}\.table", name) for name in found)


def test_old_tables_are_forgotten(owner_client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    first = import_files.keep(b"old")
    monkeypatch.setattr(import_files, "KEPT_S", -1)
    import_files.keep(b"new")
    assert import_files.waiting(first) is None


def test_everything_goes_out_without_secrets(owner_client: Client) -> None:
    answer = owner_client.get("/exchange/everything.zip")
    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as archive:
        rows = {name: list(csv.reader(io.StringIO(archive.read(name).decode("utf-8-sig"))))
                for name in archive.namelist() if name.endswith(".csv")}  # fmt: skip
    assert (
        len(rows["side.csv"]) == 1 + Side.objects.count()
        and len(rows["pack.csv"]) == 1 + Pack.objects.count()
    )
    side = dict(zip(rows["side.csv"][0], rows["side.csv"][1], strict=True))
    assert Decimal(side["hot_kg"]) == Side.objects.get(pk=side["id"]).hot_kg
    assert "password" not in rows["person.csv"][0] and "fingerprint" not in rows["device.csv"][0]
    assert not any("argon2" in cell or "md5$" in cell for row in rows["person.csv"] for cell in row)


def test_the_workbook_opens_and_counts(owner_client: Client) -> None:
    book = openpyxl.load_workbook(io.BytesIO(owner_client.get("/exchange/everything.xlsx").content))
    assert (
        book["side"].max_row == 1 + Side.objects.count()
        and book["person"].max_row == 1 + Person.objects.count()
    )
    assert "about" in book.sheetnames and "password" not in [cell.value for cell in book["person"][1]]


def test_a_key_is_shown_once_and_withdrawn(owner_client: Client) -> None:
    made = owner_client.post("/exchange/keys/", {"name": "Block scale", "may_write": "on"}).content.decode()
    (key,) = re.findall(r"<code>([\w-]{43})</code>", made)
    assert Client(headers={"X-Device-Key": key}).get("/api/sides").status_code == 200
    shown = owner_client.get("/exchange/").content.decode()
    assert "Block scale" in shown and key not in shown
    device = Device.objects.get(name="Block scale")
    owner_client.post(f"/exchange/keys/{device.pk}/withdraw/")
    assert Client(headers={"X-Device-Key": key}).get("/api/sides").status_code == 401
    again = owner_client.post("/exchange/keys/", {"name": "Block scale"})
    assert again.status_code == 400 and "Block scale" in again.content.decode()


@pytest.mark.parametrize("address", ["/exchange/", "/exchange/everything.zip", "/exchange/everything.xlsx"])
def test_only_the_owner_takes_everything_along(
    cutter_client: Client, counter_client: Client, address: str
) -> None:
    assert cutter_client.get(address).status_code == counter_client.get(address).status_code == 403
