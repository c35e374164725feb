"""The door for what a phone wrote without a signal: an answer to each record, everything once, nothing half."""

from __future__ import annotations

import json
import threading
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scionary.book.commands import save_noun, undo
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Device, Dome, DomeState, Event, KeptAside, Method, MotherTree, Nursery, Plant
from scionary.book.phones import end_phone
from scionary.book.projection import columns
from scionary.limits import LIMITS
from web.phones import Phone, event, grafted, plant_of

pytestmark = pytest.mark.django_db


def test_a_graft_comes_into_the_book_as_the_phone_wrote_it(phone: Phone, cultivar: Cultivar, dome: Dome) -> None:
    code = phone.lease()[0]
    sent = grafted(cultivar.pk, 7, code_number=code, dome=dome.pk) | {"clock_offset_s": -3600.5}
    [answer] = phone.send(sent)
    assert answer == {"id": sent["id"], "status": "recorded", "words": "", "flags": []}
    plant, written = plant_of(sent), Event.objects.get(pk=sent["id"])
    assert (plant.spoken, plant.code_number, plant.dome) == ("Red Tarn 7", code, dome)
    assert (written.device, written.clock_offset_s) == ("Mara's phone", -3600.5)
    assert written.happened_at == datetime(2026, 2, 14, 10, 30, tzinfo=UTC)
    assert Device.objects.get(name="Mara's phone").seen_at is not None


def test_cut_and_lean_come_with_a_graft_from_a_phone_and_are_held_to_what_can_be(phone: Phone, cultivar: Cultivar) -> None:
    sent = grafted(cultivar.pk, 1)
    sent["payload"] |= {"stock_mm": 7.0, "scion_mm": 3.0, "cut_mm": 18.0, "lean_mm": 0}
    assert phone.statuses(sent) == ["recorded"]
    graft = plant_of(sent).grafts.get()
    assert (graft.cut_mm, graft.lean_mm) == (18.0, 0.0)
    wrong = grafted(cultivar.pk, 2)
    wrong["payload"]["lean_mm"] = 140
    [answer] = phone.send(wrong)
    assert (answer["status"], "0 to 100" in answer["words"]) == ("refused", True)


def test_a_record_sent_twice_is_written_once_and_another_under_its_id_is_kept_aside(phone: Phone, cultivar: Cultivar) -> None:
    sent = grafted(cultivar.pk, 1)
    assert phone.statuses(sent, sent) == ["recorded", "repeated"]
    other = sent | {"payload": {**sent["payload"], "running_number": 2}}
    [answer] = phone.send(other)
    assert answer["status"] == "kept_aside"
    assert "under the same id" in answer["flags"][0]
    assert phone.statuses(sent, other) == ["repeated", "kept_aside"]
    assert (Plant.objects.get().running_number, KeptAside.objects.count()) == (1, 1)


def test_one_record_that_cannot_be_holds_no_other_up(phone: Phone, cultivar: Cultivar, plant: Plant) -> None:
    good = event("scored", plant.key, sign="firm", answer="yes")
    bad = event("scored", plant.key, sign="firm", answer="perhaps")
    answers = phone.send(bad, good, {"id": "x"}, 7, event("edited", plant.key), event("prayed", plant.key))
    assert [answer["status"] for answer in answers] == ["refused", "recorded", "refused", "refused", "refused", "refused"]
    assert answers[0]["words"] == "Answer is 'perhaps' (sign scored). Give one of yes, no, unsure."
    assert all(answer["words"] for answer in answers if answer["status"] == "refused")
    assert [answer["id"] for answer in answers[2:4]] == ["x", None]
    assert Event.objects.filter(kind="scored").count() == 1


def test_what_is_told_of_a_plant_made_in_the_same_parcel_stands(phone: Phone, cultivar: Cultivar) -> None:
    graft = grafted(cultivar.pk, 1)
    assert phone.statuses(graft, event("lost", graft["subjects"][0], at="2026-02-14T11:00:00Z")) == ["recorded", "recorded"]
    assert plant_of(graft).state == "dead"


