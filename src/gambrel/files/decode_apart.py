"""A process of its own that decodes one picture, so that a hostile file can hurt nothing but itself.

    python -P -m gambrel.files.decode_apart FORMAT MOST_PIXELS < picture > answer

The answer is one line of JSON, then the pixels row by row: 8-bit blue, green, red, or 16-bit grey (`deep` says
in which order of bytes). A refusal is a line with `refuse` (given, wanted, do). Memory and time are limited by the
system where it can; the caller limits the time once more. Nothing heavy is imported: every picture starts anew.
"""

from __future__ import annotations

import io
import json
import sys
import warnings
from contextlib import suppress
from typing import Any

from PIL import Image, ImageFile

MOST_BYTES = 1_000_000_000
MOST_SECONDS = 8
ROWS = 256
_GREY_16 = {"I;16": "<u2", "I;16L": "<u2", "I;16B": ">u2", "I;16N": "=u2"}


class NotThis(Exception):
    """The picture is refused; the arguments are what was given, what was wanted, what to do."""


def main(format_name: str, most_pixels: int) -> None:
    _limit()
    warnings.simplefilter("ignore")  # the decoders' asides are not for people; what matters is refused below
    try:
        image, head = _open(sys.stdin.buffer.read(), format_name, most_pixels)
    except NotThis as refusal:
        _say({"refuse": refusal.args})
    except MemoryError:
        _say(
            {
                "refuse": (
                    "a picture that needs too much memory",
                    "an ordinary photograph",
                    "Save it anew as JPEG.",
                )
            }
        )
    except Exception as error:  # noqa: BLE001 - a decoder may raise anything on a broken file
        reason = f"a broken {format_name} file ({type(error).__name__})"
        _say({"refuse": (reason, "a whole photograph", "Copy it from the phone again, or take it again.")})
    else:
        _say(head)
        for top in range(0, image.height, ROWS):
            rows = image.crop((0, top, image.width, min(top + ROWS, image.height)))
            sys.stdout.buffer.write(rows.tobytes() if head["deep"] else rows.tobytes("raw", "BGR"))
    sys.stdout.buffer.flush()


def _limit() -> None:
    """Ask the system to stop this process before it takes too much; Windows cannot be asked."""
    with suppress(ImportError):
        import resource

        with suppress(ValueError, OSError):  # a tighter limit is already set, or the system has none
            resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
            resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS + 1))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _say(line: dict[str, Any]) -> None:
    sys.stdout.buffer.write(json.dumps(line).encode("ascii") + b"\n")


def _open(data: bytes, format_name: str, most_pixels: int) -> tuple[Image.Image, dict[str, Any]]:
    """The first picture of the file as RGB or 16-bit grey, and the line that goes before its pixels."""
    Image.MAX_IMAGE_PIXELS = None  # our own limit is checked first and is lower
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    if format_name == "HEIF":
        import pillow_heif

        pillow_heif.options.DECODE_THREADS = 1
        pillow_heif.register_heif_opener(thumbnails=False)
    image: Image.Image = Image.open(io.BytesIO(data), formats=[format_name])
    if image.width * image.height > most_pixels:
        millions = image.width * image.height / 1e6
        raise NotThis(f"{image.width:,} x {image.height:,} pixels ({millions:,.1f} million)",
                      f"at most {most_pixels / 1e6:.0f} million pixels", "Save it smaller.")  # fmt: skip
    said = []
    if format_name != "HEIF" and getattr(image, "is_animated", False):
        said.append("more than one picture in the file; the first was read")
    turned_from = _turned_while_decoding(image, format_name)
    image.load()
    flat, deep = _flat(image, said)
    head = {"width": flat.width, "height": flat.height, "deep": deep, "warnings": said,
            "turned_from": turned_from, "exif": (image.info.get("exif") or b"").hex()}  # fmt: skip
    return flat, head


def _turned_while_decoding(image: Any, format_name: str) -> int | None:
    """The way up that the decoder itself takes away; None when it leaves the picture as stored.

    A HEIC file turns its own picture whatever its Exif says, so what comes out counts as stored.
    """
    if format_name != "TIFF":
        return 1 if format_name == "HEIF" else None
    orientation = image.getexif().get(0x0112, 1)
    return orientation if orientation in range(1, 9) else 1


def _flat(image: Image.Image, said: list[str]) -> tuple[Image.Image, str]:
    """Without palette, inks or see-through parts; and the kind of its numbers when it is 16-bit grey."""
    if image.mode in _GREY_16:
        return image, _GREY_16[image.mode]
    if image.mode in ("I", "F"):
        raise NotThis(
            f"{image.mode}-mode grey of 32 bits", "8 or 16 bits a colour", "Save it as JPEG or PNG."
        )
    if image.mode == "CMYK":
        said.append("printing inks (CMYK) turned into screen colours; the colours are only near")
    if image.has_transparency_data:
        said.append("see-through parts were laid on white")
        image = image.convert("RGBA")
        white = Image.new("RGB", image.size, (255, 255, 255))
        white.paste(image, mask=image.getchannel("A"))
        return white, ""
    return (image if image.mode == "RGB" else image.convert("RGB")), ""


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
