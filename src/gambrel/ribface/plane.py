"""The scale card found, and with it the plane of the cut face: picture pixels to millimetres.

The layout is the fixed one of the card: A7, markers 10 to 13, millimetres from its top-left corner.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.geometry import area_mm2
from gambrel.ribface.markers import MARKER_MM, find_markers, marker_at_mm, two_cards
from gambrel.ribface.refuse import Reason, Refusal
from gambrel.ribface.sharpness import edge_width_mm
from gambrel.ribface.shrink import cut_out, halved, halvings, to_full

Points = NDArray[np.float64]
Picture = NDArray[np.uint8]

CARD_MM = (105.0, 74.0)
BAR_AT_MM = (27.5, 77.5, 60.0)
"""Left end, right end and height of the 50 mm check bar."""

MOST_EATEN_MM = 0.6
"""Most that blur is let take off a marker's corner."""

USUAL_FOCAL_SHARE = 26.0 / 43.27
"""Focal length over the frame's diagonal for a phone's main camera (26 mm against a 43.27 mm diagonal);
common practice, used for the tilt alone."""


@dataclass(frozen=True)
class Plane:
    """The plane of the face. `homography` (3, 3) takes picture px to mm on the plane."""

    homography: NDArray[np.float64]

    @classmethod
    def from_length(cls, p1: tuple[float, float], p2: tuple[float, float], mm: float) -> Plane:
        """A plane seen square on, from two points in the picture that are `mm` apart."""
        across = float(np.hypot(p2[0] - p1[0], p2[1] - p1[1]))
        if across <= 0 or mm <= 0:
            raise ValueError("two different points and a length above nothing are needed")
        return cls.square_on(mm / across)

    @classmethod
    def square_on(cls, mm_per_px: float) -> Plane:
        return cls(np.diag([mm_per_px, mm_per_px, 1.0]))

    def to_mm(self, points_px: Points) -> Points:
        """(n, 2) picture px to (n, 2) mm."""
        return _through(self.homography, points_px)

    def to_px(self, points_mm: Points) -> Points:
        """(n, 2) mm to (n, 2) picture px."""
        return _through(_inverse(self.homography), points_mm)

    def mm_per_px(self, point_px: Points) -> float:
        """Size of a pixel at a point [mm], the root of its area on the plane."""
        x, y = np.asarray(point_px, dtype=float).reshape(2)
        at = self.to_mm(np.array([[x, y], [x + 1, y], [x, y + 1]]))
        across, down = at[1] - at[0], at[2] - at[0]
        return float(np.sqrt(abs(across[0] * down[1] - across[1] * down[0])))

    def rectify(
        self, picture: Picture, *, px_per_mm: float, window_mm: tuple[float, float, float, float]
    ) -> tuple[Picture, NDArray[np.float64]]:
        """The window (left, top, right, bottom in mm) seen square on, and the (3, 3) matrix px to its px.

        Pixel centres are whole numbers, as everywhere. Finer than the photograph is no use; where it is much
        coarser, the photograph is averaged first, so that no fleck falls between pixels.
        """
        left, top, right, bottom = window_mm
        size = (max(1, round((right - left) * px_per_mm)), max(1, round((bottom - top) * px_per_mm)))
        place = np.array([[px_per_mm, 0, -left * px_per_mm], [0, px_per_mm, -top * px_per_mm], [0, 0, 1.0]])
        matrix = place @ self.homography
        around = self.to_px(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
        corner, cut = cut_out(picture, around)
        shift = np.array([[1, 0, corner[0]], [0, 1, corner[1]], [0, 0, 1.0]])
        often = halvings(1.0 / (px_per_mm * self.mm_per_px(around.mean(axis=0))))
        if often and min(cut.shape[:2]) >= 2**often:
            cut, shift = halved(cut, often), shift @ to_full(often)
        # A fourth channel that is thrown away makes it half as long again: pixels of four bytes are stored at once.
        four = cv2.cvtColor(cut, cv2.COLOR_BGR2BGRA)
        seen = cv2.warpPerspective(four, matrix @ shift, size, flags=cv2.INTER_LINEAR)
        return np.asarray(cv2.cvtColor(seen, cv2.COLOR_BGRA2BGR), dtype=np.uint8), matrix


@dataclass(frozen=True)
class Card:
    """The card as found. Corners and markers in picture px; `residual_mm` is how far from flat it lies."""

    plane: Plane
    corners_px: Points
    markers: tuple[int, ...]
    marker_corners_px: Points
    residual_px: float
    residual_mm: float
    tilt_deg: float
    edge_width_mm: float
    length_to_height: float
    bar_mm: float | None

    def warnings(self) -> tuple[str, ...]:
        """What is not quite right about the card, in sentences."""
        said: list[str] = []
        if len(self.markers) < 4:
            said.append(f"{len(self.markers)} of the card's 4 markers seen; the scale is less sure")
        if self.tilt_deg > refuse.TILT_WARNING_DEG:
            said.append(f"the card is tilted by {self.tilt_deg:.0f} degrees; the sizes are less sure")
        if self.residual_mm > refuse.FLAT_WARNING_MM:
            said.append("the card does not lie quite flat; the sizes are less sure")
        if self.edge_width_mm > refuse.BLUR_WARNING_MM:
            said.append("the picture is soft; fine marbling is less sure")
        if abs(self.length_to_height - 1) > refuse.PRINT_LIMIT_SHARE:
            said.append("the card was not printed in its true proportions; print it again at 1:1")
        if self.bar_mm is not None and abs(self.bar_mm - 50) > refuse.BAR_LIMIT_MM:
            said.append(
                f"the check bar measures {self.bar_mm:.1f} mm instead of 50; print the card again at 1:1"
            )
        return tuple(said)


def find_card(bgr: Picture, *, focal_share: float | None = None) -> Card | Refusal:
    """The card in an upright picture (H, W, 3), or why it cannot be used.

    `focal_share` is the focal length over the frame's diagonal, from the photograph's own record where it has
    one; it bears on the tilt alone.
    """
    candidates = find_markers(bgr)
    if two_cards(candidates):
        return Refusal(Reason.TWO_CARDS, "markers of the card are seen twice")
    seen = {number: max(quads, key=area_mm2) for number, quads in candidates.items()}
    if not seen:
        return Refusal(Reason.NO_CARD, "none of the card's 4 markers seen")
    if len(seen) < refuse.MARKERS_NEEDED:
        width = edge_width_mm(bgr, list(seen.values()), side_mm=MARKER_MM)
        if refuse.BLUR_WARNING_MM < width < float("inf"):
            return _blurred(width)
        return Refusal(Reason.TOO_LITTLE_CARD, f"{len(seen)} of the card's 4 markers seen")
    card = _fit(bgr, seen, focal_share or USUAL_FOCAL_SHARE)
    if card.edge_width_mm > refuse.BLUR_LIMIT_MM:
        return _blurred(card.edge_width_mm)
    if card.residual_mm > refuse.FLAT_LIMIT_MM and card.residual_px > refuse.FLAT_LIMIT_PX:
        return Refusal(Reason.CARD_NOT_FLAT, f"its corners lie {card.residual_mm:.1f} mm off a plane")
    if card.tilt_deg > refuse.TILT_LIMIT_DEG:
        return Refusal(Reason.CARD_TILTED, f"it is tilted by {card.tilt_deg:.0f} degrees")
    if card.tilt_deg > refuse.LEANING_DEG and abs(card.length_to_height - 1) > refuse.LEANING_SHARE:
        return Refusal(Reason.CARD_TILTED, f"it leans against the face by about {card.tilt_deg:.0f} degrees")
    return card


def _blurred(width_mm: float) -> Refusal:
    return Refusal(Reason.BLURRED, f"edges on the card are {width_mm:.1f} mm wide")


def _fit(bgr: Picture, seen: dict[int, Points], focal_share: float) -> Card:
    """The plane through all corners; where one marker of three or four does not fit, through the others."""
    homography, residual = _grid(seen)
    plane = Plane(homography)
    if residual > refuse.FLAT_WARNING_MM and len(seen) > 2:
        trials = [{k: v for k, v in seen.items() if k != out} for out in seen]
        best = min(trials, key=lambda kept: _grid(kept)[1])
        better, left = _grid(best)
        if left < residual / 4:
            seen, plane, residual = best, Plane(better), left
    corners = np.concatenate([seen[k] for k in sorted(seen)])
    width, height = CARD_MM
    around = plane.to_px(np.array([[0, 0], [width, 0], [width, height], [0, height]]))
    gap = plane.to_px(np.concatenate([marker_at_mm(k) for k in sorted(seen)])) - corners
    tilt, proportion = _pose(plane, bgr.shape[:2], focal_share)
    return Card(
        plane=plane,
        corners_px=around,
        markers=tuple(sorted(seen)),
        marker_corners_px=corners,
        residual_px=float(np.sqrt(np.mean(np.sum(gap**2, axis=1)))),
        residual_mm=residual,
        tilt_deg=tilt,
        edge_width_mm=edge_width_mm(bgr, [seen[k] for k in sorted(seen)], side_mm=MARKER_MM),
        length_to_height=proportion,
        bar_mm=_bar_mm(bgr, plane),
    )


def _grid(seen: dict[int, Points]) -> tuple[NDArray[np.float64], float]:
    """Homography px to mm through the corners, and its root mean square residual [mm].

    Blur lets the white eat into the black, so that every marker looks smaller about its own middle; by how much is
    found from the corners and allowed for.
    """
    picture = np.concatenate([seen[k] for k in sorted(seen)])
    card = np.concatenate([marker_at_mm(k) for k in sorted(seen)])
    outward = np.concatenate([marker_at_mm(k) - marker_at_mm(k).mean(axis=0) for k in sorted(seen)])
    outward /= np.hypot(*outward.T)[:, None]
    eaten_mm = 0.0
    for _ in range(3):
        back, _ = cv2.findHomography(card - eaten_mm * outward, picture, 0)
        if back is None or abs(np.linalg.det(back)) < 1e-12:
            return np.eye(3), float("inf")
        homography = np.linalg.inv(np.asarray(back, dtype=float))
        gap = _through(homography, picture) - card
        eaten_mm = float(np.clip(-np.mean(np.sum(gap * outward, axis=1)), 0, MOST_EATEN_MM))
    gap += eaten_mm * outward
    return homography / homography[2, 2], float(np.sqrt(np.mean(np.sum(gap**2, axis=1))))


def _pose(plane: Plane, shape: tuple[int, ...], focal_share: float) -> tuple[float, float]:
    """Tilt of the plane against the lens [degrees] and length-to-height scale of the print."""
    high, wide = shape[:2]
    focal = focal_share * float(np.hypot(high, wide))
    lens = np.array([[focal, 0, (wide - 1) / 2], [0, focal, (high - 1) / 2], [0, 0, 1.0]])
    axes = np.linalg.inv(lens) @ np.linalg.inv(plane.homography)
    across, down = axes[:, 0], axes[:, 1]
    normal = np.cross(across, down)
    tilt = np.degrees(np.arccos(np.clip(abs(normal[2]) / np.linalg.norm(normal), 0, 1)))
    return float(tilt), float(np.linalg.norm(across) / np.linalg.norm(down))


def _bar_mm(bgr: Picture, plane: Plane) -> float | None:
    """Length of the check bar by the markers' scale [mm], or None where it is not wholly seen."""
    left, right, at = BAR_AT_MM
    fine = 4.0
    window = (left - 4, at - 3, right + 4, at + 3)
    strip, _ = plane.rectify(bgr, px_per_mm=fine, window_mm=window)
    grey = cv2.cvtColor(strip, cv2.COLOR_BGR2GRAY).astype(float)
    white = float(np.percentile(grey, 90))
    rows = grey[int(1.5 * fine) : int(4.5 * fine)]
    dark = rows.min(axis=0)
    depth = white - float(np.median(dark))
    inked = dark < white - depth / 2
    if depth <= 0 or depth < 0.25 * white or inked[: int(2 * fine)].any() or inked[-int(2 * fine) :].any():
        return None
    where = np.flatnonzero(inked)
    if where.size < 0.97 * (where[-1] - where[0] + 1):
        return None
    return float((where[-1] - where[0] + 1) / fine)


def _inverse(matrix: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def _through(matrix: NDArray[np.float64], points: Points) -> Points:
    flat = np.asarray(points, dtype=float).reshape(-1, 2)
    lifted = np.column_stack([flat, np.ones(len(flat))]) @ matrix.T
    return np.asarray(lifted[:, :2] / lifted[:, 2:], dtype=float)