def test_what_comes_before_its_plant_or_its_target_waits_for_it(phone: Phone, cultivar: Cultivar) -> None:
    graft = grafted(cultivar.pk, 1)
    seen = event("scored", graft["subjects"][0], at="2026-02-14T11:00:00Z", sign="firm", answer="yes")
    undo = event("corrected", graft["subjects"][0], target=seen["id"])
    assert phone.statuses(undo, seen) == ["waiting", "waiting"]
    assert phone.statuses(graft) == ["recorded"]
    assert plant_of(graft).state == "waiting"


def test_what_tells_of_a_plant_undone_meanwhile_is_kept_flagged_and_counts_when_it_is_brought_back(
    phone: Phone, client: Client, cultivar: Cultivar
) -> None:
    graft = grafted(cultivar.pk, 7)
    phone.send(graft)
    undone = undo(UUID(graft["id"]), now=datetime.now(UTC))
    seen = event("scored", graft["subjects"][0], at="2026-02-14T11:00:00Z", sign="firm", answer="yes")
    [answer] = phone.send(seen)
    told = "the graft was undone in the book: this is kept there, and counts when the graft is brought back"
    assert (answer["status"], answer["words"], answer["flags"]) == ("waiting", "", [told])
    assert phone.send(seen)[0] == {"id": seen["id"], "status": "repeated", "words": "", "flags": [told]}
    assert 'class="tag doubt">1<' in client.get("/book/").content.decode()
    page = client.get("/due/kept-aside/").content.decode()
    assert ("Red Tarn 7" in page, "Waiting for their plant" in page, str(undone.id) in page, seen["id"] in page) == (True,) * 4
    client.post("/undo/", {"event": str(undone.id), "next": "/due/kept-aside/"})
    assert plant_of(graft).state == "alive"
    assert "Nothing is kept aside." in client.get("/due/kept-aside/").content.decode()


def test_what_tells_of_a_graft_that_never_came_says_so_and_is_listed(phone: Phone, client: Client) -> None:
    seen = event("scored", f"plant:{uuid7()}", sign="firm", answer="yes")
    [answer] = phone.send(seen)
    assert answer["flags"] == ["the graft has not arrived in the book: this is kept there, and counts when it has"]
    assert "A plant whose graft has not arrived" in client.get("/due/kept-aside/").content.decode()
    client.post("/undo/", {"event": seen["id"], "next": "/due/kept-aside/"})
    assert "Nothing is kept aside." in client.get("/due/kept-aside/").content.decode()


def test_what_is_flagged_on_a_plant_is_told_to_the_phone_that_wrote_it(phone: Phone, plant: Plant) -> None:
    phone.send(event("left", plant.key, how="sale", at="2026-02-14T09:00:00Z"))
    late = event("scored", plant.key, sign="firm", answer="yes")
    assert phone.send(late)[0]["flags"] == ["something is recorded here after it had left"]
    assert phone.send(late | {"id": str(uuid7())})[0]["flags"] == []


def test_two_phones_that_made_the_same_name_are_both_written_down_and_flagged(phone: Phone, cultivar: Cultivar) -> None:
    other = Phone("Ida's phone").join()
    mine, hers = (grafted(cultivar.pk, 13, code_number=each.lease()[0]) for each in (phone, other))
    assert phone.send(mine)[0]["flags"] == []
    [answer] = other.send(hers)
    assert (answer["status"], answer["flags"]) == ("recorded", ["another plant is called Red Tarn 13 too"])
    assert plant_of(mine).code_number != plant_of(hers).code_number


def test_a_saved_file_may_be_sent_by_another_phone_and_again_by_the_first(phone: Phone, cultivar: Cultivar) -> None:
    sent = grafted(cultivar.pk, 1, code_number=phone.lease()[0])
    end_phone(Device.objects.get(name=phone.name).pk, now=datetime.now(UTC))
    other = Phone("Ida's phone").join()
    assert other.send(sent)[0] == {"id": sent["id"], "status": "recorded", "words": "", "flags": []}
    assert plant_of(sent).code_number == sent["payload"]["code_number"]
    again = Phone(phone.name).join()
    assert again.statuses(sent) == ["repeated"]
    assert (KeptAside.objects.count(), Event.objects.get(pk=sent["id"]).device) == (0, "Ida's phone")


