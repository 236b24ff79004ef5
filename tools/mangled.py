"""Photograph files made wrong, from a seed: what a bad card, a bad post or a bad joke may hand to the reader."""

from __future__ import annotations

import io
import random
import struct
import zlib
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "HEIF")
ENDINGS = {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp", "TIFF": ".tif", "HEIF": ".heic"}
FACE_SEED = 50_000_234
MOST_SCAN_BYTES = 40_000_000
Mangled = tuple[str, bytes]
"""A file name with its ending, and the bytes."""


class Base:
    """What is mangled: a small oval, which decodes at once, or a rendered face, which the whole reader is tried on."""

    face = False


def use_face() -> None:
    """From now on a rendered face with its card, 1200 x 900, from a held-back seed of the renderer."""
    Base.face = True
    scene.cache_clear()
    whole.cache_clear()


def size_px() -> tuple[int, int]:
    """Width and height of the base picture."""
    return (1200, 900) if Base.face else (320, 240)


@cache
def scene(width: int = 0, height: int = 0) -> NDArray[np.uint8]:
    """The base picture, RGB (height, width, 3); of another size always the oval."""
    if Base.face and not width:
        from faces.render import render_face

        made = render_face(FACE_SEED, size=size_px(), difficulty="easy", kind="grain", want="good")
        return np.ascontiguousarray(made.bgr[:, :, ::-1])
    return _oval(*((width, height) if width else size_px()))


def _oval(width: int, height: int) -> NDArray[np.uint8]:
    """Something like a cut face: a red oval with pale threads in a pale surround."""
    rows, columns = np.mgrid[0:height, 0:width]
    oval = ((columns / width - 0.5) / 0.38) ** 2 + ((rows / height - 0.5) / 0.32) ** 2 < 1
    picture = np.where(oval[..., None], (150, 30, 40), (226, 214, 190)).astype(np.int16)
    threads = oval & ((columns * 3 + (rows**2) // 40) % 23 < 3)
    picture[threads] = (220, 190, 175)
    noise = np.random.default_rng(1).normal(0, 6, picture.shape)
    return np.clip(picture + noise, 0, 255).astype(np.uint8)


QUICKLY: dict[str, dict[str, Any]] = {
    "PNG": {"compress_level": 1},
    "WEBP": {"method": 0},
    "HEIF": {"enc_params": {"preset": "ultrafast"}},
}
"""How a kind is packed in little time; thousands of files are made."""


def encoded(kind: str, image: Image.Image | None = None, **options: Any) -> bytes:
    """The scene, or `image`, as a file of this kind."""
    if kind == "HEIF":
        import pillow_heif

        pillow_heif.register_heif_opener()
    stream = io.BytesIO()
    (image or Image.fromarray(scene())).save(stream, kind, **(QUICKLY.get(kind, {}) | options))
    return stream.getvalue()


@cache
def whole(kind: str) -> bytes:
    return encoded(kind)


def truncated(draw: random.Random) -> Mangled:
    kind = draw.choice(FORMATS)
    data = whole(kind)
    return ENDINGS[kind], data[
        : draw.choice([draw.randrange(len(data)), len(data) - draw.randint(1, 40), 30])
    ]


def bit_flipped(draw: random.Random) -> Mangled:
    kind = draw.choice(FORMATS)
    data = bytearray(whole(kind))
    near = draw.choice([len(data), 400, 60])
    for _ in range(draw.choice([1, 3, 30, 300])):
        data[draw.randrange(min(near, len(data)))] ^= 1 << draw.randrange(8)
    return ENDINGS[kind], bytes(data)


def zero_size(draw: random.Random) -> Mangled:
    kind = draw.choice(["empty", *FORMATS])
    width, height = size_px()
    return (
        (".jpg", b"") if kind == "empty" else resized(kind, *draw.choice([(0, 0), (0, height), (width, 0)]))
    )


def giant_claim(draw: random.Random) -> Mangled:
    size = draw.choice(
        [(65500, 65500), (65535, 65535), (30000, 20000), (65000, 200), (7100, 7100), (8000, 6200)]
    )
    return resized(draw.choice(FORMATS), *size)


def resized(kind: str, width: int, height: int) -> Mangled:
    """A small picture whose head claims another size."""
    data = bytearray(whole(kind))
    if kind == "JPEG":
        place = data.index(b"\xff\xc0")
        data[place + 5 : place + 9] = struct.pack(">HH", height, width)
    elif kind == "PNG":
        data[16:24] = struct.pack(">II", width, height)
        data[29:33] = struct.pack(">I", zlib.crc32(bytes(data[12:29])))
    elif kind == "WEBP":
        place = data.index(b"\x9d\x01\x2a")
        data[place + 3 : place + 7] = struct.pack("<HH", width & 0x3FFF, height & 0x3FFF)
    elif kind == "HEIF":
        place = data.index(b"ispe")
        data[place + 8 : place + 16] = struct.pack(">II", width, height)
    else:
        at = struct.unpack_from("<I", data, 4)[0]
        for place in range(at + 2, at + 2 + 12 * struct.unpack_from("<H", data, at)[0], 12):
            tag = struct.unpack_from("<H", data, place)[0]
            if tag in (256, 257):
                struct.pack_into("<HII", data, place + 2, 4, 1, width if tag == 256 else height)
    return ENDINGS[kind], bytes(data)


def wrong_ending(draw: random.Random) -> Mangled:
    kind, named = draw.sample(FORMATS, 2)
    return ENDINGS[named], whole(kind)


def other_file(draw: random.Random) -> Mangled:
    heads = [
        b"GIF89a",
        b"BM",
        b"%PDF-1.7\n",
        b"PK\x03\x04",
        b"<svg xmlns=''>",
        b"#!/bin/sh\n",
        b"\x00\x00\x00\x1cftypavif",
    ]
    return draw.choice(list(ENDINGS.values())), draw.choice(heads) + draw.randbytes(2000)


def inks(draw: random.Random) -> Mangled:
    kind = draw.choice(["JPEG", "TIFF"])
    return ENDINGS[kind], encoded(kind, Image.fromarray(scene()).convert("CMYK"))


def deep(draw: random.Random) -> Mangled:
    """16 bits a colour, ten of them in a HEIC file, 32-bit grey and floats."""
    kind = draw.choice(["PNG", "TIFF", "HEIF"])
    if kind == "HEIF":
        return ".heic", deep_heic()
    grey = scene()[:, :, 1].astype(np.uint16) * 257
    if kind == "PNG" and draw.random() < 0.5:
        return ".png", png_of(16, 2, (scene().astype(">u2") * 257).tobytes())
    pick: NDArray[Any] = grey
    if kind == "TIFF":
        pick = grey.astype(draw.choice(["uint16", "int32", "float32"]))
    return ENDINGS[kind], encoded(kind, Image.fromarray(pick))


@cache
def deep_heic() -> bytes:
    import pillow_heif

    pixels = (scene().astype("<u2") * 257).tobytes()
    stream = io.BytesIO()
    pillow_heif.from_bytes(mode="RGB;16", size=size_px(), data=pixels).save(stream, **QUICKLY["HEIF"])
    return stream.getvalue()


def animated(draw: random.Random) -> Mangled:
    kind = draw.choice(["PNG", "WEBP", "TIFF", "HEIF"])
    frames = [Image.fromarray(np.roll(scene(), 20 * n, axis=1)) for n in range(draw.randint(2, 6))]
    if kind == "HEIF":  # several pictures in one file; the later ones small, for it packs slowly
        frames = [frames[0], *(frame.reduce(4) for frame in frames[1:3])]
    return ENDINGS[kind], encoded(kind, frames[0], save_all=True, append_images=frames[1:])


def mad_exif(draw: random.Random) -> Mangled:
    """A way up that does not exist, folders that point at themselves, counts beyond the file, plain noise."""
    order = draw.choice("<>")
    entries = [
        (
            draw.choice([0x0112, 0x8769, 0x9003, 0xA405, draw.randrange(65536)]),
            draw.choice([2, 3, 4, draw.randrange(65536)]),
            draw.choice([1, 1, 20, 2**32 - 1]),
            draw.choice([8, 0, 6, 2**32 - 1, draw.randrange(2**32)]),
        )
        for _ in range(draw.randint(1, 40))
    ]
    block = (b"II*\x00" if order == "<" else b"MM\x00*") + struct.pack(
        order + "I", draw.choice([8, 8, 8, 2**31])
    )
    block += struct.pack(order + "H", draw.choice([len(entries), 65535]))
    block += b"".join(struct.pack(order + "HHII", *entry) for entry in entries)
    if draw.random() < 0.2:
        block = draw.randbytes(200)
    kind = draw.choice(FORMATS)
    if kind == "TIFF":  # there the picture's own folder is the block
        return ".tif", encoded(kind, tiffinfo={0x0112: draw.choice([0, 3, 6, 9, 65535]), 0xA405: 0})
    return ENDINGS[kind], encoded(kind, exif=b"Exif\x00\x00" + block)


def noise(draw: random.Random) -> Mangled:
    """Random bytes after the first bytes of a known kind, or from the start."""
    kind = draw.choice(FORMATS)
    return ENDINGS[kind], whole(kind)[: draw.choice([0, 4, 12, 40])] + draw.randbytes(
        draw.choice([10, 500, 40_000])
    )


def nested(draw: random.Random) -> Mangled:
    """A file within a file, folders that lead back to themselves, parts in another order or twice."""
    how = draw.choice(["after", "before", "within", "tiff loop", "twice", "shuffled"])
    first, second = draw.sample(FORMATS, 2)
    one, two = whole(first), whole(second)
    if how == "tiff loop":
        data = bytearray(whole("TIFF"))
        at = struct.unpack_from("<I", data, 4)[0]
        struct.pack_into("<I", data, at + 2 + 12 * struct.unpack_from("<H", data, at)[0], at)
        return ".tif", bytes(data)
    cut = draw.randrange(len(one))
    data_of = {
        "after": one + two,
        "before": two + one,
        "within": one[:cut] + two + one[cut:],
        "twice": one + one,
    }
    blocks = [one[start : start + 64] for start in range(0, len(one), 64)]
    draw.shuffle(blocks)
    return ENDINGS[first], data_of.get(how, one[:12] + b"".join(blocks))


def huge_profile(draw: random.Random) -> Mangled:
    kind = draw.choice(["JPEG", "PNG", "WEBP", "TIFF"])
    size = draw.choice([70_000, 3_000_000])
    return ENDINGS[kind], encoded(kind, icc_profile=draw.choice([bytes(size), draw.randbytes(size)]))


def bomb(draw: random.Random) -> Mangled:
    """Few bytes that become very many: pixels, text, profiles, or rows beyond the size that was claimed."""
    how = draw.choice(["pixels", "text", "profile", "rows", "tags"])
    if how == "tags":
        data = b"II*\x00" + struct.pack("<IH", 8, 4000)
        return ".tif", data + b"".join(struct.pack("<HHII", n, 7, 900_000, 8) for n in range(4000)) + bytes(
            1_000_000
        )
    zeros = zlib.compress(bytes(60_000_000), 9)
    if how == "pixels":
        return ".png", png_of(
            8, 2, b"", size=(6900, 6900), packed=zlib.compress(bytes(6900 * (6900 * 3 + 1)), 1)
        )
    if how == "rows":
        return ".png", png_of(8, 2, b"", packed=zeros)
    extra = (b"zTXt", b"Comment\x00\x00" + zeros) if how == "text" else (b"iCCP", b"name\x00\x00" + zeros)
    return ".png", png_of(8, 2, scene().tobytes(), extra=extra)


def many_passes(draw: random.Random) -> Mangled:
    """A progressive JPEG with the same pass again and again, which keeps a decoder busy."""
    data = encoded("JPEG", progressive=True)
    start = data.rindex(b"\xff\xda")
    return ".jpg", data[:start] + data[start:-2] * min(
        draw.choice([5, 50, 5000]), MOST_SCAN_BYTES // (len(data) - start)
    ) + data[-2:]


def odd(draw: random.Random) -> Mangled:
    """Whole files of unusual make: grey, palette, see-through, one bit, very long, very small, progressive."""
    plain = Image.fromarray(scene())
    clear = plain.copy()
    clear.putalpha(Image.fromarray(scene()[:, :, 0]))
    makes: list[Callable[[], Mangled]] = [
        lambda: (".jpg", encoded("JPEG", plain.convert("L"))),
        lambda: (".png", encoded("PNG", plain.convert("P"), transparency=3)),
        lambda: (".png", encoded("PNG", clear)),
        lambda: (".webp", encoded("WEBP", clear)),
        lambda: (".png", encoded("PNG", plain.convert("1"))),
        lambda: (".png", encoded("PNG", plain.convert("LA"))),
        lambda: (
            ".tif",
            encoded("TIFF", plain, compression=draw.choice(["tiff_lzw", "jpeg", "tiff_deflate"])),
        ),
        lambda: (".tif", encoded("TIFF", plain.convert("LAB"))),
        lambda: (".jpg", encoded("JPEG", plain.resize((12_000, 210)))),
        lambda: (".jpg", encoded("JPEG", plain.resize((draw.randint(1, 199), 300)))),
        lambda: (".jpg", encoded("JPEG", plain, progressive=True, quality=draw.choice([1, 100]))),
        lambda: (
            ".jpg",
            encoded("JPEG", Image.new("RGB", (400, 300), draw.choice(["black", "white", "red"]))),
        ),
    ]
    return draw.choice(makes)()


def png_of(
    bits: int, colour: int, pixels: bytes, *, size: tuple[int, int] | None = None, packed: bytes | None = None,
    extra: tuple[bytes, bytes] | None = None,
) -> bytes:  # fmt: skip
    """A PNG put together by hand from unfiltered `pixels`, or from an already `packed` stream."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    size = size or size_px()
    if packed is None:
        row = len(pixels) // size[1]
        rows = b"".join(b"\x00" + pixels[start : start + row] for start in range(0, len(pixels), row))
        packed = zlib.compress(rows, 1)
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", *size, bits, colour, 0, 0, 0))
    more = chunk(*extra) if extra else b""
    return b"\x89PNG\r\n\x1a\n" + head + more + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


RECIPES: tuple[Callable[[random.Random], Mangled], ...] = (
    truncated, bit_flipped, zero_size, giant_claim, wrong_ending, other_file, inks, deep, animated, mad_exif, noise,
    nested, huge_profile, bomb, many_passes, odd,
)  # fmt: skip


def mangled(seed: int) -> tuple[str, str, bytes]:
    """Recipe, file name and bytes of mangled photograph number `seed`; the recipes take turns."""
    recipe = RECIPES[seed % len(RECIPES)]
    ending, data = recipe(random.Random(seed))
    return recipe.__name__.replace("_", " "), f"{seed:05d}{ending}", data
