"""The rib-face pages: what is sent is looked at, what is shown is what was read, nobody but the block changes it."""

from __future__ import annotations

import json
import math
import re
from typing import Any

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils.translation import override

from gambrel.files.demo_photographs import demo_photographs
from gambrel.files.photograph import MOST_BYTES
from gambrel.ribface import refuse
from gambrel.shop.clock import today
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.pages.ribface import forms
from gambrel.shop.pages.ribface.forms import MeasureForm
from gambrel.shop.records.models import FaceAccepted, FaceReading, HowRead, Photograph, Side
from gambrel.shop.records.selectors.ribface import Overlay, face_lines, overlay_of, stored_points
from gambrel.shop.records.selectors.ribface_compare import FRAME_MM, compare_page

FACES = dict(demo_photographs())
SIZE_PX = (2016, 1512)


def photograph(side: str = "C1-left") -> SimpleUploadedFile:
    return SimpleUploadedFile("../../etc/passwd.jpg", FACES[f"{side}.jpg"], content_type="text/html")


def side_of(tag: str = "C1", half: str = "left") -> Side:
    return Side.objects.get(animal__tag=tag, half=half)


@pytest.fixture
def read(cutter_client: Client) -> FaceReading:
    """The left side of C1 read on its page."""
    answer = cutter_client.post(f"/ribface/{side_of().pk}/photograph/", {"taken": photograph()})
    reading = FaceReading.objects.latest("pk")
    assert answer["Location"] == f"/ribface/{reading.side_id}/?reading={reading.pk}"
    return reading


def test_the_page_shows_what_was_read(cutter_client: Client, read: FaceReading) -> None:
    assert not read.refused and read.ribeye_cm2 and read.fat_mm
    text = cutter_client.get(f"/ribface/{read.side_id}/").content.decode()
    assert f"{read.ribeye_cm2:.1f} cm²" in text
    assert f"{read.fat_mm:.1f} mm" in text
    drawn = json.loads(re.search(r'data-outline="([^"]+)"', text).group(1))  # type: ignore[union-attr]
    assert 100 < len(drawn) <= 400
    middle = np.mean(drawn, axis=0)
    assert middle == pytest.approx(
        np.mean(read.outline_px, axis=0), abs=6
    )  # stored upright, so both are the same
    assert "No es oficial" in text  # the cutter reads Spanish


def test_neither_name_nor_claimed_type_of_an_upload_is_believed(read: FaceReading) -> None:
    kept = Photograph.objects.get()
    assert re.fullmatch(r"[0-9a-f]{32}\.jpg", kept.file)
    assert kept.content_type == "image/jpeg"


@pytest.mark.parametrize(
    "data", [b"", b"<script>alert(1)</script>", b"\xff\xd8\xff\xe0" + b"0" * 5000, b"GIF89a" * 30]
)
def test_what_is_no_photograph_is_said_and_not_kept(cutter_client: Client, data: bytes) -> None:
    sent = SimpleUploadedFile("face.jpg", data)
    answer = cutter_client.post(f"/ribface/{side_of().pk}/photograph/", {"chosen": sent})
    assert answer.status_code == 400
    assert b"findings" in answer.content
    assert not Photograph.objects.exists()


def test_nothing_sent_is_said(cutter_client: Client) -> None:
    answer = cutter_client.post(f"/ribface/{side_of().pk}/photograph/", {})
    assert answer.status_code == 400
    assert "No llegó ninguna foto" in answer.content.decode()


@pytest.mark.parametrize(("over_bytes", "said"), [(1, True), (0, False)], ids=["over", "as large as may be"])
def test_a_photograph_that_is_too_large_is_told_so_by_its_form(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch, over_bytes: int, said: bool
) -> None:
    """Neither the server nor the guide's proxy may cut it off before (test_service_files)."""
    data = b"\xff\xd8 no picture at all"
    monkeypatch.setattr(forms, "MOST_BYTES", len(data) - over_bytes)
    answer = owner_client.post(
        f"/ribface/{side_of().pk}/photograph/", {"chosen": SimpleUploadedFile("x.jpg", data)}
    )
    assert answer.status_code == 400 and not Photograph.objects.exists()
    assert (b"more than 80 million bytes" in answer.content) is said


def test_the_sentence_on_large_photographs_names_the_limit() -> None:
    assert MOST_BYTES == 80_000_000