def test_a_moment_that_lies_ahead_is_flagged(phone: Phone, plant: Plant) -> None:
    [answer] = phone.send(event("observed", plant.key, at="2999-01-01T10:00:00Z", seen="unchanged"))
    assert (answer["status"], answer["flags"]) == ("recorded", ["the date 2999-01-01 lies in the future"])


@pytest.mark.parametrize("token", ["", "wrong", "\xe9"])
def test_a_phone_that_the_book_does_not_know_is_told_so_and_nothing_is_taken(phone: Phone, plant: Plant, token: str) -> None:
    stranger = Phone(token=token)
    answer = stranger.post("/hand/events/", {"events": [event("observed", plant.key, seen="unchanged")]})
    assert (answer.status_code, answer["Content-Type"]) == (401, "application/json")
    assert "does not know this phone" in answer.json()["words"]
    assert not Event.objects.filter(kind="observed").exists()


def test_an_ended_phone_is_told_so(phone: Phone, plant: Plant) -> None:
    end_phone(Device.objects.get(name=phone.name).pk, now=datetime.now(UTC))
    assert phone.post("/hand/events/", {"events": []}).status_code == 401
    assert (phone.get().status_code, phone.post("/hand/lease/", {}).status_code) == (401, 401)


def test_the_token_alone_is_asked_for(phone: Phone, plant: Plant, settings: Any) -> None:
    """No session, and no cookie of a page: Django's check would refuse this client."""
    bare = Client(enforce_csrf_checks=True)
    body = {"events": [event("observed", plant.key, seen="unchanged")]}
    headers = {"Authorization": f"Bearer {phone.token}"}
    answer = bare.post("/hand/events/", json.dumps(body), content_type="application/json", headers=headers)
    assert answer.json()["answers"][0]["status"] == "recorded"
    assert "server_now" in answer.json()


@pytest.mark.parametrize("body", ["", "{", "[]", "null", '{"events": {}}', "[" * 100_000, b"\xff\xfe", '{"events": 1e999}'])
def test_a_parcel_that_cannot_be_read_is_400_in_words(phone: Phone, body: str | bytes) -> None:
    answer = phone.post("/hand/events/", body)
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/json")
    assert answer.json()["words"]


def test_too_many_or_too_long_records_are_413_in_words(phone: Phone, plant: Plant) -> None:
    many = [event("observed", plant.key, seen="unchanged")] * (LIMITS["hand_events"] + 1)
    answers = [phone.post("/hand/events/", {"events": many}), phone.post("/hand/events/", "x" * (LIMITS["hand_bytes"] + 1))]
    assert [answer.status_code for answer in answers] == [413, 413]
    assert "at most 200" in answers[0].json()["words"]
    assert "2,000,000 bytes" in answers[1].json()["words"]
    assert not Event.objects.filter(kind="observed").exists()


@pytest.mark.parametrize("address", ["/hand/events/", "/hand/lease/", "/hand/device/"])
def test_a_door_asked_the_wrong_way_says_so_in_words(phone: Phone, address: str) -> None:
    answer = phone.get(address)
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    assert "asked by POST" in answer.json()["words"]
    assert phone.post("/hand/data/", {}).status_code == 405
    assert phone.get("/hand/nowhere/").json()["words"] == "There is nothing at /hand/nowhere/."


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
_KINDS = ("grafted", "scored", "observed", "lost", "watered", "treated", "blade_cleaned", "scions_cut", "corrected", "bench_set", "moved")
_FIELDS = ("id", "kind", "happened_at", "subjects", "payload", "clock_offset_s")
_NAMES = ("code_number", "cultivar", "bench", "day", "sticks", "care", "note", "target", "replace", "knew", "running_number", "seen", "how")


