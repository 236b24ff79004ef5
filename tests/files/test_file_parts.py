"""Heads of JPEG files, Exif blocks and outlines put together by hand, byte by byte and point by point."""

from __future__ import annotations

import itertools
import json
import struct
from pathlib import Path

import mangled
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from gambrel.files.exif import Exif, read_exif
from gambrel.files.jpeg_decode import decode_jpeg, decode_patiently, is_damage, is_odd
from gambrel.files.jpeg_header import read_jpeg_header
from gambrel.files.outline_file import first_crossing, read_length, read_outline_file, read_seed
from gambrel.measures import Findings


def segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def frame(width: int, height: int, inks: int = 3, marker: int = 0xC0) -> bytes:
    """Start of frame: 8 bits, lines, samples a line, components. [ITU-T T.81, B.2.2]"""
    return segment(marker, struct.pack(">BHHB", 8, height, width, inks) + bytes(3 * inks))


def jpeg(*parts: bytes, scans: int = 1, data: bytes = b"\x12\x00" * 400, end: bytes = b"\xff\xd9") -> bytes:
    scan = segment(0xDA, bytes(10)) + data
    return b"\xff\xd8" + b"".join(parts) + scan * scans + end


def test_a_plain_head() -> None:
    head = read_jpeg_header(jpeg(segment(0xE0, b"JFIF\x00"), frame(640, 480)))
    assert head is not None
    assert (head.width_px, head.height_px, head.inks, head.passes, head.ends) == (640, 480, 3, 1, True)
    assert head.exif == b""


@pytest.mark.parametrize("marker", [0xC0, 0xC1, 0xC2, 0xC3, 0xC9, 0xCA])
def test_every_kind_of_frame_tells_the_size(marker: int) -> None:
    head = read_jpeg_header(jpeg(frame(31, 17, marker=marker)))
    assert head is not None and (head.width_px, head.height_px) == (31, 17)


@pytest.mark.parametrize("marker", [0xC4, 0xC8, 0xCC])
def test_tables_are_not_taken_for_frames(marker: int) -> None:
    head = read_jpeg_header(jpeg(frame(640, 480), segment(marker, b"\xff" * 20)))
    assert head is not None and (head.width_px, head.height_px) == (640, 480)


def test_of_two_sizes_the_larger_counts() -> None:
    head = read_jpeg_header(jpeg(frame(100, 90), frame(60_000, 50)))
    assert head is not None and (head.width_px, head.height_px) == (60_000, 90)


@pytest.mark.parametrize("scans", [1, 3, 40])
def test_passes_are_counted(scans: int) -> None:
    head = read_jpeg_header(jpeg(frame(64, 64), scans=scans))
    assert head is not None and head.passes == scans


def test_a_file_without_its_end_is_told() -> None:
    head = read_jpeg_header(jpeg(frame(64, 64), end=b""))
    assert head is not None and not head.ends


