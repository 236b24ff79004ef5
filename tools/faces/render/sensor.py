"""The sensor and its software: exposure, white balance, blur, noise, tone, sharpening, JPEG."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from .arrays import Bytes, Colour, Gray, gray
from .colours import to_srgb_curve
from .draw import Draw


@dataclass(frozen=True)
class Sensor:
    """Settings of one exposure; lengths in px of the picture."""

    white: float  # sRGB value that a white paper gets
    balance: float  # share of the lamp's colour that is taken out
    cast: tuple[float, float, float]
    contrast: float
    saturation: float
    defocus_px: float
    motion_px: float
    motion_rad: float
    noise: float  # sRGB units
    sharpen: float
    shrink: float  # below 1: taken small and enlarged
    jpeg_quality: int


def draw_sensor(draw: Draw, *, width: int, spread: float, bad: str | None) -> Sensor:
    """Camera settings; `bad` names a fault that must be plain: blurred, too_dark or blown_out."""
    long = width / 4032
    tiny = draw.between(0, 0.6)  # a small picture has lost most of its blur to the shrinking
    defocus = draw.between(0.3, 2.4 * spread) * long + (tiny if long < 0.3 else 0)
    motion = draw.between(2, 7) * long if draw.chance(0.1 * spread) else 0.0
    white = draw.between(198, 246) if spread <= 1 else draw.between(150, 256)
    noise = draw.log_between(0.4, 3.2 * spread) * (1.0 if long > 0.3 else 0.6)
    if bad == "blurred":
        defocus, motion = (
            (draw.between(26, 60) * long, 0.0)
            if draw.chance(0.6)
            else (defocus, draw.between(90, 200) * long)
        )
    if bad == "too_dark":
        white = draw.between(14, 45)
    if bad == "blown_out":
        white = draw.between(900, 2400)
    off = 0.035 * spread
    return Sensor(
        white=white,
        balance=draw.between(0.55, 1.0),
        cast=(math.exp(draw.rng.normal(0, off)), 1.0, math.exp(draw.rng.normal(0, off))),
        contrast=draw.bell(0.1, 0.2 * spread, -0.2, 0.6),
        saturation=draw.bell(1.05, 0.13 * spread, 0.5, 1.7),
        defocus_px=defocus,
        motion_px=motion,
        motion_rad=draw.between(0, math.pi),
        noise=noise,
        sharpen=draw.between(0, 0.9) if draw.chance(0.6) else 0.0,
        shrink=draw.between(0.35, 0.8) if draw.chance(0.08 * spread) else 1.0,
        jpeg_quality=draw.whole(62, 95) if spread <= 1 else draw.whole(38, 95),
    )


def _blur(light: Colour, sensor: Sensor) -> Colour:
    if sensor.defocus_px > 0.35:
        light = gray(cv2.GaussianBlur(light, (0, 0), sensor.defocus_px * 0.7))
    if sensor.motion_px > 0.8:
        n = int(sensor.motion_px) * 2 + 3
        kernel = np.zeros((n, n), np.float32)
        reach = sensor.motion_px / 2
        step = reach * np.asarray([math.cos(sensor.motion_rad), math.sin(sensor.motion_rad)])
        a, b = np.round((n // 2 - step) * 16).astype(int), np.round((n // 2 + step) * 16).astype(int)
        cv2.line(kernel, a.tolist(), b.tolist(), 1.0, 1, cv2.LINE_8, 4)
        light = gray(cv2.filter2D(light, -1, kernel / kernel.sum()))
    return light


_STEPS = 4095


def _curve(sensor: Sensor) -> Gray:
    """Code value 0 to 1 for the square root of linear light in even steps: the sRGB curve, with contrast."""
    code = to_srgb_curve(np.linspace(0, 1, _STEPS + 1, dtype=np.float32) ** 2)
    return gray(code + np.float32(sensor.contrast) * code * (1 - code) * (2 * code - 1) * 2)


def _tone(light: Colour, gains: Colour, sensor: Sensor) -> Colour:
    """Linear light to code values, about 0 to 1: white balance, curve, contrast and saturation."""
    scaled = np.clip(light * gains, 0, 1)
    step = (cv2.sqrt(scaled) * np.float32(_STEPS) + np.float32(0.5)).astype(np.uint16)
    code = _curve(sensor)[step]
    luma = np.asarray([0.299, 0.587, 0.114])
    mix = sensor.saturation * np.eye(3) + (1 - sensor.saturation) * luma[None]
    return gray(cv2.transform(code, mix))


def expose(draw: Draw, light: Colour, lamp: Colour, sensor: Sensor) -> Bytes:
    """Linear light (h, w, 3), red first, to the finished picture: uint8, blue first, after JPEG."""
    level = sensor.white / 255
    gain = np.float32(level**2.2 / 0.9)
    balance = gain * gray(sensor.cast) / lamp ** np.float32(sensor.balance)
    light = _blur(light, sensor)
    code = _tone(light, balance, sensor)
    if sensor.sharpen:
        soft = cv2.GaussianBlur(code, (0, 0), 1.0)
        code = gray(code + np.float32(sensor.sharpen) * (code - soft))
    height, width = code.shape[:2]
    rough: Gray = draw.rng.standard_normal((height, width), dtype="f4")
    hue = cv2.resize(
        draw.rng.standard_normal((height // 2 + 1, width // 2 + 1, 3), dtype="f4"), (width, height)
    )
    dim = np.float32(sensor.noise / 255) * (1.3 - 0.6 * code[..., 1])
    code += (rough * dim)[..., None] + np.float32(0.4 * sensor.noise / 255) * gray(hue)
    if sensor.shrink < 1:
        small = cv2.resize(code, None, fx=sensor.shrink, fy=sensor.shrink, interpolation=cv2.INTER_AREA)
        code = gray(cv2.resize(small, (width, height), interpolation=cv2.INTER_LINEAR))
    np.clip(code, 0, 1, out=code)
    code *= 255
    picture = np.asarray(cv2.cvtColor(np.rint(code).astype(np.uint8), cv2.COLOR_RGB2BGR), np.uint8)
    done, packed = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, sensor.jpeg_quality])
    if not done:
        raise RuntimeError("the picture could not be packed as JPEG")
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_COLOR), np.uint8)
