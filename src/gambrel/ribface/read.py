"""The rib face read: card, light, outline, shape, fat, marbling and colour, tied together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.chine import Chine, chine_given, find_chine
from gambrel.ribface.colour import Lab, fat_colour, inside_cover, lean_colour
from gambrel.ribface.cover import SURE_MARGIN, Cover, Face, fat_beside, find_cover
from gambrel.ribface.degree import estimate_degree
from gambrel.ribface.exposure import badly_lit
from gambrel.ribface.geometry import (
    Axis,
    FatLine,
    Points,
    area_mm2,
    fat_line,
    inside_points,
    longest_chord,
    resampled,
)
from gambrel.ribface.light import (
    Floats,
    Light,
    lab_to_linear,
    light_from_card,
    light_without_card,
    linear_to_lab,
)
from gambrel.ribface.marbling import Marbling, measure_marbling
from gambrel.ribface.outline import EyeOutline, Hints, OutlineFinder, check_outline, filled
from gambrel.ribface.plane import Card, Picture, Plane, find_card
from gambrel.ribface.reading import Grounds, Reading
from gambrel.ribface.refuse import Reason, Refusal
from gambrel.ribface.surface import cover_by_classes, side_is_sure
from gambrel.ribface.uncertainty import Conditions, area_interval, fat_interval, marbling_interval

FACE_PX_PER_MM = 2.0
AROUND_EYE_MM = 52.0
EYE_PX_PER_MM = 5.0
EYE_MARGIN_MM = 2.0
USUAL_EYE_LENGTH_MM = 145.0
"""Length an eye is taken to have where no scale is known, so that flecks and blurs have a size; common
practice. No size is reported from it."""

OUTLINE_POINTS = 400
"""A finder's outline is measured with so many points, one a millimetre; its area with all of them."""

LEAN_LIGHTNESS_SPAN = 12.0
"""Lean is within this of its first guess in lightness; the rest is fat, glare or shadow."""

GLARE_WARNING_PCT = 3.0

USUAL_GAP_MM = 5.0
"""How far apart the fat at the two ends is taken to be where the other end's is not seen."""

MOST_CHINE_GAP_MM = 3.0
"""Where the chine is not sure and the fat at the two ends is farther apart, it is not measured: by the published
equation 2.5 to the inch, 3 mm at the wrong end are 0.3 of a yield grade."""

Clock = Callable[[], float]


@dataclass(frozen=True)
class _Setting:
    """What is known of the picture before the eye is looked for."""

    plane: Plane | None
    card: Card | None
    light: Light


@dataclass(frozen=True)
class _Seen:
    """What was measured on the face."""

    marbling: Marbling
    line: FatLine | None
    chine: Chine | None
    fat_start: NDArray[np.float64] | None
    lean_lab: Lab | None
    fat_lab: Lab | None
    side_sure: float = 0.0
    chine_gap_mm: float = 0.0


def read_ribface(
    bgr: Picture,
    *,
    plane: Plane | None = None,
    outline: Points | None = None,
    seed: tuple[float, float] | None = None,
    chine: str | None = None,
    scale: bool = True,
    focal_share: float | None = None,
    outline_finder: OutlineFinder | None = None,
    clock: Clock | None = None,
) -> Reading | Refusal:
    """Everything the upright picture (H, W, 3), B, G, R, says, or why it is not read.

    `plane`: from a length given by hand, where there is no card. `outline` (n, 2) [px]: drawn by hand, taken as
    it is. `seed` [px]: a point inside the eye. `chine`: "left", "right", "top" or "bottom". `scale` False: sizes
    are left out and no card is wanted. `outline_finder`: the network where left out. `clock` times the stages.
    """
    times = _Times(clock)
    setting = _setting(bgr, plane, scale, focal_share, times)
    if isinstance(setting, Refusal):
        return setting
    eye = _eye(bgr, setting, outline, seed, outline_finder)
    times.mark("outline")
    if isinstance(eye, Refusal):
        return eye
    return _measure(bgr, setting, eye, chine, times)


def _setting(
    bgr: Picture, plane: Plane | None, scale: bool, focal_share: float | None, times: _Times
) -> _Setting | Refusal:
    """Card and light; a card that cannot be used is no hindrance where no scale is wanted or one is given."""
    found = find_card(bgr, focal_share=focal_share)
    times.mark("card")
    card = found if isinstance(found, Card) else None
    if isinstance(found, Refusal) and scale and plane is None:
        return badly_lit(bgr) or found
    light = light_without_card(bgr) if card is None else light_from_card(bgr, card)
    times.mark("light")
    if isinstance(light, Refusal):
        return light
    if not scale:
        return _Setting(None, card, light)
    if plane is None and card is not None:
        plane = card.plane
    return _Setting(plane, card, light)


