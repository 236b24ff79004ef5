"""What was measured, drawn over the photograph: the outline, the fat line and the figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gambrel.files.drawing import say
from gambrel.measures.units import in2_from_cm2, in_from_mm

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from gambrel.files.photograph import Photograph
    from gambrel.files.ribface_reading import FaceReading

LONGEST_PX = 2000
_OUTLINE_BGR, _AXIS_BGR, _FAT_BGR = (80, 235, 255), (235, 235, 235), (255, 160, 30)
_PAPER_BGR, _INK_BGR = (250, 250, 250), (38, 33, 27)


def picture_png(photograph: Photograph, answer: FaceReading) -> bytes:
    """PNG bytes: the upright photograph, at most 2,000 pixels long, with what `answer` says drawn on it."""
    import cv2
    import numpy as np

    height, width = photograph.bgr.shape[:2]
    scale = min(1.0, LONGEST_PX / max(height, width))
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    drawn = (
        cv2.resize(photograph.bgr, size, interpolation=cv2.INTER_AREA) if scale < 1 else photograph.bgr.copy()
    )
    thick = max(2, round(max(size) / 600))
    for points, colour, closed in (
        (answer.outline_px, _OUTLINE_BGR, True),
        (answer.axis_px, _AXIS_BGR, False),
        (answer.fat_line_px, _FAT_BGR, False),
    ):
        if points is not None:
            upright = photograph.to_upright(np.array(points, dtype=np.float64))
            at = np.round((upright * scale + (scale - 1) / 2) * 16).astype(
                np.int32
            )  # in sixteenths of a pixel
            cv2.polylines(drawn, [at.reshape(-1, 1, 2)], closed, (20, 20, 20), thick + 2, cv2.LINE_AA, 4)
            cv2.polylines(drawn, [at.reshape(-1, 1, 2)], closed, colour, thick, cv2.LINE_AA, 4)
    panel = _panel(figure_lines(answer), size[0])
    return bytes(
        cv2.imencode(".png", np.vstack([drawn, panel]), [cv2.IMWRITE_PNG_COMPRESSION, 3])[1].tobytes()
    )


def figure_lines(answer: FaceReading) -> list[str]:
    """The figures as a butcher reads them; a line for each that was read."""
    lines = []
    if answer.ribeye_cm2 is not None:
        eye = answer.ribeye_cm2
        lines.append(
            f"ribeye {eye.mean:.1f} cm2 ({in2_from_cm2(eye.mean):.1f} in2), {eye.p05:.1f} to {eye.p95:.1f} cm2"
        )
    if answer.length_cm is not None and answer.width_cm is not None:
        lines.append(f"length {answer.length_cm:.1f} cm, width {answer.width_cm:.1f} cm")
    if answer.fat_mm is not None:
        fat = answer.fat_mm
        lines.append(
            f"fat {fat.mean:.1f} mm ({in_from_mm(fat.mean):.2f} in), {fat.p05:.1f} to {fat.p95:.1f} mm"
        )
    if answer.marbling_pct is not None:
        marbling = answer.marbling_pct
        score = "" if answer.marbling_score is None else f"; score about {answer.marbling_score.mean:.0f}"
        lines.append(
            f"marbling {say.plain(marbling.mean)} %, {say.plain(marbling.p05)} to {say.plain(marbling.p95)} %{score}"
        )
    for name, lab in (("lean", answer.lean_lab), ("fat", answer.fat_lab)):
        if lab is not None:
            lines.append(f"{name} colour L* {lab[0]:.0f}, a* {lab[1]:.0f}, b* {lab[2]:.0f}")
    return lines


def _panel(lines: list[str], width: int) -> NDArray[np.uint8]:
    """The lines in dark letters on a light band of this width [px]."""
    import cv2
    import numpy as np

    shown = [*lines, "The shop's own estimate, no official grade."]
    size = max(0.4, width / 1600)
    step = round(34 * size)
    band = np.full((step * (len(shown) + 1), width, 3), _PAPER_BGR, dtype=np.uint8)
    for number, line in enumerate(shown, 1):
        place = (round(20 * size), number * step)
        cv2.putText(
            band,
            line,
            place,
            cv2.FONT_HERSHEY_SIMPLEX,
            size,
            _INK_BGR,
            max(1, round(size * 1.6)),
            cv2.LINE_AA,
        )
    return band
