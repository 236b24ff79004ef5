"""What a seed is to show: layout, kind, card, camera; everything that is settled before painting."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from . import colours, shapes
from .anatomy import Face
from .arrays import Points, points
from .camera import Camera, place_camera
from .card import Placed, place_card
from .draw import Draw
from .sides import side_face
from .steaks import ground_meat, no_eye_cut, steak_face
from .truth import fat_line

SPREADS = {"easy": 0.6, "normal": 1.0, "hard": 1.6, "wild": 2.2}
REASONS = (
    "no_card", "card_hidden", "card_tilted", "eye_cut_off", "blurred", "too_dark", "blown_out",
    "not_a_rib_face", "two_animals",
)  # fmt: skip
WANTS = ("mixed", "good", "steak", *(f"bad:{reason}" for reason in REASONS))


@dataclass(frozen=True)
class Plan:
    """The picture of one seed, before it is painted."""

    seed: int
    spread: float
    want: str
    bad: str | None
    look: colours.Look
    face: Face | None
    second: Face | None
    side: str
    card: Placed | None
    camera: Camera
    marbling_share: float


def _layout(draw: Draw, want: str, bad: str | None) -> str:
    if bad == "not_a_rib_face":
        return draw.pick(["other", "other", "ground", "none"])
    if want == "steak":
        return "steak"
    if want == "mixed":
        return draw.pick(["side"] * 13 + ["steak"] * 6 + ["other", "other", "ground", "none"])
    return "steak" if want == "good" and draw.chance(0.08) else "side"


# area of the eye in cm2: (mean, spread) by kind; our own wide guesses about published averages
_AREA = {"bison": (66, 12), "grass": (74, 13), "grain": (86, 14), "wagyu": (92, 18)}
_FAT = {"bison": (1.5, 12), "grass": (1.5, 12), "grain": (4, 24), "wagyu": (6, 36)}


def _draw_face(draw: Draw, layout: str, kind: str, spread: float) -> Face | None:
    if layout == "none":
        return None
    if layout == "other":
        return no_eye_cut(draw)
    if layout == "ground":
        return ground_meat(draw)
    mean, sd = _AREA[kind]
    area_mm2 = 100 * draw.bell(mean, sd * spread, 19 if spread > 1 else 38, 152 if spread > 1 else 132)
    low, high = _FAT[kind]
    fat_mm = draw.log_between(low / spread, min(high * spread, 48))
    make = side_face if layout == "side" else steak_face
    return make(draw, area_mm2=area_mm2, fat_mm=fat_mm, spread=min(spread, 1.7))


def _turn_deg(draw: Draw) -> float:
    turn = draw.bell(0, 12, -40, 40) + draw.pick([0, 0, 0, 0, 90, -90, 180])
    return draw.between(-180, 180) if draw.chance(0.15) else turn


def _frame(
    draw: Draw, must_see: Points, size: tuple[int, int], *, spread: float, tight: tuple[float, float],
    aim: Points | None = None,
) -> Camera:  # fmt: skip
    """A camera whose frame holds all of `must_see`; with `aim`, the camera looks there instead."""
    width, height = size
    turn = _turn_deg(draw)
    seen = shapes.turn(must_see, math.radians(turn))
    low, high = seen.min(axis=0), seen.max(axis=0)
    fit = float(min(width / (high[0] - low[0]), height / (high[1] - low[1])))
    scale = fit * draw.log_between(*tight)
    slack = points([width, height]) / scale - (high - low)
    middle = (low + high) / 2 + slack * draw.rng.uniform(-0.46, 0.46, 2)
    centre = aim if aim is not None else shapes.turn(middle[None], -math.radians(turn))[0]
    tilt = abs(draw.bell(0, 7 * spread, -25, 25))
    towards = draw.between(0, 360)
    focal = draw.between(24, 52) / 36 * max(width, height)
    k1 = draw.bell(0, 0.003 * spread, -0.02, 0.02)
    for _ in range(30):
        camera = place_camera(width=width, height=height, aim_mm=centre, px_per_mm=scale, turn_deg=-turn,
                              tilt_deg=tilt, tilt_towards_deg=towards, focal_px=focal, k1=k1)  # fmt: skip
        px = camera.to_px(must_see)
        margin = 0.012 * max(width, height)
        if aim is not None or bool(((px > margin) & (px < points([width, height]) - 1 - margin)).all()):
            return camera
        scale *= 0.95
        mid = shapes.turn(((low + high) / 2)[None], -math.radians(turn))[0]
        centre = centre + 0.25 * (mid - centre)
        tilt *= 0.93
    return camera


def _beside(face: Face, shift: Points) -> Face:
    """The face moved in the plane."""
    pieces = tuple(replace(p, outline=p.outline + shift) for p in face.pieces)
    upper = None if face.upper is None else face.upper + shift
    return replace(face, outline=face.outline + shift, pieces=pieces, eye=face.eye + shift, upper=upper)


def _second(draw: Draw, first: Face, kind: str, spread: float) -> Face:
    """The face of another animal, lying or hanging beside the first."""
    other = _draw_face(draw, "side", kind, spread) or first
    if draw.chance(0.5):
        other = other.mirrored()
    down = draw.chance(0.6)
    if down:
        gap = first.outline[:, 1].min() - other.outline[:, 1].max() - draw.between(3, 30)
        return _beside(other, points([draw.between(-40, 40), gap]))
    gap = first.outline[:, 0].min() - other.outline[:, 0].max() - draw.between(3, 30)
    return _beside(other, points([gap, draw.between(-30, 30)]))


def make_plan(seed: int, size: tuple[int, int], *, difficulty: str, kind: str | None, want: str) -> Plan:
    """Settle everything about a seed but the paint."""
    if want not in WANTS:
        raise ValueError(f"want is {want!r}; it may be {', '.join(WANTS)}")
    spread = SPREADS[difficulty]
    draw = Draw(seed, "plan")
    bad = want.removeprefix("bad:") if want.startswith("bad:") else None
    kind = draw.pick(colours.KINDS) if kind is None else kind
    layout = _layout(draw, want, bad)
    look = colours.draw_look(Draw(seed, "look"), kind=kind, spread=spread, bare=layout != "side")
    face = _draw_face(Draw(seed, "face"), layout, kind, spread)
    side = draw.pick(["left", "right"])
    if face is not None and side == "right":
        face = face.mirrored()
    second = (
        _second(Draw(seed, "second"), face, kind, spread)
        if bad == "two_animals" and face is not None
        else None
    )
    has_card = _has_card(draw, want, bad, layout)
    card = _card_for(Draw(seed, "card"), face, second) if has_card else None
    camera = _view(Draw(seed, "view"), face, second, card, size, spread=spread, bad=bad, layout=layout)
    share = look.marbling_share
    return Plan(seed, spread, want, bad, look, face, second, side, card, camera, share)


def _has_card(draw: Draw, want: str, bad: str | None, layout: str) -> bool:
    if bad == "no_card" or want == "steak":
        return False
    if want == "mixed":
        return draw.chance(0.78 if layout == "side" else 0.25)
    return True


def _card_for(draw: Draw, face: Face | None, second: Face | None) -> Placed:
    if face is None:
        return Placed(points([-52.5, 37.0]), draw.between(-0.4, 0.4), "alone")
    if not len(face.eye):
        return place_card(draw, face.outline * 0.8, face.outline[:1], face.outline)
    line = fat_line(face)
    clear = face.eye[:1] if line is None else np.vstack([line, line.mean(axis=0)[None]])
    if second is not None:
        clear = np.vstack([clear, second.eye])
    return place_card(draw, face.eye, clear, face.outline)


def _view(
    draw: Draw, face: Face | None, second: Face | None, card: Placed | None, size: tuple[int, int], *,
    spread: float, bad: str | None, layout: str,
) -> Camera:  # fmt: skip
    see: list[Points] = []
    if card is not None:
        see.append(card.corners())
    if face is not None:
        near = layout != "side" or draw.chance(0.3 if spread > 1 else 0.5)
        see.append(face.outline if near else face.eye)
        line = fat_line(face) if len(face.eye) else None
        if line is not None:
            see.append(line)
    if second is not None:
        see.append(second.eye)
    if not see:
        see.append(points([[-80, -60], [80, 60]]))
    must = np.vstack(see)
    if bad == "card_tilted":
        spread = 0.4  # the card's own lean is the fault, not the camera's
    if bad == "eye_cut_off" and face is not None:
        return _cut_off(draw, face, card, size, spread)
    alone = card is None and layout in ("steak", "other", "ground")
    tight = (0.7, 1.04) if alone else (0.45, 0.98)
    return _frame(draw, must, size, spread=spread, tight=tight)


def _cut_off(draw: Draw, face: Face, card: Placed | None, size: tuple[int, int], spread: float) -> Camera:
    """A camera that leaves part of the eye outside its frame."""
    must = face.eye if card is None else np.vstack([face.eye, card.corners()])
    camera = _frame(draw, must, size, spread=spread, tight=(0.6, 0.95))
    middle = points([size[0], size[1]]) / 2
    least = draw.between(0.05, 0.2)
    for _ in range(60):
        px = camera.to_px(face.eye)
        gone = 1 - float(((px > 0) & (px < points([size[0], size[1]]) - 1)).all(axis=1).mean())
        if least < gone < 0.8:
            return camera
        away = middle if card is None else camera.to_px(card.corners()).mean(axis=0)
        step = away - px.mean(axis=0)
        step = step / max(float(np.hypot(*step)), 1) * 0.03 * size[0] * (1 if gone <= least else -1)
        # the whole picture moves so that the eye goes towards the edge of the frame, the card to the middle
        shift = points([[1, 0, -step[0]], [0, 1, -step[1]], [0, 0, 1]])
        camera = replace(camera, projection=shift @ camera.projection)
    return camera