@settings(max_examples=150, suppress_health_check=list(HealthCheck), deadline=None)
@given(
    kind=st.sampled_from(_KINDS),
    broken=st.dictionaries(st.sampled_from(_FIELDS), _JSON, max_size=2),
    payload=st.dictionaries(st.sampled_from(_NAMES), _JSON, max_size=4),
    about=st.lists(st.sampled_from(["plant", "tree", "bag", "dome", "bench"]), max_size=2),
)
def test_nothing_that_is_sent_breaks_the_door(
    phone: Phone, tree: MotherTree, kind: str, broken: dict[str, Any], payload: dict[str, Any], about: list[str]
) -> None:
    subjects = [tree.key if noun == "tree" else f"{noun}:{uuid7()}" for noun in about]
    sent = event(kind, *subjects) | {"payload": payload} | broken
    [answer] = phone.send(sent)
    assert answer["status"] in ("recorded", "waiting", "refused")
    assert bool(answer["words"]) == (answer["status"] == "refused")


_PLANTS = ("red", "white", "leafless", "undone", "missing")
_SAID: tuple[tuple[str, dict[str, Any]], ...] = (
    ("observed", {"seen": "unchanged"}),
    ("observed", {"seen": "dreaming"}),
    ("scored", {"sign": "firm", "answer": "yes"}),
    ("scored", {"sign": "stalk_drops", "answer": "yes"}),
    ("lost", {"sign": "grey"}),
    ("watered", {}),
    ("vented", {"open_pct": 400}),
    ("relabelled", {"code_number": 1}),
    ("grafted", {"running_number": 3}),
    ("edited", {}),
)


@settings(max_examples=25, suppress_health_check=list(HealthCheck), deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(_SAID), st.sampled_from(["one", "other"]), st.sampled_from([*_PLANTS, "dome"]), st.integers(0, 5)),
        max_size=12,
    )
)
def test_what_is_taken_together_is_answered_and_kept_as_if_taken_one_by_one(
    phone: Phone, cultivar: Cultivar, dome: Dome, said: list[tuple[tuple[str, dict[str, Any]], str, str, int]]
) -> None:
    ids = [uuid7() for _ in range(12)]

    def sent(together: bool) -> tuple[list[Any], Any]:
        """Answers and states of a book with the five plants and the dome; the book is as before afterwards."""
        with transaction.atomic():
            answers: list[Any] = []
            for sender in (phone, other):  # the other phone walks the same plants afterwards
                mine = [record for by, record in records if by == ("one" if sender is phone else "other")]
                parcels = [mine] if together else [[record] for record in mine]
                answers += [answer for parcel in parcels if parcel for answer in sender.send(*parcel)]
            state = columns(), sorted(Event.objects.values_list("id", "kind", "who", "device")), KeptAside.objects.count()
            transaction.set_rollback(True)
        return answers, state

    with transaction.atomic():
        other = Phone("Ines's phone").join()
        bare = save_noun(Method, {"name": "a way without leaves", "leafy": False}, now=datetime.now(UTC))
        subjects = {"dome": dome.key}
        for number, name in enumerate(_PLANTS, start=1):
            graft = grafted(cultivar.pk, number, dome=dome.pk, **({"method": bare.pk} if name == "leafless" else {}))
            subjects[name] = graft["subjects"][0]
            if name != "missing":
                assert phone.statuses(graft) == ["recorded"]
            if name == "undone":
                undo(UUID(graft["id"]), now=datetime.now(UTC))
        records = [(by, event(kind, subjects[about], ident=ids[ident], **payload)) for (kind, payload), by, about, ident in said]
        assert sent(together=True) == sent(together=False)
        transaction.set_rollback(True)


@pytest.mark.parametrize("together", [True, False])
def test_undoing_one_of_all_the_rest_leaves_the_look_at_the_dome(
    phone: Phone, client: Client, cultivar: Cultivar, dome: Dome, together: bool
) -> None:
    """All the rest unchanged is one tap on the phone, of one moment; each of its records is recorded as one that came alone."""
    grafts = [grafted(cultivar.pk, number, dome=dome.pk) for number in (1, 2, 3)]
    phone.send(*grafts)
    at = timezone.now()
    rest = [*(event("observed", graft["subjects"][0], at=at, seen="unchanged") for graft in grafts), event("observed", dome.key, at=at)]
    for parcel in [rest] if together else [[each] for each in rest]:
        phone.send(*parcel)
    recorded = Event.objects.filter(kind="observed").values_list("recorded_at", flat=True)
    assert len(set(recorded)) == 4
    client.post(f"/domes/{dome.pk}/round/{grafts[0]['subjects'][0][6:]}/undo/", {"event": rest[0]["id"]})
    assert DomeState.objects.get(pk=dome.pk).seen_at == at
    assert Event.objects.filter(kind="corrected").count() == 1


