"""Photographs as files of the shop: told by content, named by us, taken away whole, copied for screens."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import cv2
import numpy as np
import pytest
from django.conf import settings
from django.test import Client

from gambrel.measures import CannotDo
from gambrel.shop.records import photograph_files as files
from gambrel.shop.records.models import Photograph, Side

FACE = np.zeros((900, 1200, 3), np.uint8)
FACE[:, :600] = (40, 40, 200)
"""Left half red, right half black."""


def encoded(ending: str) -> bytes:
    return cv2.imencode(ending, FACE)[1].tobytes()


def stored(name: str) -> Path:
    path: Path = settings.PLACE.photographs / name
    return path


@pytest.mark.parametrize(
    ("ending", "content_type", "kept_as"),
    [(".jpg", "image/jpeg", "jpg"), (".png", "image/png", "png"), (".webp", "image/webp", "webp"),
     (".tiff", "image/tiff", "tif")],
)  # fmt: skip
def test_every_kind_is_told_by_its_bytes(ending: str, content_type: str, kept_as: str) -> None:
    data = encoded(ending)
    upload = files.checked(data, name="C1-left")
    assert upload.content_type == content_type
    assert upload.decoded.stored_size == (1200, 900)
    assert upload.sha256 == hashlib.sha256(data).hexdigest()
    name = files.write(upload)
    assert re.fullmatch(rf"[0-9a-f]{{32}}\.{kept_as}", name)
    assert stored(name).read_bytes() == data
    files.remove(name)
    assert not stored(name).exists()


def test_two_of_the_same_get_names_of_their_own() -> None:
    upload = files.checked(encoded(".jpg"), name="C1-left")
    names = {files.write(upload) for _ in range(5)}
    assert len(names) == 5
    for name in names:
        files.remove(name)


def test_what_is_none_is_refused_under_the_side_s_name() -> None:
    with pytest.raises(CannotDo) as refused:
        files.checked(b"not a picture", name="C1-left")
    assert refused.value.findings[0].where == "C1-left"


def test_copies_go_with_the_photograph() -> None:
    upload = files.checked(encoded(".jpg"), name="C1-left")
    name = files.write(upload)
    files.make_copies(name, upload)
    copies = list(stored(files.COPIES).glob(f"{Path(name).stem}-*.jpg"))
    assert len(copies) == len(files.SIZES_PX)
    files.remove(name)
    assert not any(copy.exists() for copy in copies)
    files.remove(name)  # once more does no harm


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
class TestStored:
    """A photograph of the records."""

    def photograph(self, name: str) -> Photograph:
        return Photograph.objects.create(
            side=Side.objects.all()[0], at="2026-03-09T10:00Z", file=name, content_type="image/png", sha256="0" * 64,
            width_px=1200, height_px=900,
        )  # fmt: skip

    def test_a_copy_is_a_small_upright_jpeg_whatever_was_sent(self) -> None:
        name = files.write(files.checked(encoded(".png"), name="x"))
        photograph = self.photograph(name)
        for size, longest_px in files.SIZES_PX.items():
            copy = cv2.imdecode(
                np.frombuffer(files.copy_for_screen(photograph, size), np.uint8), cv2.IMREAD_COLOR
            )
            assert max(copy.shape[:2]) == min(1200, longest_px)
            left, right = copy[:, : copy.shape[1] // 3].mean(), copy[:, -copy.shape[1] // 3 :].mean()
            assert left > 60 and right < 5
        files.remove(name)

    def test_a_photograph_turned_by_the_camera_is_shown_upright(self) -> None:
        """Way up 6: the first stored row is the right-hand side of what was seen (Exif 2.32, CIPA DC-008, 2019)."""
        import io

        from PIL import Image

        exif = Image.Exif()
        exif[0x0112] = 6
        sent = io.BytesIO()
        Image.fromarray(FACE[:, :, ::-1]).save(sent, "JPEG", exif=exif)
        upload = files.checked(sent.getvalue(), name="x")
        assert upload.decoded.orientation == 6
        name = files.write(upload)
        copy = cv2.imdecode(
            np.frombuffer(files.copy_for_screen(self.photograph(name), "small"), np.uint8), cv2.IMREAD_COLOR
        )
        assert copy.shape[:2] == (640, 480)
        assert copy[:300].mean() > 60 and copy[-300:].mean() < 5  # stored left is upright top
        files.remove(name)

    def test_a_file_that_is_gone_is_no_page_and_no_crash(self, owner_client: Client) -> None:
        photograph = self.photograph("0" * 32 + ".png")
        assert owner_client.get(f"/ribface/picture/{photograph.pk}/screen.jpg").status_code == 404
        with pytest.raises(CannotDo):
            files.copy_for_screen(photograph, "screen")