def test_a_refused_photograph_says_what_to_do_in_the_page_s_language(cutter_client: Client) -> None:
    import cv2

    plain = cv2.imencode(".jpg", np.full((900, 1200, 3), 128, np.uint8))[1].tobytes()
    answer = cutter_client.post(
        f"/ribface/{side_of().pk}/photograph/", {"taken": SimpleUploadedFile("x.jpg", plain)}, follow=True
    )
    text = answer.content.decode()  # the cutter reads Spanish
    assert "no se ve ninguna de las 4 marcas de la tarjeta" in text
    assert "tómela otra vez con la tarjeta en la foto" in text
    assert "Cómo sostener la tarjeta y el teléfono" in text
    assert f"/ribface/reading/{FaceReading.objects.get().pk}/accept/" not in text


def test_accepting_makes_it_count(cutter_client: Client, read: FaceReading) -> None:
    assert cutter_client.post(f"/ribface/reading/{read.pk}/accept/").status_code == 302
    assert FaceAccepted.objects.get().reading_id == read.pk
    line = next(line for line in face_lines(today=today()) if line.side.pk == read.side_id)
    assert line.state == "accepted"
    assert face_lines(today=today())[0].state == "none"  # what wants a photograph stands first


def test_a_refused_reading_is_not_accepted_by_a_forged_post(cutter_client: Client) -> None:
    reading = FaceReading.objects.create(side=side_of(), at="2026-03-09T10:00Z", how=HowRead.READ, refused=True,
                                         reason="blurred")  # fmt: skip
    assert cutter_client.post(f"/ribface/reading/{reading.pk}/accept/").status_code == 400
    assert not FaceAccepted.objects.exists()
    assert cutter_client.get(f"/ribface/{reading.side_id}/").status_code == 200


def test_an_outline_moved_on_the_page_is_measured(cutter_client: Client, read: FaceReading) -> None:
    overlay = overlay_of(read)
    assert overlay is not None
    middle = np.mean(overlay.outline, axis=0)
    grown = (middle + 1.1 * (np.array(overlay.outline) - middle)).round(1).tolist()
    answer = cutter_client.post(f"/ribface/reading/{read.pk}/measure/", {"outline": json.dumps(grown)})
    again = FaceReading.objects.latest("pk")
    assert answer.status_code == 302 and again.how == HowRead.OUTLINE
    assert again.ribeye_cm2 == pytest.approx(1.21 * read.ribeye_cm2, rel=0.01)  # type: ignore[operator]


def test_a_tap_without_script_finds_the_same_eye(cutter_client: Client, read: FaceReading) -> None:
    """A button that is a picture sends where it was tapped, in pixels of its own width of 320."""
    x, y = np.mean(read.outline_px, axis=0)
    tap = {"at.x": str(round(x * 320 / SIZE_PX[0])), "at.y": str(round(y * 320 / SIZE_PX[0]))}
    assert cutter_client.post(f"/ribface/reading/{read.pk}/measure/", tap).status_code == 302
    again = FaceReading.objects.latest("pk")
    assert again.answer["by_hand"]["seed"] == pytest.approx([x, y], abs=7)
    assert again.ribeye_cm2 == pytest.approx(read.ribeye_cm2, rel=0.05)


def test_typed_places_are_percent_of_the_picture(cutter_client: Client, read: FaceReading) -> None:
    sent = {"across": "50", "down": "25", "chine": "right"}
    cutter_client.post(f"/ribface/reading/{read.pk}/measure/", sent)
    hand = FaceReading.objects.latest("pk").answer["by_hand"]
    assert hand["seed"] == pytest.approx([1007.5, 377.5])  # centres of pixels are whole numbers
    assert hand["chine"] == "right"


def test_a_known_length_and_no_sizes_at_all(cutter_client: Client, read: FaceReading) -> None:
    (x1, y1), (x2, y2) = read.answer["axis_px"]
    ends = {"from_across": 100 * x1 / SIZE_PX[0], "from_down": 100 * y1 / SIZE_PX[1],
            "to_across": 100 * x2 / SIZE_PX[0], "to_down": 100 * y2 / SIZE_PX[1]}  # fmt: skip
    sent = {name: f"{value:.2f}" for name, value in ends.items()} | {"length": "100mm"}
    cutter_client.post(f"/ribface/reading/{read.pk}/measure/", sent)
    known = FaceReading.objects.latest("pk")
    assert known.answer["length_cm"] == pytest.approx(10.0, rel=0.01)
    cutter_client.post(f"/ribface/reading/{known.pk}/measure/", {"no_scale": "on"})
    bare = FaceReading.objects.latest("pk")
    assert bare.ribeye_cm2 is None and bare.marbling_pct is not None
    assert cutter_client.get(f"/ribface/{read.side_id}/").status_code == 200


