"""The weights that ship: small enough, whole in one file, and shaped as the reader and the training take them."""

from __future__ import annotations

import ast
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import render

from gambrel.ribface import network

onnxruntime = pytest.importorskip("onnxruntime")
WEIGHTS = resources.files("gambrel.ribface").joinpath("data/eye.onnx")
TOOLS = Path(__file__).resolve().parents[2] / "tools" / "faces"


def constant(path: Path, name: str) -> Any:
    """The value that a file gives a name, without running the file: it wants a training library."""
    for node in ast.parse(path.read_text("utf-8")).body:
        if isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == name:
            return ast.literal_eval(node.value)
    raise AssertionError(f"{path.name} has no {name}")


@pytest.fixture(scope="module")
def session() -> Any:
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    return onnxruntime.InferenceSession(WEIGHTS.read_bytes(), options, providers=["CPUExecutionProvider"])


def run(session: Any, picture: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    maps, verdict = session.run(None, {"picture": picture})
    return maps, verdict


def noise(count: int, high: int, wide: int) -> np.ndarray:
    return np.random.default_rng(5).random((count, 3, high, wide), dtype=np.float32)


def test_no_larger_than_is_allowed() -> None:
    most = constant(TOOLS / "export.py", "MOST_BYTES")
    assert most == 12_000_000
    assert 100_000 < len(WEIGHTS.read_bytes()) <= most


def test_renderer_training_and_reader_name_the_same_classes() -> None:
    assert render.CLASSES == network.CLASSES == constant(TOOLS / "network.py", "CLASSES")
    assert constant(TOOLS / "network.py", "VERDICTS") == network.VERDICTS


def test_names_of_what_goes_in_and_out(session: Any) -> None:
    assert [part.name for part in session.get_inputs()] == ["picture"]
    assert [part.name for part in session.get_outputs()] == ["maps", "verdict"]
    assert session.get_inputs()[0].type == "tensor(float)"


@pytest.mark.parametrize(("high", "wide"), [(320, 320), (320, 256), (64, 320), (224, 320)])
def test_maps_at_half_the_size_of_any_picture(session: Any, high: int, wide: int) -> None:
    maps, verdict = run(session, noise(1, high, wide))
    assert maps.shape == (1, network.OUTWARD.stop, high // 2, wide // 2)
    assert verdict.shape == (1, len(network.VERDICTS))
    assert np.isfinite(maps).all() and np.isfinite(verdict).all()


def test_one_picture_of_several_is_seen_as_if_alone(session: Any) -> None:
    pictures = noise(3, 96, 128)
    together, _ = run(session, pictures)
    alone, _ = run(session, pictures[1:2])
    assert np.abs(together[1] - alone[0]).max() < 0.05, "half precision inside"


def test_the_same_picture_gives_the_same_maps(session: Any) -> None:
    picture = noise(1, 128, 128)
    assert (run(session, picture)[0] == run(session, picture)[0]).all()


@pytest.mark.parametrize("value", [0.0, 1.0, 0.5])
def test_an_empty_picture_has_no_eye(session: Any, value: float) -> None:
    maps, _ = run(session, np.full((1, 3, 256, 320), value, np.float32))
    kinds = maps[0, : len(network.CLASSES)].argmax(axis=0)
    assert (kinds == network.EYE).mean() < 0.02


def test_a_held_back_face_is_told_apart() -> None:
    """Share of the drawn eye's pixels taken for eye, and of the rest not taken for it."""
    made = render.render_face(50_000_231, size=(640, 480), difficulty="easy", kind="grain", want="good")
    view = network.look_at_whole(made.bgr)
    kinds = view.maps[: len(network.CLASSES)].argmax(axis=0)
    ys, xs = np.mgrid[0 : kinds.shape[0], 0 : kinds.shape[1]]
    points = view.px(np.stack([xs.ravel(), ys.ravel()], axis=1).astype(float)).round().astype(int)
    points = np.clip(points, 0, [made.labels.shape[1] - 1, made.labels.shape[0] - 1])
    truth = made.labels[points[:, 1], points[:, 0]].reshape(kinds.shape)
    eye = truth == network.CLASSES.index("eye")
    assert (kinds[eye] == network.EYE).mean() > 0.93
    assert (kinds[~eye] == network.EYE).mean() < 0.01
    card = truth == network.CLASSES.index("card")
    assert (kinds[card] == network.CARD).mean() > 0.9


def test_likelihoods_add_up_to_one() -> None:
    made = render.render_face(50_000_234, size=(400, 300), want="good")
    view = network.look_at_whole(made.bgr)
    assert view.maps[: len(network.CLASSES)].sum(axis=0) == pytest.approx(1, abs=1e-5)
    assert view.verdict.sum() == pytest.approx(1, abs=1e-5)
    assert sum(view.verdict_of(name) for name in network.VERDICTS) == pytest.approx(1, abs=1e-5)


@pytest.mark.parametrize("size", [(400, 300), (300, 400), (1200, 900), (333, 250)])
def test_points_go_to_the_map_and_back(size: tuple[int, int]) -> None:
    view = network.look_at_whole(np.full((size[1], size[0], 3), 90, np.uint8))
    for point in ((10.0, 20.0), (size[0] / 2, size[1] / 3), (size[0] - 1.0, size[1] - 1.0)):
        back = view.px(np.array([view.to_map(point)]))[0]
        assert back == pytest.approx(point, abs=1e-6)