def test_a_round_comes_in_by_few_writes(phone: Phone, cultivar: Cultivar, django_assert_max_num_queries: Any) -> None:
    grafts = [grafted(cultivar.pk, number) for number in range(1, 31)]
    phone.send(*grafts)
    seen = [event("observed", graft["subjects"][0], seen="unchanged") for graft in grafts]
    with django_assert_max_num_queries(100):  # one by one would be some eighteen for each plant
        assert phone.statuses(*seen) == ["recorded"] * 30


def test_a_parcel_that_takes_too_long_is_answered_as_far_as_it_came(phone: Phone, plant: Plant, monkeypatch: pytest.MonkeyPatch) -> None:
    from scionary.web.hand import door

    monkeypatch.setattr(door, "_ENOUGH_S", 0.0)
    records = [event("observed", plant.key, seen="unchanged") for _ in range(3)]
    assert len(phone.send(*records)) == 1
    assert phone.statuses(*records) == ["repeated"]


def test_a_busy_book_says_when_to_come_back_and_keeps_what_it_took(phone: Phone, plant: Plant, monkeypatch: pytest.MonkeyPatch) -> None:
    from scionary.book.patience import busy
    from scionary.web.hand import door

    taken, take = list[int](), door.take_record

    def take_one(*given: Any, **more: Any) -> Any:
        if taken:
            raise busy()
        taken.append(1)
        return take(*given, **more)

    monkeypatch.setattr(door, "take_record", take_one)
    records = [event("observed", plant.key, seen="unchanged") for _ in range(3)]
    assert phone.statuses(*records) == ["recorded"]
    answer = phone.post("/hand/events/", {"events": records})
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert "nothing was written" in answer.json()["words"]


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_two_phones_and_the_pages_at_once_lose_nothing_and_write_nothing_twice(nursery: Nursery, cultivar: Cultivar, dome: Dome) -> None:
    """Each phone sends its parcel twice at the same moment, as an answer lost on the way would have it, while the pages graft too."""
    phones = [Phone("one").join(), Phone("two").join()]
    bench = uuid7()
    setting = event("bench_set", f"bench:{bench}", bench=bench, day="2026-02-14", cultivar=cultivar.pk)
    parcels = []
    for each in phones:
        codes = each.lease()
        grafts = [grafted(cultivar.pk, i + 1, code_number=codes[i], dome=dome.pk, bench=bench) for i in range(10)]
        lost = event("lost", grafts[0]["subjects"][0], at="2026-02-14T12:00:00Z")
        parcels.append([setting, *grafts, lost, event("watered", dome.key)])
    told: Counter[str] = Counter()
    start = threading.Barrier(5)

    def run(work: Callable[[], None]) -> None:
        try:
            start.wait()
            work()
        finally:
            connection.close()

    def pages() -> None:
        client = Client()
        for _ in range(5):
            assert client.post(f"/domes/{dome.pk}/water/", {}).status_code == 303

    def sends(each: Phone, parcel: list[Any]) -> Callable[[], None]:
        return lambda: told.update(Phone(each.name, each.token).statuses(*parcel))

    work = [pages, *(sends(each, parcel) for each, parcel in zip(phones, parcels, strict=True) for _ in range(2))]
    threads = [threading.Thread(target=run, args=(piece,)) for piece in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert told == {"recorded": 25, "repeated": 27}
    plants = list(Plant.objects.all())
    assert (len(plants), len({plant.code_number for plant in plants})) == (20, 20)
    assert Event.objects.filter(kind="watered").count() == 7
    assert BenchDay.objects.count() == 1
