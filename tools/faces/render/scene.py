"""The whole picture: backdrop, body, face, card, hands, light and camera, with the truth beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np

from . import backdrop, noise, shapes
from .anatomy import Face
from .arrays import HAND, Bytes, Gray, Points, gray, points
from .camera import Camera, window_of
from .canvas import Canvas, between_ends
from .card import HEIGHT_MM, WIDTH_MM, markers_in_sight, paint_card
from .colours import Look, to_lab
from .draw import Draw
from .hands import hand_shapes, paint_hand
from .light import Lighting, apply_light, draw_lighting
from .marbling import Deposits, draw_deposits, true_share
from .paint import EyePaint, paint_face
from .plan import Plan, make_plan
from .plates import paint_plates
from .sensor import Sensor, draw_sensor, expose
from .truth import eye_measures


@dataclass(frozen=True)
class Rendered:
    """A picture with its truth, and before any blur: `fat_map`, the fat share of each pixel inside the eye, and
    `shine_map`, the mirrored light on each pixel as a share of white."""

    bgr: Bytes  # (h, w, 3)
    labels: Bytes  # (h, w), see arrays.CLASSES
    truth: dict[str, Any]
    fat_map: Gray | None = field(default=None)
    shine_map: Gray | None = field(default=None)


def _grid_px_per_mm(camera: Camera) -> float:
    """Fineness of the marbling grid: about that of the picture, within 2.5 to 10 px per mm."""
    return float(np.clip(1.2 * camera.px_per_mm(points([0.0, 0.0])), 2.5, 10))


def _body_behind(draw: Draw, canvas: Canvas, face: Face, look: Look) -> None:
    """The meat behind the face, seen at its edge when the camera is tilted, and the shadow it throws."""
    depth = draw.between(10, 40) if face.layout != "side" else draw.log_between(15, 220)
    height, width = canvas.shape
    far = canvas.camera.to_px(face.outline, -depth)
    near = canvas.camera.to_px(face.outline)
    soft = draw.between(0.004, 0.03) * width
    window = window_of(np.vstack([far, near]), width, height, margin=int(3.2 * soft) + 4)
    if window is None:
        return
    shift = points([window[0], window[1]])
    mask: Bytes = np.zeros((window[3] - window[1], window[2] - window[0]), np.uint8)
    for k in range(1, 13):
        layer = canvas.camera.to_px(face.outline, -depth * k / 12) - shift
        cv2.fillPoly(mask, [np.round(layer * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    small = (max(mask.shape[1] // 4, 2), max(mask.shape[0] // 4, 2))
    dim = cv2.GaussianBlur(cv2.resize(mask, small, interpolation=cv2.INTER_AREA), (0, 0), soft / 4)
    shadow = gray(cv2.resize(dim, (mask.shape[1], mask.shape[0]))) * np.float32(1 / 255)
    x0, y0, x1, y1 = window
    canvas.light[y0:y1, x0:x1] *= (1 - np.float32(draw.between(0.1, 0.75)) * shadow)[..., None]
    px = canvas.camera.px_per_mm(points([0.0, 0.0]))
    shape = (mask.shape[0], mask.shape[1])
    blotch = noise.fractal(draw, shape, draw.between(6, 30) * px, octaves=3)
    mix = np.clip(0.5 + draw.between(0.5, 4) * (blotch - draw.between(-0.8, 0.8)), 0, 1)
    meat = between_ends((look.lean[0], look.fat[0]), gray(mix))
    meat *= (np.float32(draw.between(0.15, 0.8)) * (1 - np.float32(0.35) * np.clip(blotch, -1, 1)))[..., None]
    canvas.lay(window, gray(mask) / np.float32(255), meat, None, soft_px=draw.between(0, 1.5) * px)


def _paint_faces(plan: Plan, canvas: Canvas) -> tuple[EyePaint | None, float]:
    """Paint the face (and the second animal's); gives the painted eye and the true share of marbling."""
    face = plan.face
    if face is None:
        return None, 0.0
    px_per_mm = _grid_px_per_mm(plan.camera)
    draw = Draw(plan.seed, "paint")
    if draw.chance(0.7):
        _body_behind(draw, canvas, face, plan.look)
    eye_fat: Deposits | None = None
    share = 0.0
    if len(face.eye):
        eye_fat = draw_deposits(
            Draw(plan.seed, "marbling"), face.eye, share=plan.marbling_share, px_per_mm=px_per_mm
        )
        share = true_share(eye_fat, face.eye)
    spare = Draw(plan.seed, "other marbling")
    other_share = float(np.clip(plan.marbling_share * spare.between(0.6, 2), 0.004, 0.5))
    if plan.second is not None:
        _other_animal(plan, canvas, plan.second, other_share)
    part = face.outline[np.abs(face.outline[:, 0]) < 200]
    other = draw_deposits(spare, part if len(part) > 8 else face.outline, share=other_share,
                          px_per_mm=min(px_per_mm, 6) * 0.6, web=0.5)  # fmt: skip
    return paint_face(draw, canvas, face, plan.look, eye_fat, other), share


def _other_animal(plan: Plan, canvas: Canvas, face: Face, share: float) -> None:
    fat = draw_deposits(Draw(plan.seed, "second fat"), face.eye, share=share, px_per_mm=3)
    paint_face(Draw(plan.seed, "second paint"), canvas, face, plan.look, fat, None)


def _clear_of_eye(parts: list[Points], eye_px: Points) -> bool:
    for part in parts:
        spots = part[:: max(1, len(part) // 24)]
        if any(shapes.inside(eye_px, spot) for spot in spots):
            return False
        if any(shapes.inside(part, spot) for spot in eye_px[::24]):
            return False
    return True


def _add_hand(
    draw: Draw, plan: Plan, canvas: Canvas, tip: Points, heading: float, *, may_cover: bool
) -> bool:
    """Paint a hand where it leaves the eye free; says whether it did."""
    width = 92 * plan.camera.px_per_mm(points([0.0, 0.0])) * draw.between(0.85, 1.25)
    name = f"hand {draw.whole(0, 1_000_000)}"
    if plan.face is not None and len(plan.face.eye) and not may_cover:
        eye_px = plan.camera.to_px(plan.face.eye)
        reach = float(np.hypot(*(tip - eye_px.mean(axis=0))))
        parts = hand_shapes(Draw(plan.seed, name), tip, heading, width)
        if reach < 1 or not _clear_of_eye(parts, eye_px):
            return False
    paint_hand(Draw(plan.seed, name), canvas, tip, heading, width)
    return True


def _paint_card_and_hands(plan: Plan, canvas: Canvas) -> None:
    draw = Draw(plan.seed, "hands")
    loose = plan.want == "mixed" and draw.chance(0.05)
    card = plan.card
    if card is not None:
        drops = draw.whole(1, 14) if draw.chance(0.3) else 0
        paint_card(
            draw,
            canvas,
            card,
            drops=drops,
            corners_px=_tipped(draw, plan) if plan.bad == "card_tilted" else None,
        )
        middle = plan.camera.to_px(card.corners().mean(axis=0)[None])[0]
        away = middle - plan.camera.to_px(points([[0.0, 0.0]]))[0]
        if draw.chance(0.45) and plan.bad != "card_hidden":
            heading = math.atan2(-away[1], -away[0]) + draw.bell(0, 0.6, -1.3, 1.3)
            half = (
                points([math.cos(heading), math.sin(heading)])
                * draw.between(20, 50)
                * plan.camera.px_per_mm(card.corners()[0])
            )
            _add_hand(draw, plan, canvas, middle - half, heading, may_cover=loose)
        if plan.bad == "card_hidden":
            _hide(draw, plan, canvas, middle)
    if plan.face is not None and draw.chance(0.12):
        edge = plan.camera.to_px(plan.face.outline[:: max(1, len(plan.face.outline) // 40)])
        spot = draw.pick(list(edge))
        inward = plan.camera.to_px(points([[0.0, 0.0]]))[0] - spot
        _add_hand(
            draw,
            plan,
            canvas,
            points(spot),
            math.atan2(inward[1], inward[0]) + draw.bell(0, 0.5, -1, 1),
            may_cover=loose,
        )
    if card is not None and plan.want == "good" and len(markers_in_sight(canvas, card)) < 2:
        paint_card(draw, canvas, card, drops=0)  # the card on top of the fingers


def _hide(draw: Draw, plan: Plan, canvas: Canvas, middle: Points) -> None:
    """Cover the card with hands until fewer than two markers are as much as half in sight."""
    if plan.card is None:
        return
    px = plan.camera.px_per_mm(plan.card.corners()[0])
    for k in range(40):
        if len(markers_in_sight(canvas, plan.card, least_share=0.5)) < 2:
            return
        heading = draw.between(0, 2 * math.pi)
        tip = middle + points([math.cos(heading), math.sin(heading)]) * draw.between(20, 60) * px
        _add_hand(draw, plan, canvas, tip, heading, may_cover=k > 25)


def _tipped(draw: Draw, plan: Plan) -> Points:
    """The card's corners in px when one side of it is lifted out of the plane of the face."""
    assert plan.card is not None
    angle = math.radians(draw.between(37, 60)) * draw.sign()
    flat = points([[0, 0], [WIDTH_MM, 0], [WIDTH_MM, HEIGHT_MM], [0, HEIGHT_MM]])
    over_x = draw.chance(0.5)
    along = flat[:, 0] if over_x else flat[:, 1]
    middle = float(along.mean())
    raised = (along - middle) * math.sin(angle) + draw.between(0, 30)
    squeezed = middle + (along - middle) * math.cos(angle)
    card_mm = np.column_stack([squeezed, flat[:, 1]]) if over_x else np.column_stack([flat[:, 0], squeezed])
    return plan.camera.to_px(plan.card.to_face(card_mm), raised)


def _truth(plan: Plan, canvas: Canvas, painted: EyePaint | None, share: float, lighting: Lighting,
           sensor: Sensor, backdrop_kind: str) -> dict[str, Any]:  # fmt: skip
    seen = [] if plan.card is None or plan.bad == "card_tilted" else markers_in_sight(canvas, plan.card)
    has_eye = plan.face is not None and len(plan.face.eye) > 0
    reason = plan.bad
    if reason is None:
        reason = None if has_eye else "not_a_rib_face"
    if reason is None and len(seen) < 2:
        reason = "no_card" if plan.card is None else "card_hidden"
    truth: dict[str, Any] = {
        "generator": "gambrel-faces",
        "seed": plan.seed,
        "want": plan.want,
        "must_refuse": reason is not None,
        "refuse_reason": reason,
        "kind": plan.look.kind,
        "layout": "none" if plan.face is None else plan.face.layout,
        "side": plan.side,
        "width_px": canvas.shape[1],
        "height_px": canvas.shape[0],
        "exif_orientation": 1,
        "dark_cutter": plan.look.dark_cutter,
        "fat_lab": to_lab(points(plan.look.fat[0] + plan.look.fat[1]) / 2).round(2).tolist(),
        "lean_lab": None if painted is None else to_lab(points(painted.lean_colour)).round(2).tolist(),
        "marbling_percent": round(100 * share, 4) if has_eye else None,
        "card_corners_px": None if plan.card is None else plan.camera.to_px(plan.card.corners()).round(3).tolist(),
        "card_where": None if plan.card is None else plan.card.where,
        "markers_visible": seen,
        "camera_tilt_deg": round(plan.camera.tilt_deg, 3),
        "camera": {
            "tilt_deg": round(plan.camera.tilt_deg, 3), "rotation_deg": round(plan.camera.turn_deg, 3),
            "distance_cm": round(plan.camera.distance_mm / 10, 2), "k1": plan.camera.k1,
            "focal_px": plan.camera.focal_px, "homography_mm_to_px": plan.camera.homography.tolist(),
            "px_per_cm_at_eye": round(10 * plan.camera.px_per_mm(points([0.0, 0.0])), 3),
        },
        "light": {"lamps": list(lighting.names), "shadow": lighting.shadow, "flash": lighting.flash,
                  "white": sensor.white},
        "defocus_px": sensor.defocus_px, "motion_px": sensor.motion_px, "noise": sensor.noise,
        "jpeg_quality": sensor.jpeg_quality, "scene": backdrop_kind,
    }  # fmt: skip
    if plan.face is not None and has_eye:
        truth |= eye_measures(plan.face, plan.camera)
    return truth


def _fat_map(canvas: Canvas, painted: EyePaint | None) -> Gray:
    whole = np.zeros(canvas.shape, np.float32)
    if painted is not None:
        x0, y0, x1, y1 = painted.window
        whole[y0:y1, x0:x1] = painted.fat * (canvas.labels[y0:y1, x0:x1] != HAND)
    return whole


def render_face(seed: int, *, size: tuple[int, int] = (448, 336), difficulty: str = "normal",
                kind: str | None = None, want: str = "mixed", fat_map: bool = False) -> Rendered:  # fmt: skip
    """The picture of a seed.

    `size` is width, height in px. `difficulty` easy, normal, hard or wild. `kind` bison, grass, grain or
    wagyu, by lot when None. `want`: mixed (for training: faces with and without card, bare steaks, things
    that are no rib face), good (to be read: an eye and at least two markers), steak (bare cut, no card), or
    bad:REASON with a reason of plan.REASONS. The same arguments give the same bytes.
    """
    plan = make_plan(seed, size, difficulty=difficulty, kind=kind, want=want)
    shape = (size[1], size[0])
    draw = Draw(seed, "scene")
    bare = plan.face is not None and plan.face.layout != "side"
    backdrop_kind = draw.pick(backdrop.BARE_KINDS if bare else backdrop.KINDS)
    behind = backdrop.paint_backdrop(Draw(seed, "backdrop"), shape, backdrop_kind)
    canvas = Canvas(behind, np.zeros(shape, np.uint8), np.zeros(shape, np.float32), plan.camera)
    painted, share = _paint_faces(plan, canvas)
    if plan.face is not None:
        paint_plates(Draw(seed, "plates"), canvas, plan.face, plan.second)
    _paint_card_and_hands(plan, canvas)
    lighting = draw_lighting(Draw(seed, "light"), shape, spread=plan.spread)
    sensor = draw_sensor(Draw(seed, "sensor"), width=size[0], spread=plan.spread, bad=plan.bad)
    glare = draw.between(0.15, 0.9)
    apply_light(canvas, lighting, glare=glare)
    truth = _truth(plan, canvas, painted, share, lighting, sensor, backdrop_kind)
    picture = expose(Draw(seed, "noise"), canvas.light, lighting.lamp, sensor)
    if not fat_map:
        return Rendered(picture, canvas.labels, truth)
    shine = np.clip(canvas.gloss, 0, 12) * np.float32(glare)
    return Rendered(picture, canvas.labels, truth, _fat_map(canvas, painted), shine)