NO_HELP: list[dict[str, str]] = [
    {},
    {"outline": "[[1,2]"},
    {"outline": "[[1,2],[3,4]]"},
    {"outline": "7"},
    {"outline": '{"a": 1}'},
    {"outline": "[[NaN,1],[2,2],[3,3],[4,9],[5,5],[6,0]]"},
    {"outline": "[[Infinity,1],[2,2],[3,3],[4,9],[5,5],[6,0]]"},
    {"outline": f"[[{'9' * 400},1],[2,2],[3,3],[4,9],[5,5],[6,0]]"},
    {"outline": "[" * 100_000},
    {"across": "-5", "down": "3"},
    {"across": "nan", "down": "3"},
    {"at.x": "9" * 400, "at.y": "1"},
    {"chine": "north"},
    {"length": "100mm"},
    {"length": "100", "chine": "left"},
    {"from_across": "1", "from_down": "1", "to_across": "2", "to_down": "2"},
]


def test_help_that_is_none_is_said_and_measures_nothing(cutter_client: Client, read: FaceReading) -> None:
    for sent in NO_HELP:
        answer = cutter_client.post(f"/ribface/reading/{read.pk}/measure/", sent)
        assert answer.status_code == 400, sent
        assert b"findings" in answer.content, sent
    assert FaceReading.objects.count() == 1


def test_dots_and_ruler_on_the_page(cutter_client: Client) -> None:
    """98 dots inside and 9 on the edge are 10.15 in2 (USDA dot-grid method sheet, 2011)."""
    side = side_of("W2", "right")
    sent = {"dots_inside_count": "98", "dots_on_edge_count": "9", "fat": "0.5in", "marbling": "Small 30"}
    answer = cutter_client.post(f"/ribface/{side.pk}/by-hand/", sent, follow=True)
    kept = FaceReading.objects.get(side=side)
    assert (kept.how, kept.marbling_score, kept.fat_mm) == (HowRead.BY_HAND, 430.0, pytest.approx(12.7))
    assert b"65.5 cm" in answer.content  # 10.15 x 6.4516


@pytest.mark.parametrize(
    "sent", [{}, {"dots_inside_count": "-1"}, {"fat": "10"}, {"fat": "4m"}, {"marbling": "lots"}, {"marbling": "inf"},
             {"dots_on_edge_count": "4"}, {"dots_inside_count": "90", "ribeye": "80cm2"}, {"ribeye": "800cm2"}],
)  # fmt: skip
def test_figures_by_hand_that_cannot_be(cutter_client: Client, sent: dict[str, str]) -> None:
    answer = cutter_client.post(f"/ribface/{side_of().pk}/by-hand/", sent)
    assert answer.status_code == 400
    for value in sent.values():
        assert value.encode() in answer.content  # nothing that was typed is lost
    assert not FaceReading.objects.exists()


def test_the_picture_is_shown_to_staff_alone(
    cutter_client: Client, counter_client: Client, visitor_client: Client, read: FaceReading
) -> None:
    address = f"/ribface/picture/{read.photograph_id}/small.jpg"
    for client in (cutter_client, counter_client):
        answer = client.get(address)
        assert answer["Content-Type"] == "image/jpeg"
        assert answer.content.startswith(b"\xff\xd8\xff")
        assert answer["Cache-Control"].startswith("private")
    assert visitor_client.get(address).status_code == 302
    for wrong in (f"/ribface/picture/{read.photograph_id}/huge.jpg", "/ribface/picture/99999/small.jpg",
                  "/ribface/picture/1/..%2F..%2Fsecret.jpg"):  # fmt: skip
        assert cutter_client.get(wrong).status_code == 404


def test_the_counter_looks_and_changes_nothing(counter_client: Client, read: FaceReading) -> None:
    text = counter_client.get(f"/ribface/{read.side_id}/").content.decode()
    assert "/measure/" not in text and "/accept/" not in text and 'type="file"' not in text
    for address in (f"/ribface/reading/{read.pk}/accept/", f"/ribface/reading/{read.pk}/measure/",
                    f"/ribface/{read.side_id}/by-hand/", f"/ribface/{read.side_id}/photograph/"):  # fmt: skip
        assert counter_client.post(address).status_code == 403


def test_the_same_photograph_of_two_sides_is_named(cutter_client: Client, read: FaceReading) -> None:
    other = side_of("C1", "right")
    answer = cutter_client.post(f"/ribface/{other.pk}/photograph/", {"taken": photograph()}, follow=True)
    assert "C1-left" in answer.content.decode().split("También")[0]
    assert "La misma foto está guardada también para C1-left" in answer.content.decode()