def _eye(
    bgr: Picture,
    setting: _Setting,
    outline: Points | None,
    seed: tuple[float, float] | None,
    finder: OutlineFinder | None,
) -> EyeOutline | Refusal:
    if outline is not None:
        drawn = np.asarray(outline, dtype=float)
        eye = EyeOutline(drawn, confidence=1.0, by="hand", hints=_hints_within(bgr, drawn))
    else:
        found = (finder or _network())(bgr, setting.plane, seed)
        if isinstance(found, Refusal):
            return found
        eye = found
    if setting.plane is not None:
        coarse = setting.plane.mm_per_px(eye.polygon_px.mean(axis=0))
        if coarse > refuse.COARSE_LIMIT_MM_PER_PX:
            return Refusal(Reason.TOO_SMALL, f"one pixel is {coarse:.2f} mm on the face")
    return check_outline(eye, bgr.shape, setting.plane) or eye


def _network() -> OutlineFinder:
    """The network's finder, fetched when first wanted: its runtime is slow to start."""
    from gambrel.ribface.outline_net import find_eye

    return find_eye


def _hints_within(bgr: Picture, outline_px: Points) -> Hints:
    """The network's hints for an outline drawn by hand."""
    from gambrel.ribface.outline_net import hints_within

    return hints_within(bgr, outline_px)


def _measure(
    bgr: Picture, setting: _Setting, eye: EyeOutline, chine: str | None, times: _Times
) -> Reading | Refusal:
    """All figures from an outline that has passed."""
    work = setting.plane or Plane.square_on(
        USUAL_EYE_LENGTH_MM / longest_chord(resampled(eye.polygon_px, 120)).length_mm
    )
    polygon = _light_outline(work.to_mm(eye.polygon_px))
    axis = longest_chord(polygon)
    face = _face(bgr, work, setting.light, polygon)
    times.mark("face")
    spots = face.at(inside_points(polygon))
    spots = spots[np.isfinite(spots[:, 0])]
    lean_start = _lean_inside(spots)
    fat_start = fat_beside(face, polygon, lean_start)
    marbling = _marbling(bgr, work, setting, polygon, fat_start)
    times.mark("marbling")
    if isinstance(marbling, Refusal):
        return marbling
    fat_lab = linear_to_lab(marbling.fat_linear).astype(float) if fat_start is None else fat_start
    hints = _hints_mm(eye, work, axis)
    cover = _cover(eye, work, face, polygon, axis, hints, lean_start, fat_lab)
    end = _which_end(face, polygon, axis, cover, chine, work, hints, lean_start, fat_lab)
    line, chine_gap_mm = _line(polygon, cover, end, hinted=hints.to_chine is not None)
    times.mark("fat")
    lean_lab = lean_colour(spots[np.abs(spots[:, 0] - lean_start[0]) < LEAN_LIGHTNESS_SPAN])
    seen = _Seen(marbling, line, end, fat_start, lean_lab, _fat_lab(face, polygon, cover, fat_start),
                 0.0 if cover is None else cover.side_margin, chine_gap_mm)  # fmt: skip
    times.mark("colour")
    return _reading(setting, eye, work, axis, seen, times)


def _light_outline(polygon: Points) -> Points:
    """The outline (n, 2) [mm] in no more points than its shape needs; one drawn by hand keeps its corners."""
    return polygon if len(polygon) <= OUTLINE_POINTS else resampled(polygon, OUTLINE_POINTS)


def _face(bgr: Picture, plane: Plane, light: Light, polygon: Points) -> Face:
    low, top = polygon.min(axis=0) - AROUND_EYE_MM, polygon.max(axis=0) + AROUND_EYE_MM
    picture, _ = plane.rectify(
        bgr, px_per_mm=FACE_PX_PER_MM, window_mm=(float(low[0]), float(low[1]), float(top[0]), float(top[1]))
    )
    return Face(light.lab(light.linear(picture)), float(low[0]), float(low[1]), FACE_PX_PER_MM)


def _lean_inside(seen: Floats) -> NDArray[np.float64]:
    """First guess of the lean's colour: the darker part of the places in the eye, Lab (n, 3)."""
    dark = seen[seen[:, 0] <= np.percentile(seen[:, 0], 60)]
    return np.asarray(np.median(dark, axis=0), dtype=float)


