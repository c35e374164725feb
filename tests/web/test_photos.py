"""Taking photos of things, and showing them."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image

from nursery_clock import today_at_nursery
from scionary.book.bags import Cut, cut_scions
from scionary.book.commands import undo
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, MotherTree, Nursery, Photo, Plant, RawFile, RootstockLot
from scionary.limits import LIMITS
from web.rendered import check_page

pytestmark = pytest.mark.django_db
NOBODY = "01900000-0000-7000-8000-000000000001"


def picture(colour: str = "red", size: tuple[int, int] = (2400, 1200)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


def sent(data: bytes, name: str = "IMG_1.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "image/jpeg")


def take(client: Client, key: str, data: bytes | None = None, **more: str) -> Event:
    """Take one photo and give its record."""
    client.post("/photos/new/", {"of": key, "photo": sent(data or picture()), **more})
    return Event.objects.filter(kind="photographed", subjects__key=key).order_by("-id")[0]


def test_the_form_asks_the_camera_behind_the_phone_and_says_what_is_not_kept(client: Client, plant: Plant) -> None:
    page = check_page(client.get("/photos/new/", {"of": plant.key}))
    assert 'capture="environment"' in page
    assert "where it was taken does not go into the book" in page


def test_a_photo_of_a_plant_stands_on_its_page_and_in_its_story_and_opens_large(client: Client, plant: Plant) -> None:
    given = {"of": plant.key, "photo": sent(picture()), "note": "bud scales part", "next": f"/plants/{plant.pk}/#photos"}
    response = client.post("/photos/new/", given)
    assert (response.status_code, response.headers["Location"]) == (303, f"/plants/{plant.pk}/#photos")
    event, photo = Event.objects.get(kind="photographed"), Photo.objects.get()
    page = check_page(client.get(f"/plants/{plant.pk}/"))
    assert page.count(f"/photos/{photo.pk}/small.jpg") == 2
    assert page.count(f'href="/photos/{event.pk}/"') == 2
    assert "bud scales part" in page
    large = check_page(client.get(f"/photos/{event.pk}/"))
    assert f"/photos/{photo.pk}.jpg" in large
    assert "bud scales part" in large


def test_what_is_kept_is_small_and_served_safely(client: Client, plant: Plant) -> None:
    take(client, plant.key)
    photo = Photo.objects.get()
    for address, longest in ((f"/photos/{photo.pk}.jpg", 1600), (f"/photos/{photo.pk}/small.jpg", 320)):
        response = client.get(address)
        assert max(Image.open(BytesIO(response.content)).size) == longest
        assert response["Content-Type"] == "image/jpeg"
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Content-Security-Policy"] == "default-src 'none'; sandbox; frame-ancestors 'none'"
        assert response["Cross-Origin-Resource-Policy"] == "same-origin"
        assert response["Cache-Control"].startswith("private")
        assert "inline" in response["Content-Disposition"]


def test_every_page_allows_pictures_of_this_book_alone(client: Client, plant: Plant) -> None:
    assert "img-src 'self';" in client.get(f"/plants/{plant.pk}/")["Content-Security-Policy"]


def test_dome_tree_lot_and_bag_have_photos_on_their_pages(
    client: Client, nursery: Nursery, dome: Dome, tree: MotherTree, lot: RootstockLot
) -> None:
    now = timezone.now()
    bag = cut_scions(Cut(tree, 3, now), nursery, now=now).bag
    pages = {
        dome.key: f"/domes/{dome.pk}/",
        tree.key: f"/book/trees/{tree.pk}/",
        lot.key: f"/book/lots/{lot.pk}/",
        bag.key: f"/bench/yard/bags/{bag.pk}/",
    }
    for at, (key, page) in enumerate(pages.items()):
        assert f"/photos/new/?of={key}" in check_page(client.get(page))
        event = take(client, key, picture(size=(40 + at, 30)), note=f"number {at}")
        assert f'href="/photos/{event.pk}/"' in check_page(client.get(page))
        assert f"{page}#photos" in check_page(client.get(f"/photos/{event.pk}/"))


def test_a_round_leads_to_the_camera_and_back_to_the_same_row(client: Client, graft: Callable[..., object], dome: Dome) -> None:
    graft(dome=dome.pk)
    plant = Plant.objects.get()
    page = check_page(client.get(f"/domes/{dome.pk}/round/"))
    assert f"/photos/new/?of={plant.key}&amp;next=/domes/{dome.pk}/round/%23plant-{plant.pk}" in page
    assert f"/photos/new/?of={dome.key}" in page


def test_the_same_photo_twice_is_kept_once_and_the_same_form_is_written_once(client: Client, plant: Plant, dome: Dome) -> None:
    given = {"of": plant.key, "event_id": str(uuid7())}
    for _ in range(2):
        client.post("/photos/new/", {**given, "photo": sent(picture())})
    page = client.post("/photos/new/", {"of": plant.key, "photo": sent(picture())}, follow=True).content.decode()
    assert "kept already: nothing is written twice" in page
    take(client, dome.key)
    assert (RawFile.objects.count(), Photo.objects.count(), Event.objects.filter(kind="photographed").count()) == (1, 1, 2)


def test_undo_hides_the_photo_everywhere_and_can_be_undone(client: Client, plant: Plant) -> None:
    event, photo = take(client, plant.key), Photo.objects.get()
    client.post("/undo/", {"event": str(event.pk), "next": f"/plants/{plant.pk}/"})
    page = check_page(client.get(f"/plants/{plant.pk}/"))
    assert "small.jpg" not in page
    assert '<s class="said">Photographed</s>' in page
    for address in (f"/photos/{event.pk}/", f"/photos/{photo.pk}.jpg", f"/photos/{photo.pk}/small.jpg"):
        assert client.get(address).status_code == 404
    undo(Event.objects.get(kind="corrected").pk, now=timezone.now())
    assert client.get(f"/photos/{photo.pk}.jpg").status_code == 200


def test_its_note_is_put_right_in_the_story(client: Client, plant: Plant) -> None:
    event = take(client, plant.key, note="bud")
    address = f"/plants/{plant.pk}/correct/{event.pk}/"
    assert "bud" in check_page(client.get(address))
    day = today_at_nursery().isoformat()
    assert client.post(address, {"on": day, "note": "bud scales"}).status_code == 303
    page = check_page(client.get(f"/plants/{plant.pk}/"))
    assert page.count("bud scales") >= 2


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"%PDF-1.7 no photo", "no picture that can be read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "no picture that can be read"),
        (b"\0\0\0\x20ftypheic", "HEIC"),
        (picture()[:900], "damaged or breaks off"),
        (b"", "empty"),
    ],
)
def test_what_is_no_photo_is_refused_in_words_and_nothing_is_kept(client: Client, plant: Plant, data: bytes, words: str) -> None:
    response = client.post("/photos/new/", {"of": plant.key, "note": "kept in the form", "photo": sent(data)})
    assert response.status_code == 422
    page = check_page(response)
    assert words in page
    assert "kept in the form" in page
    assert not RawFile.objects.exists()
    assert not Event.objects.filter(kind="photographed").exists()


def test_sixty_megabytes_and_too_many_points_are_refused_before_they_are_unpacked(
    client: Client, plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    response = client.post("/photos/new/", {"of": plant.key, "photo": sent(b"\xff\xd8\xff" + bytes(60_000_000))})
    assert response.status_code == 422
    assert "60.0 MB" in check_page(response)
    monkeypatch.setitem(LIMITS, "photo_pixels", 1_000)
    response = client.post("/photos/new/", {"of": plant.key, "photo": sent(picture())})
    assert response.status_code == 422
    assert "points; at most 1,000 are read" in check_page(response)
    assert not RawFile.objects.exists()


def test_nothing_sent_a_long_note_and_a_day_ahead_are_told(client: Client, plant: Plant) -> None:
    for given, words in (
        ({}, "Take a photo, or choose one."),
        ({"photo": sent(picture()), "note": "x" * 2001}, "at most 2000"),
        ({"photo": sent(picture()), "on": "2899-01-01"}, "ahead"),
    ):
        response = client.post("/photos/new/", {"of": plant.key, **given})
        assert response.status_code == 422
        assert words in check_page(response)
    assert not RawFile.objects.exists()


@pytest.mark.parametrize("of", ["", "plant:", f"plant:{NOBODY}", f"cultivar:{NOBODY}", "blade:2026", "nobody"])
def test_a_photo_of_nothing_is_404(client: Client, nursery: Nursery, of: str) -> None:
    assert client.get("/photos/new/", {"of": of}).status_code == 404
    assert client.post("/photos/new/", {"of": of, "photo": sent(picture())}).status_code == 404
    assert not RawFile.objects.exists()