def test_faces_side_by_side_lie_level_and_at_one_scale(cutter_client: Client, read: FaceReading) -> None:
    other = side_of("W1", "left")
    cutter_client.post(f"/ribface/{other.pk}/photograph/", {"taken": photograph("W1-left")})
    for reading in FaceReading.objects.all():
        cutter_client.post(f"/ribface/reading/{reading.pk}/accept/")
    page = compare_page([], most_count=6, today=today())
    assert {panel.line.side.pk for panel in page.panels} == {read.side_id, other.pk}
    for panel in page.panels:
        a, b, c, d, e, f = panel.matrix
        ends = [(a * x + c * y + e, b * x + d * y + f) for x, y in panel.overlay.axis]
        assert ends[0][1] == pytest.approx(FRAME_MM[1] / 2, abs=0.5) == ends[1][1]
        length_mm = math.dist(*ends)
        assert length_mm == pytest.approx(
            10 * panel.reading.answer["length_cm"], rel=0.1
        )  # the card leans a little
        chine = panel.overlay.chine
        assert chine is None or a * chine[0] + c * chine[1] + e < FRAME_MM[0] / 2
    one = cutter_client.get("/ribface/compare/", {"side": str(other.pk)}).content.decode()
    assert one.count("<figure") == 1 and "W1-left" in one


def test_points_go_upright_and_back_whatever_the_way_up() -> None:
    for orientation in range(1, 9):
        reading = FaceReading(
            photograph=Photograph(width_px=400, height_px=300), answer={"orientation": orientation}
        )
        points = [[10.0, 20.0], [390.0, 20.0], [200.0, 290.0]]
        reading.outline_px = points
        overlay = overlay_of(reading)
        assert overlay is not None
        assert (overlay.width_px, overlay.height_px) == ((300, 400) if orientation > 4 else (400, 300))
        assert all(0 <= x < overlay.width_px and 0 <= y < overlay.height_px for x, y in overlay.outline)
        assert stored_points(reading, [list(point) for point in overlay.outline]) == points


def test_the_chine_is_the_end_further_from_the_fat_line() -> None:
    """Fat is measured at three quarters of the length from the chine (USDA, 7 CFR 54 standards, 2017)."""
    line = ((75.0, 10.0), (75.0, -5.0))
    assert Overlay(200, 100, axis=((0.0, 20.0), (100.0, 20.0)), fat_line=line).chine == (0.0, 20.0)
    assert Overlay(200, 100, axis=((100.0, 20.0), (0.0, 20.0)), fat_line=line).chine == (0.0, 20.0)
    assert Overlay(200, 100, axis=((100.0, 20.0), (0.0, 20.0))).chine is None


def test_the_view_stays_inside_the_picture() -> None:
    overlay = Overlay(400, 300, outline=((5.0, 5.0), (390.0, 10.0), (200.0, 295.0)))
    assert overlay.view == (0, 0, 400, 300)
    small = Overlay(400, 300, outline=((100.0, 100.0), (200.0, 100.0), (150.0, 160.0)))
    left, top, wide, high = small.view
    assert left < 100 and top < 100 and left + wide > 200 and top + high > 160
    assert wide < 200


def test_every_refusal_can_be_said_in_spanish() -> None:
    with override("es"):
        for reason in refuse.Reason:
            assert in_words_of_page(reason.wanted) != reason.wanted, reason
            assert in_words_of_page(reason.do) != reason.do, reason
        said = in_words_of_page("glare on 7 % of the eye; dry the face or turn it from the lamp")
        assert said == "brillo en 7 % del ojo; seque la cara o apártela de la lámpara"
        asked = (
            "which end is the chine is not sure, and their fat is not alike; fat is not measured; say the end"
        )
        assert "espinazo" in in_words_of_page(asked)
        assert (
            in_words_of_page("something nobody translated, 4.5 mm") == "something nobody translated, 4.5 mm"
        )


def test_a_key_on_the_picture_button_is_no_tap() -> None:
    form = MeasureForm({"at.x": "0", "at.y": "0", "chine": "left"}, size_px=SIZE_PX)
    assert form.is_valid() and form.seed() is None


def test_few_queries_and_light_pages(
    cutter_client: Client, read: FaceReading, queries: list[dict[str, str]]
) -> None:
    for address in ("/ribface/", f"/ribface/{read.side_id}/", "/ribface/compare/"):
        queries.clear()
        answer: Any = cutter_client.get(address)
        assert answer.status_code == 200
        assert len(queries) <= 15
        assert len(answer.content) < 150_000


@pytest.mark.parametrize("asked", ["x", "-1", "9" * 30, "<script>"])
def test_a_reading_that_is_none_shows_the_newest(
    cutter_client: Client, read: FaceReading, asked: str
) -> None:
    answer = cutter_client.get(f"/ribface/{read.side_id}/", {"reading": asked})
    assert answer.status_code == 200
    assert f"/ribface/reading/{read.pk}/measure/".encode() in answer.content