def _marbling(
    bgr: Picture, plane: Plane, setting: _Setting, polygon: Points, fat_lab: NDArray[np.float64] | None
) -> Marbling | Refusal:
    fine = min(EYE_PX_PER_MM, 1.0 / plane.mm_per_px(plane.to_px(polygon).mean(axis=0)))
    low, top = polygon.min(axis=0) - EYE_MARGIN_MM, polygon.max(axis=0) + EYE_MARGIN_MM
    window = (float(low[0]), float(low[1]), float(top[0]), float(top[1]))
    picture, _ = plane.rectify(bgr, px_per_mm=fine, window_mm=window)
    inside = filled((polygon - low) * fine, picture.shape[:2])
    white = cv2.inRange(picture, (253, 253, 253), (255, 255, 255))
    if np.count_nonzero(inside & (white > 0)) > refuse.FACE_BLOWN_LIMIT_SHARE * np.count_nonzero(inside):
        return Refusal(Reason.BLOWN_OUT, "a tenth of the eye or more is pure white")
    fat = None if fat_lab is None else lab_to_linear(fat_lab)
    light = setting.light
    found = measure_marbling(light.linear(picture), inside, px_per_mm=fine, fat_linear=fat,
                             balanced=light.from_card, blur_mm=_blur_mm(setting.card))  # fmt: skip
    if found is None:
        return Refusal(Reason.TOO_SMALL, "the eye is only a few pixels across")
    return found


def _cover(
    eye: EyeOutline,
    plane: Plane,
    face: Face,
    polygon: Points,
    axis: Axis,
    hints: _HintsMm,
    lean_lab: NDArray[np.float64],
    fat_lab: NDArray[np.float64],
) -> Cover | None:
    """The surface by the network's classes where it gave them, by colour otherwise."""
    if eye.hints is not None and hints.outward is not None:
        if not side_is_sure(axis, hints.outward):
            return None
        cover = cover_by_classes(eye.hints.view, plane, polygon, axis, hints.outward)
        if cover is not None:
            return cover
    seen = find_cover(face, polygon, axis, lean_lab=lean_lab, fat_lab=fat_lab, outward=hints.outward)
    hinted = eye.hints is not None and hints.outward is not None
    return None if hinted and seen is not None and seen.side_margin < SURE_MARGIN else seen


def _which_end(
    face: Face,
    polygon: Points,
    axis: Axis,
    cover: Cover | None,
    given: str | None,
    plane: Plane,
    hints: _HintsMm,
    lean_lab: NDArray[np.float64],
    fat_lab: NDArray[np.float64],
) -> Chine | None:
    if given is not None:
        return chine_given(axis, plane.to_px(np.array([axis.start, axis.end])), given)
    if cover is None:
        return None
    outward = axis.across * cover.side
    return find_chine(
        face, polygon, axis, outward, lean_lab=lean_lab, fat_lab=fat_lab, to_chine=hints.to_chine
    )


def _line(
    polygon: Points, cover: Cover | None, end: Chine | None, *, hinted: bool
) -> tuple[FatLine | None, float]:
    """The fat line, and how far off its thickness is [mm] should the chine, where not sure, be the other end.

    Where that is too far though the finder gave a hint, there is no line.
    """
    if cover is None or end is None:
        return None, 0.0
    line = fat_line(polygon, end.axis, cover.surface_mm, cover.spread_mm)
    if line is None or end.sure:
        return line, 0.0
    other = fat_line(polygon, end.axis.turned(), cover.surface_mm, cover.spread_mm)
    gap_mm = USUAL_GAP_MM if other is None else abs(other.thickness_mm - line.thickness_mm)
    return (None if hinted and gap_mm > MOST_CHINE_GAP_MM else line), gap_mm


@dataclass(frozen=True)
class _HintsMm:
    """The finder's hints on the plane: vectors (2,), their length 0 to 1 how sure; None where it gave none."""

    to_chine: NDArray[np.float64] | None
    outward: NDArray[np.float64] | None


def _hints_mm(eye: EyeOutline, plane: Plane, axis: Axis) -> _HintsMm:
    """The hints on the plane; inside an outline by hand, where the network knows no side, colour alone decides."""
    if eye.hints is None:
        return _HintsMm(None, None)
    middle = eye.polygon_px.mean(axis=0)
    turned = []
    for way in (eye.hints.to_chine_px, eye.hints.outward_px):
        sure = float(np.hypot(*way))
        ends = plane.to_mm(np.array([middle, middle + way / max(sure, 1e-9)]))
        step = ends[1] - ends[0]
        turned.append(step / max(float(np.hypot(*step)), 1e-9) * sure)
    if eye.by == "hand" and not side_is_sure(axis, turned[1]):
        return _HintsMm(None, None)
    return _HintsMm(turned[0], turned[1])


def _fat_lab(
    face: Face, polygon: Points, cover: Cover | None, start: NDArray[np.float64] | None
) -> Lab | None:
    if start is None:
        return None
    if cover is not None:
        gap = cover.surface_mm[:, None, :] - polygon[None, :, :]
        nearest = polygon[np.argmin(np.einsum("ijk,ijk->ij", gap, gap), axis=1)]
        seen = fat_colour(face.at(inside_cover(nearest, cover.surface_mm)))
        if seen is not None:
            return seen
    return float(start[0]), float(start[1]), float(start[2])


