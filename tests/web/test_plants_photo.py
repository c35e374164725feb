"""Labels in a photo: read, shown with what must be said, never kept; and what the camera asks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client

from answers.test_photo_labels import code, sent
from scionary.book.commands import Written, correct
from scionary.book.models import BenchDay, Dome, Event, Plant, RawFile
from scionary.names import code_of, grouped
from web.rendered import check_page, form_of

pytestmark = pytest.mark.django_db
PAGE, SEEN = "/plants/photo/", "/plants/photo/seen/"


def upload(name: str, *texts: str) -> SimpleUploadedFile:
    """A photograph of some symbols in a row, as it is sent."""
    return SimpleUploadedFile(name, sent(name, *texts).read(), "image/jpeg")


def post(client: Client, *photos: SimpleUploadedFile) -> HttpResponse:
    return client.post(PAGE, {"photos": list(photos)})


def test_the_page_takes_a_photo_or_several_without_script(client: Client, nursery: object) -> None:
    page = check_page(client.get(PAGE))
    assert 'name="photos" accept="image/*" capture="environment"' in page
    assert 'name="photos" accept="image/*" multiple' in page
    assert "The photo is read and not kept" in page


def test_the_find_page_leads_to_it(client: Client, plant: Plant) -> None:
    page = check_page(client.get("/plants/"))
    assert 'href="/plants/photo/"' in page
    assert 'data-camera-into="q" data-camera-then="go" data-camera-asks="/plants/photo/seen/" hidden' in page


def test_each_label_is_listed_in_reading_order_and_leads_to_its_plant(client: Client, graft: Callable[..., Written]) -> None:
    plants = graft(3).plants
    page = check_page(post(client, upload("row.jpg", *(code(plants[place]) for place in (2, 0, 1)))))
    assert "3 labels read, 3 plants found." in page
    places = [page.index(f'class="open" href="/plants/{plants[place].pk}/"') for place in (2, 0, 1)]
    assert places == sorted(places)
    assert page.count("not known yet") == 3


def test_nothing_of_a_photo_is_kept(client: Client, plant: Plant) -> None:
    events, files = Event.objects.count(), RawFile.objects.count()
    assert post(client, upload("a.jpg", code(plant))).status_code == 200
    client.post(SEEN, {"frame": upload("camera.jpg", code(plant))})
    assert (Event.objects.count(), RawFile.objects.count()) == (events, files)


def test_those_of_a_photo_are_written_about_together_and_the_way_leads_back(client: Client, graft: Callable[..., Written]) -> None:
    plants = graft(2).plants
    page = check_page(post(client, upload("row.jpg", *map(code, plants))))
    assert page.count('name="plant"') == 2
    again = f"{PAGE}?code={code(plants[0])}&code={code(plants[1])}"
    assert f'name="next" value="{again.replace("&", "&amp;")}"' in page
    ticked = {"kind": "potted_on", "plant": [str(plant.pk) for plant in plants], "next": again}
    assert "Red Tarn 1 and Red Tarn 2." in check_page(client.post("/plants/several/", ticked))
    assert "2 labels read, 2 plants found." in check_page(client.get(again))


def test_undo_leads_back_to_the_labels_of_the_photo(client: Client, graft: Callable[..., Written]) -> None:
    plants = graft(2).plants
    address, sent = form_of(check_page(post(client, upload("row.jpg", *map(code, plants)))), "Untied")
    about = {**sent, "kind": "untied", "plant": [str(plant.pk) for plant in plants], "write": "1", "on": "2026-02-15"}
    written = check_page(client.post(address, about, follow=True))
    assert "2 labels read, 2 plants found." in written
    another = check_page(post(client, upload("row.jpg", code(plants[1]))))
    for shown, found in ((another, "1 label read, 1 plant found."), (written, "2 labels read, 2 plants found.")):
        address, sent = form_of(shown, "Undo")
        undone = check_page(client.post(address, sent, follow=True))
        assert ("Undone." in undone, found in undone) == (True, True)


def test_the_label_of_a_plant_that_was_sold_is_an_alarm_and_not_among_those_together(client: Client, plant: Plant, write: Any) -> None:
    write("left", plant, days=1, how="sale")
    page = check_page(post(client, upload("a.jpg", code(plant))))
    alert = page[page.index('role="alert"') :]
    assert "CAUTION: Red Tarn 1 was sold on 15 Feb 2026." in alert
    assert "take this label off" in alert
    assert 'name="plant"' not in page


def test_a_name_that_is_not_sure_is_said_beside_the_label(client: Client, plant: Plant, write: Any) -> None:
    write("name_inferred", plant, days=1, chance=0.6)
    caution = Plant.objects.get().name_caution
    assert caution
    assert caution.lower() in check_page(post(client, upload("a.jpg", code(plant)))).lower()


def test_two_plants_with_one_code_both_stand_there(client: Client, graft: Callable[..., Written], now: datetime) -> None:
    made = graft(2)
    correct(made.events[1], {"code_number": made.plants[0].code_number}, now=now)
    page = check_page(post(client, upload("a.jpg", code(made.plants[0]))))
    assert "2 plants carry this code, which must not be" in page
    assert all(f'href="/plants/{plant.pk}/"' in page for plant in made.plants)


def test_a_code_of_another_book_is_said_so(client: Client, plant: Plant) -> None:
    page = check_page(post(client, upload("a.jpg", code_of(5_000_000))))
    assert grouped(code_of(5_000_000)) in page
    assert "never issued by this book: is the label from another nursery?" in page


@pytest.mark.parametrize(
    "text", ['<script>alert("x")</script>', "javascript:alert(1)", "https://bad.example/", '"><img src=x onerror=alert(1)>']
)
def test_what_a_strangers_symbol_holds_is_text_and_no_link(client: Client, plant: Plant, text: str) -> None:
    page = post(client, upload("a.jpg", text)).content.decode()
    assert "1 symbol beside them: no code of a plant." in page
    assert "<script>alert" not in page
    assert "<img" not in page
    assert 'href="javascript' not in page
    assert 'href="https' not in page


def test_a_photo_without_a_label_says_what_to_try_and_offers_to_type(client: Client, plant: Plant) -> None:
    page = check_page(post(client, upload("bark.jpg")))
    assert "No label was found." in page
    assert "Go nearer" in page
    assert page.index('id="typed" name="q"') < page.index('name="photos"')


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("x.heic", b"\x00\x00\x00\x18ftypheic" + bytes(40), "x.heic: this is a HEIC or AVIF picture"),
        ("list.pdf", b"%PDF-1.7", "list.pdf: this is no picture that can be read. Give a JPEG, PNG or WebP."),
        ("a.jpg", b"\xff\xd8\xff\xe0 broken", "a.jpg: the picture is damaged or breaks off."),
        ("none.jpg", b"", "none.jpg: the picture is empty."),
        ("<b>.jpg", b"no", "&lt;b&gt;.jpg: this is no picture"),
        ("big.jpg", b"\xff\xd8\xff" + bytes(40_000_000 - 3), "big.jpg: the picture has 40.0 MB; at most 30.0 MB are read."),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_name_and_what_to_do(
    client: Client, plant: Plant, name: str, data: bytes, said: str
) -> None:
    refused = post(client, SimpleUploadedFile(name, data))
    assert refused.status_code == 422
    assert said in check_page(refused)


def test_one_bad_photo_is_told_beside_what_the_others_show(client: Client, plant: Plant) -> None:
    answer = post(client, SimpleUploadedFile("notes.txt", b"notes"), upload("a.jpg", code(plant)))
    page = check_page(answer)
    assert answer.status_code == 200
    assert "notes.txt: this is no picture" in page
    assert "1 label read, 1 plant found." in page


def test_no_photo_and_too_many_are_refused(client: Client, plant: Plant) -> None:
    nothing = client.post(PAGE, {})
    assert (nothing.status_code, "Take a photo, or choose one." in check_page(nothing)) == (422, True)
    many = post(client, *(upload(f"{number}.jpg") for number in range(9)))
    assert (many.status_code, "9 photos at once. Send at most 8" in check_page(many)) == (422, True)


def test_codes_in_the_address_that_are_none_are_passed_over(client: Client, plant: Plant) -> None:
    page = check_page(client.get(PAGE, {"code": ["<script>", "7KQ2M9", code(plant)]}))
    assert "1 label read, 1 plant found." in page
    assert "Photograph one label" in check_page(client.get(PAGE, {"code": "<script>"}))


def test_a_picture_of_this_moment_leads_to_the_plant(client: Client, plant: Plant) -> None:
    told = client.post(SEEN, {"frame": upload("camera.jpg", code(plant))}).json()
    label = {"text": code(plant), "code": grouped(code(plant)), "words": "Red Tarn 1, not known yet.", "taken": True}
    assert told["labels"] == [label | {"to": f"/plants/{plant.pk}/"}]


def test_texts_that_the_browser_read_itself_are_answered_the_same(client: Client, plant: Plant, dome: Dome, write: Any) -> None:
    told = client.post(SEEN, {"text": [code(plant), code_of(5_000_000), "<b>", "Dome 1"]}).json()
    assert [label["to"] for label in told["labels"]] == [
        f"/plants/{plant.pk}/", f"/plants/?q={code_of(5_000_000)}", "", f"/domes/{dome.pk}/"
    ]  # fmt: skip
    assert told["to"] == f"{PAGE}?code={code(plant)}&code={code_of(5_000_000)}"
    write("lost", plant, days=1)
    gone = client.post(SEEN, {"text": code(plant)}).json()["labels"][0]
    assert gone["to"] == f"/plants/?q={code(plant)}"
    assert gone["words"].startswith("CAUTION")


def test_a_camera_that_shows_no_label_gets_an_empty_answer(client: Client, plant: Plant) -> None:
    assert client.post(SEEN, {"frame": upload("camera.jpg")}).json() == {"labels": [], "to": ""}
    assert client.post(SEEN, {}).json() == {"labels": [], "to": ""}


def test_a_frame_that_is_no_picture_is_refused_in_words(client: Client, plant: Plant) -> None:
    refused = client.post(SEEN, {"frame": SimpleUploadedFile("camera.jpg", b"no")})
    assert (refused.status_code, refused.json()["words"]) == (422, "This is no picture that can be read.")


def test_the_camera_writes_by_post_with_a_token_alone(plant: Plant) -> None:
    strict = Client(enforce_csrf_checks=True)
    assert strict.get(SEEN).status_code == 405
    assert strict.post(SEEN, {"text": code(plant)}).status_code == 403


def test_codes_can_be_scanned_into_a_bench_day(client: Client, nursery: object, graft: Callable[..., Written]) -> None:
    client.post("/bench/new/", {"cultivar": "Ash Gill", "day": "2026-02-14"})
    page = check_page(client.get(f"/bench/{BenchDay.objects.get().pk}/"))
    assert 'data-camera-into="id_codes" data-camera-then="keep"' in page
    assert 'id="id_codes"' in page