def test_many_pixels_in_few_bytes_are_told_only_for_one_pass() -> None:
    """An even block of 64 pixels takes at least two bits, so 256 pixels a byte."""
    thin = jpeg(frame(4000, 3000), data=b"\x12" * 1000)
    assert read_jpeg_header(thin).too_short  # type: ignore[union-attr]
    enough = jpeg(frame(4000, 3000), data=b"\x12" * (4000 * 3000 // 256 + 20))
    assert not read_jpeg_header(enough).too_short  # type: ignore[union-attr]


def test_fill_bytes_and_lone_markers_are_passed_over() -> None:
    head = read_jpeg_header(b"\xff\xd8" + b"\xff" * 5 + b"\xff\x01" + jpeg(frame(50, 40))[2:])
    assert head is not None and head.width_px == 50


@pytest.mark.parametrize(
    "data",
    [b"\xff\xd8", b"\xff\xd8\xff\xd9\x00\x00", b"\xff\xd8\x00\x00\x00\x00", b"\xff\xd8\xff\xe0\x00\x01"],
)
def test_heads_that_lead_nowhere(data: bytes) -> None:
    assert read_jpeg_header(data) is None


def test_the_first_exif_block_is_the_one() -> None:
    first, second = b"Exif\x00\x00first", b"Exif\x00\x00second"
    head = read_jpeg_header(
        jpeg(segment(0xE1, b"http:x"), segment(0xE1, first), segment(0xE1, second), frame(8, 8))
    )
    assert head is not None and head.exif == first


def tiff(entries: list[tuple[int, int, int, int]], order: str = "<", tail: bytes = b"") -> bytes:
    """A folder of entries (tag, kind, count, value) and what follows it. [TIFF 6.0, section 2]"""
    block = (b"II*\x00" if order == "<" else b"MM\x00*") + struct.pack(order + "IH", 8, len(entries))
    for tag, kind, count, value in entries:
        # A short number fills the first two of the four bytes of its value, whichever the order.
        packed = struct.pack(order + "HH", value, 0) if kind == 3 else struct.pack(order + "I", value)
        block += struct.pack(order + "HHI", tag, kind, count) + packed
    return block + bytes(4) + tail


@pytest.mark.parametrize(("order", "orientation"), list(itertools.product("<>", range(1, 9))))
def test_the_way_up_in_either_order_of_bytes(order: str, orientation: int) -> None:
    assert read_exif(tiff([(0x0112, 3, 1, orientation)], order)) == Exif(orientation)
    assert read_exif(b"Exif\x00\x00" + tiff([(0x0112, 3, 1, orientation)], order)).orientation == orientation


@pytest.mark.parametrize(("order", "mm"), list(itertools.product("<>", [5, 26, 77, 2000])))
def test_focal_length_in_a_folder_within(order: str, mm: int) -> None:
    outer = tiff([(0x8769, 4, 1, 26)], order)
    inner = struct.pack(order + "HHHI", 1, 0xA405, 3, 1) + struct.pack(order + "HH", mm, 0)
    assert len(outer) == 26
    assert read_exif(outer + inner).focal_equiv_mm == mm


@pytest.mark.parametrize("mm", [0, 4, 2001, 65535])
def test_a_focal_length_that_no_phone_has_is_not_there(mm: int) -> None:
    assert read_exif(tiff([(0xA405, 3, 1, mm)])).focal_equiv_mm is None


@pytest.mark.parametrize(
    "text", [b"2026:02:30 10:00:00", b"2026-03-09 14:05:00", b"    :  :     :  :  ", b"\xff" * 19]
)
def test_moments_that_are_none(text: bytes) -> None:
    assert read_exif(tiff([(0x9003, 2, 20, 26)], tail=text + b"\x00")).taken_at is None


def test_a_moment_that_is_one() -> None:
    assert (
        read_exif(tiff([(0x9003, 2, 20, 26)], tail=b"2026:03:09 14:05:00\x00")).taken_at
        == "2026-03-09 14:05:00"
    )


def test_a_folder_that_is_its_own_does_not_go_round() -> None:
    assert read_exif(tiff([(0x8769, 4, 1, 8), (0x0112, 3, 1, 6)])).orientation == 6


@pytest.mark.parametrize(("muttered", "damage", "odd"), [
    ("", False, False), ("Corrupt JPEG data: premature end of data segment", True, False),
    ("Corrupt JPEG data: bad Huffman code", True, False), ("Corrupt JPEG data: found marker 0xd9", True, False),
    ("Corrupt JPEG data: 12 extraneous bytes before marker 0xd9", False, True),
    ("Corrupt JPEG data: 4096 extraneous bytes before marker 0xd9", True, False), ("some other word", False, False),
])  # fmt: skip
def test_what_the_decoder_mutters(muttered: str, damage: bool, odd: bool) -> None:
    assert (is_damage(muttered), is_odd(muttered)) == (damage, odd)


@pytest.mark.parametrize("options", [
    {}, {"progressive": True}, {"subsampling": 0}, {"subsampling": 1}, {"quality": 100}, {"quality": 5},
    {"optimize": True},
])  # fmt: skip
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_the_quick_and_the_patient_decoder_give_the_same_pixels(
    options: dict[str, object], mode: str
) -> None:
    """Two libraries beside each other; odd sizes, so that the last block of each row is only partly used."""
    picture = Image.fromarray(mangled.scene()[:223, :301]).convert(mode)
    data = mangled.encoded("JPEG", picture, **options)
    quick, patient = decode_jpeg(data), decode_patiently(data)
    assert quick[1] == patient[1] == ""
    assert quick[0] is not None and patient[0] is not None
    assert (quick[0] == patient[0]).all()


def test_a_picture_takes_the_room_of_one_that_nobody_holds_any_more() -> None:
    """And never that of one of which a part is still held."""
    first = decode_jpeg(mangled.whole("JPEG"))[0]
    assert first is not None
    before, part = first.copy(), first[10:20, 5:]
    del first
    other = decode_jpeg(mangled.encoded("JPEG", Image.fromarray(255 - mangled.scene())))[0]
    assert other is not None and not np.shares_memory(other, part)
    assert (part == before[10:20, 5:]).all()
    room = other.ctypes.data
    del other
    again = decode_jpeg(mangled.whole("JPEG"))[0]
    assert again is not None and again.ctypes.data == room and (again == before).all()


def test_a_few_bytes_too_many_are_passed_over_and_said() -> None:
    data = mangled.whole("JPEG")
    pixels, muttered = decode_jpeg(data[:-2] + bytes(40) + data[-2:])
    assert pixels is not None and (pixels == decode_jpeg(data)[0]).all()
    assert is_odd(muttered)


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xd8\xff\xd9", mangled.whole("PNG")[8:], mangled.whole("JPEG")[:300]]
)
def test_what_holds_no_picture_gives_none(data: bytes) -> None:
    assert decode_jpeg(data)[0] is None


def test_another_revision_of_the_head_costs_no_picture() -> None:
    """The quick decoder stops at it."""
    data = bytearray(mangled.whole("JPEG"))
    data[data.index(b"JFIF\x00") + 5] = 7
    pixels, muttered = decode_jpeg(bytes(data))
    assert "JFIF" in muttered and not is_damage(muttered)
    assert pixels is not None and (pixels == decode_jpeg(mangled.whole("JPEG"))[0]).all()


def crosses(outline: np.ndarray) -> bool:
    """By brute force: two sides that are not neighbours meet, found by solving for where their lines cross."""
    count = len(outline)
    for one, other in itertools.combinations(range(count), 2):
        if other - one in (1, count - 1):
            continue
        a, b = outline[one], outline[(one + 1) % count]
        c, d = outline[other], outline[(other + 1) % count]
        matrix = np.column_stack([b - a, c - d])
        if abs(np.linalg.det(matrix)) < 1e-12:
            continue
        s, t = np.linalg.solve(matrix, c - a)
        if -1e-12 <= s <= 1 + 1e-12 and -1e-12 <= t <= 1 + 1e-12:
            return True
    return False


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(6, 14))
def test_crossings_as_by_brute_force(seed: int, count: int) -> None:
    outline = np.random.default_rng(seed).uniform(0, 1000, (count, 2))
    assert (first_crossing(outline) is not None) == crosses(outline)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(6, 200))
