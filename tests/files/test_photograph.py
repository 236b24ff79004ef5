"""Photograph files as upright pixels: kinds, ways up, colours, and what is refused. Pillow is the outside truth."""

from __future__ import annotations

import io
import random
import struct
from pathlib import Path

import cv2
import mangled
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from gambrel.files.exif import read_exif
from gambrel.files.jpeg_header import read_jpeg_header
from gambrel.files.photograph import Photograph, read_photograph_bytes, read_photograph_file
from gambrel.files.turning import point_to_stored, point_to_upright, turn_upright
from gambrel.measures import CannotDo

SCENE = mangled.scene()
HEIGHT, WIDTH = SCENE.shape[:2]


def read(data: bytes, name: str = "face") -> Photograph:
    return read_photograph_bytes(data, name=name)


def refusal(data: bytes, name: str = "face") -> str:
    with pytest.raises(CannotDo) as caught:
        read(data, name)
    (finding,) = caught.value.findings
    assert finding.where == name
    assert finding.wanted
    assert finding.do.endswith(".")
    return finding.given


def exif_of(orientation: int, **more: object) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    if more:
        exif.get_ifd(0x8769).update({0x9003: more["taken"], 0xA405: more["focal"]})
    return exif.tobytes()


@pytest.mark.parametrize("kind", mangled.FORMATS)
def test_every_kind_is_told_by_its_bytes_not_its_name(kind: str) -> None:
    photograph = read(mangled.whole(kind), "side.pdf")
    assert photograph.bgr.shape == SCENE.shape
    assert photograph.bgr.dtype == np.uint8
    assert photograph.stored_size == (WIDTH, HEIGHT)
    assert photograph.warnings == ()
    exact = kind in ("PNG", "TIFF")
    off = np.abs(photograph.bgr[:, :, ::-1].astype(int) - SCENE)
    assert off.max() == 0 if exact else off.mean() < 12


def test_a_name_that_says_another_kind_is_warned_of() -> None:
    assert read(mangled.whole("PNG"), "side.JPG").warnings == (
        "the name ends in .jpg, the file is PNG; read as PNG",
    )


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_each_way_up_as_pillow_turns_it(kind: str, orientation: int) -> None:
    options = {"lossless": True} if kind == "WEBP" else {"quality": 100} if kind == "JPEG" else {}
    data = mangled.encoded(kind, exif=exif_of(orientation), **options)
    wanted = Image.open(io.BytesIO(data))
    wanted.load()
    upright = np.asarray(ImageOps.exif_transpose(wanted) if kind != "TIFF" else wanted)
    photograph = read(data)
    assert photograph.orientation == orientation
    assert photograph.stored_size == (WIDTH, HEIGHT)
    assert np.abs(photograph.bgr[:, :, ::-1].astype(int) - upright).max() <= 2


@given(st.integers(1, 8), st.integers(1, 9), st.integers(1, 9))
def test_points_go_with_their_pixels_and_come_back(orientation: int, width: int, height: int) -> None:
    stored = np.arange(width * height * 3, dtype=np.uint8).reshape(height, width, 3)
    upright = turn_upright(stored, orientation)
    points = np.array([(x, y) for y in range(height) for x in range(width)], dtype=float)
    turned = point_to_upright(points, (width, height), orientation)
    for (x, y), (u, v) in zip(points.astype(int), turned.astype(int), strict=True):
        assert (upright[v, u] == stored[y, x]).all()
    assert (point_to_stored(turned, (width, height), orientation) == points).all()


def test_a_heic_file_is_turned_once() -> None:
    """Its own turn is applied by the decoder; the same turn in its Exif block must not be applied again."""
    photograph = read(mangled.encoded("HEIF", exif=exif_of(6)))
    assert photograph.orientation == 1
    assert photograph.stored_size == (photograph.bgr.shape[1], photograph.bgr.shape[0]) == (HEIGHT, WIDTH)


def test_focal_length_and_moment() -> None:
    data = mangled.encoded("JPEG", exif=exif_of(1, taken="2026:03:09 14:05:00", focal=26))
    photograph = read(data)
    assert photograph.focal_equiv_mm == 26.0
    assert photograph.taken_at == "2026-03-09 14:05:00"
    silly = read(mangled.encoded("JPEG", exif=exif_of(1, taken="yesterday at noon..", focal=0)))
    assert silly.focal_equiv_mm is None
    assert silly.taken_at is None


@pytest.mark.parametrize("orientation", [0, 9, 65535])
def test_a_way_up_that_does_not_exist_is_said(orientation: int) -> None:
    block = b"MM\x00*\x00\x00\x00\x08\x00\x01" + struct.pack(">HHIHH", 0x0112, 3, 1, orientation, 0)
    photograph = read(mangled.encoded("JPEG", exif=b"Exif\x00\x00" + block))
    assert photograph.orientation == 1
    assert "way up that does not exist" in photograph.warnings[0]


@given(
    st.binary(max_size=300),
    st.sampled_from([b"", b"II*\x00", b"MM\x00*", b"Exif\x00\x00II*\x00\x08\x00\x00\x00"]),
)
def test_exif_nonsense_never_raises(noise: bytes, head: bytes) -> None:
    assert 1 <= read_exif(head + noise).orientation <= 8


@given(st.binary(max_size=300))
def test_jpeg_nonsense_never_raises(noise: bytes) -> None:
    header = read_jpeg_header(b"\xff\xd8\xff" + noise)
    assert header is None or header.passes >= 1