def _reading(
    setting: _Setting, eye: EyeOutline, work: Plane, axis: Axis, seen: _Seen, times: _Times
) -> Reading:
    """The figures with their intervals; sizes are left out where there is no scale."""
    scaled = setting.plane is not None
    turned = axis if seen.chine is None else seen.chine.axis
    conditions = _conditions(setting, eye, seen)
    area = area_mm2(work.to_mm(eye.polygon_px)) / 100 if scaled else None
    thickness = seen.line.thickness_mm if scaled and seen.line is not None else None
    share = seen.marbling.share_pct
    share_interval = marbling_interval(share, conditions, spread_pct=seen.marbling.spread_pct)
    degree = estimate_degree(share, share_interval)
    spread = 0.0 if seen.line is None else seen.line.spread_mm
    return Reading(
        ribeye_cm2=area,
        ribeye_cm2_interval=None if area is None else area_interval(area, conditions),
        fat_mm=thickness,
        fat_mm_interval=None if thickness is None else fat_interval(thickness, conditions, spread_mm=spread),
        marbling_pct=share,
        marbling_pct_interval=share_interval,
        length_cm=axis.length_mm / 10 if scaled else None,
        width_cm=axis.width_mm / 10 if scaled else None,
        lean_lab=seen.lean_lab,
        fat_lab=seen.fat_lab,
        marbling_score=degree.score,
        marbling_score_interval=degree.score_interval,
        lean_fat_pct=degree.fat_pct,
        lean_fat_pct_interval=degree.fat_interval,
        outline_px=eye.polygon_px,
        axis_px=work.to_px(np.array([turned.start, turned.end])),
        fat_line_px=None
        if seen.line is None
        else work.to_px(np.array([seen.line.at_eye, seen.line.at_surface])),
        mm_per_px=work.mm_per_px(eye.polygon_px.mean(axis=0)) if scaled else None,
        card_corners_px=None if setting.card is None else setting.card.corners_px,
        outline_by=eye.by,
        grounds=Grounds(conditions, spread, seen.marbling.spread_pct),
        warnings=_warnings(setting, seen, within_range=degree.within_range),
        times_s=times.taken,
    )


def _blur_mm(card: Card | None) -> float:
    """How wide a sharp edge looks on the face: as on the card, a usual figure where there is none."""
    return card.edge_width_mm if card is not None and np.isfinite(card.edge_width_mm) else 0.5


def _conditions(setting: _Setting, eye: EyeOutline, seen: _Seen) -> Conditions:
    card = setting.card
    by_card = card is not None and setting.plane is card.plane
    return Conditions(
        tilt_deg=card.tilt_deg if card is not None else 10.0,
        blur_mm=_blur_mm(card),
        residual_mm=card.residual_mm if card is not None and by_card else 0.0,
        missing_markers=4 - len(card.markers) if card is not None else 0,
        by_hand=not by_card,
        balanced=setting.light.from_card,
        glare_pct=seen.marbling.glare_pct,
        confidence=eye.confidence,
        chine_gap_mm=seen.chine_gap_mm,
        own_fat=seen.fat_start is None,
        side_sure=min(1.0, seen.side_sure),
        doubt_px=eye.doubt_px,
    )


def _warnings(setting: _Setting, seen: _Seen, *, within_range: bool) -> tuple[str, ...]:
    said = list(setting.card.warnings()) if setting.card is not None else []
    said += setting.light.warnings
    if seen.line is None and seen.chine_gap_mm:
        said.append(
            "which end is the chine is not sure, and their fat is not alike; fat is not measured; say the end"
        )
    elif seen.line is None:
        said.append("the outer surface of the cover fat is not seen; fat is not measured")
    elif seen.chine is not None and not seen.chine.sure:
        said.append("which end is the chine is not sure; say it if the fat line is at the wrong end")
    if seen.fat_start is None:
        said.append(
            "no fat beside the eye is seen; marbling is judged against the eye's own flecks and is less sure"
        )
    if seen.marbling.glare_pct > GLARE_WARNING_PCT:
        said.append(
            f"glare on {seen.marbling.glare_pct:.0f} % of the eye; dry the face or turn it from the lamp"
        )
    if not within_range:
        said.append(
            "marbling lies outside the range of the published line from area to fat; fat of the lean is not given"
        )
    said.append("the marbling degree rests on three reference pictures; allow a whole degree either way")
    return tuple(said)


class _Times:
    """Seconds by stage, where a clock was passed in."""

    def __init__(self, clock: Clock | None) -> None:
        self._clock = clock
        self._last = 0.0 if clock is None else clock()
        self.taken: dict[str, float] = {}

    def mark(self, stage: str) -> None:
        if self._clock is not None:
            now = self._clock()
            self.taken[stage] = self.taken.get(stage, 0.0) + now - self._last
            self._last = now