def test_a_round_about_a_middle_never_crosses(seed: int, count: int) -> None:
    """However ragged: a star seen from its middle."""
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, count)) if count > 50 else np.arange(count) * 2 * np.pi / count
    far = rng.uniform(100, 400, count)
    outline = 500 + np.stack([far * np.cos(angle), far * np.sin(angle)], axis=1)
    assert first_crossing(outline) is None


@settings(max_examples=30, deadline=None)
@given(
    points=st.lists(
        st.tuples(st.floats(0, 4000, width=32), st.floats(0, 3000, width=32)), min_size=6, max_size=9
    )
)
def test_an_outline_is_read_as_written_or_refused_once(points: list[tuple[float, float]]) -> None:
    import tempfile

    findings = Findings()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "outline.json"
        path.write_text(json.dumps({"outline_px": points}))
        outline = read_outline_file(path, findings)
    if outline is None:
        assert len(list(findings)) == 1
    else:
        assert not list(findings)
        wanted = points[:-1] if points[0] == points[-1] else points
        assert outline.tolist() == [list(point) for point in wanted]


@settings(max_examples=40, deadline=None)
@given(x=st.floats(-100, 9000), y=st.floats(-100, 9000), mm=st.integers(5, 2000))
def test_lengths_and_seeds_come_back_as_typed(x: float, y: float, mm: int) -> None:
    findings = Findings()
    known = read_length(f"{x},{y},{x + 300},{y},{mm}mm", findings)
    assert known is not None and not list(findings)
    assert (known.from_px, known.to_px) == ((x, y), (x + 300, y))
    assert known.length_mm == pytest.approx(mm)
    assert read_seed(f"{x},{y}", findings) == (x, y)


@pytest.mark.parametrize(("text", "mm"), [("12cm", 120), ("0.12m", 120), ("4in", 101.6), ("105mm", 105)])
def test_lengths_in_any_unit(text: str, mm: float) -> None:
    known = read_length(f"0,0,100,0,{text}", Findings())
    assert known is not None and known.length_mm == pytest.approx(mm)