def test_see_through_parts_lie_on_white() -> None:
    clear = Image.new("RGBA", (240, 220), (200, 40, 40, 0))
    clear.paste((200, 40, 40, 255), (0, 0, 240, 110))
    photograph = read(mangled.encoded("PNG", clear))
    assert photograph.bgr[10, 10].tolist() == [40, 40, 200]
    assert photograph.bgr[200, 10].tolist() == [255, 255, 255]
    assert photograph.warnings == ("see-through parts were laid on white",)


def test_palette_grey_and_sixteen_bits() -> None:
    scene = Image.fromarray(SCENE)
    grey = np.asarray(scene.convert("L"))
    assert np.abs(read(mangled.encoded("PNG", scene.convert("L"))).bgr[:, :, 1].astype(int) - grey).max() <= 1
    palette = scene.quantize(64)
    wanted = np.asarray(palette.convert("RGB"))
    assert (read(mangled.encoded("PNG", palette)).bgr[:, :, ::-1] == wanted).all()
    deep = Image.fromarray(grey.astype(np.uint16) * 257)
    for kind in ("PNG", "TIFF"):
        assert (read(mangled.encoded(kind, deep)).bgr == grey[:, :, None]).all()
    deep_colour = mangled.png_of(16, 2, (SCENE.astype(">u2") * 257).tobytes(), size=(WIDTH, HEIGHT))
    assert (read(deep_colour).bgr[:, :, ::-1] == SCENE).all()


@pytest.mark.parametrize("kind", ["JPEG", "TIFF"])
def test_printing_inks_are_read_and_said(kind: str) -> None:
    photograph = read(mangled.encoded(kind, Image.fromarray(SCENE).convert("CMYK")))
    assert np.abs(photograph.bgr[:, :, ::-1].astype(int) - SCENE).mean() < 15
    assert "CMYK" in photograph.warnings[0]


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "TIFF"])
def test_of_several_pictures_the_first_is_read_and_said(kind: str) -> None:
    frames = [Image.fromarray(SCENE), Image.new("RGB", (WIDTH, HEIGHT), "blue")]
    photograph = read(mangled.encoded(kind, frames[0], save_all=True, append_images=frames[1:]))
    assert np.abs(photograph.bgr[:, :, ::-1].astype(int) - SCENE).mean() < 12
    assert photograph.warnings == ("more than one picture in the file; the first was read",)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_a_giant_claim_is_refused_before_it_is_decoded(kind: str) -> None:
    given_words = refusal(mangled.resized(kind, 16_000, 16_000)[1])
    assert "16,000 x 16,000 pixels (256.0 million)" in given_words or "broken" in given_words


def test_small_files_that_claim_much_are_broken_off() -> None:
    assert refusal(mangled.resized("JPEG", 8000, 6000)[1]) == "a JPEG file that breaks off before its end"


def test_passes_without_end_are_refused() -> None:
    data = mangled.encoded("JPEG", progressive=True)
    start = data.rindex(b"\xff\xda")
    assert "passes" in refusal(data[:start] + data[start:-2] * 2000 + data[-2:])
    assert read(data).bgr.shape == SCENE.shape


@pytest.mark.parametrize("kind", mangled.FORMATS)
def test_half_a_file_is_refused(kind: str) -> None:
    assert kind in refusal(mangled.whole(kind)[: len(mangled.whole(kind)) // 2])


@pytest.mark.parametrize("seed", range(6))
def test_damage_within_a_jpeg_is_heard(seed: int, capfd: pytest.CaptureFixture[str]) -> None:
    data = bytearray(mangled.encoded("JPEG", Image.fromarray(mangled.scene(1200, 900)), quality=95))
    draw = random.Random(seed)
    for _ in range(200):
        data[draw.randrange(len(data) // 3, len(data) - 40)] = draw.randrange(255)
    assert refusal(bytes(data)) == "a damaged JPEG file; part of the picture is lost"
    assert capfd.readouterr().err == ""


def test_filled_up_bytes_are_only_said() -> None:
    whole = mangled.whole("JPEG")
    photograph = read(whole[:-2] + bytes(20) + whole[-2:])
    assert (photograph.bgr == read(whole).bgr).all()
    assert "bytes that do not belong there" in photograph.warnings[0]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "an empty file"),
        (b"GIF89a" + bytes(50), "GIF file"),
        (b"%PDF-1.7", "PDF file"),
        (b"hello", "no picture that is known"),
        (b"\xff\xd8\xff\xe0", "a JPEG file that breaks off or is out of order"),
        (mangled.encoded("JPEG", Image.new("RGB", (199, 400))), "199 x 400 pixels"),
        (mangled.encoded("PNG", Image.new("RGB", (400, 120))), "400 x 120 pixels"),
    ],
)
def test_what_is_no_photograph(data: bytes, words: str) -> None:
    assert refusal(data) == words


def test_files_that_are_not_there(tmp_path: Path) -> None:
    for path, words in [(tmp_path / "none.jpg", "no such file"), (tmp_path, "a folder or device")]:
        with pytest.raises(CannotDo, match=words):
            read_photograph_file(path)
    big = tmp_path / "big.jpg"
    with big.open("wb") as stream:
        stream.truncate(90_000_000)
    with pytest.raises(CannotDo, match="90,000,000 bytes"):
        read_photograph_file(big)


def test_the_same_pixels_as_the_usual_decoder(tmp_path: Path) -> None:
    path = tmp_path / "face.jpg"
    path.write_bytes(mangled.whole("JPEG"))
    assert (read_photograph_file(path).bgr == cv2.imread(str(path))).all()
