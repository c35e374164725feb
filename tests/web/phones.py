"""What the tests of the phone's doors share: a phone that sends, and records as it writes them."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.test import Client

from scionary.book.ids import uuid7
from scionary.book.models import Plant

AT = "2026-02-14T10:30:00.000Z"


@dataclass
class Phone:
    """A phone with a token, talking to the book as its page does."""

    name: str = "Mara's phone"
    token: str = ""
    client: Client = field(default_factory=lambda: Client(enforce_csrf_checks=True))

    def join(self) -> Phone:
        told = self.post("/hand/device/", {"name": self.name}).json()
        self.token = told["token"]
        return self

    def headers(self) -> dict[str, str]:
        cookie = self.client.cookies.get("csrftoken")
        shown = {"Authorization": f"Bearer {self.token}"} if self.token else {}
        return shown | ({"X-CSRFToken": cookie.value} if cookie else {})

    def get(self, address: str = "/hand/data/", **headers: str) -> Any:
        return self.client.get(address, headers={**self.headers(), **headers})

    def post(self, address: str, body: Any) -> Any:
        if "csrftoken" not in self.client.cookies:
            self.get()
        text = body if isinstance(body, str | bytes) else json.dumps(body)
        return self.client.post(address, text, content_type="application/json", headers=self.headers())

    def data(self) -> Any:
        return self.get().json()

    def lease(self) -> list[int]:
        return [code["number"] for code in self.post("/hand/lease/", {}).json()["codes"]]

    def send(self, *events: Any) -> list[Any]:
        answer = self.post("/hand/events/", {"events": list(events)})
        assert answer.status_code == 200, answer.content
        answers: list[Any] = answer.json()["answers"]
        return answers

    def statuses(self, *events: Any) -> list[str]:
        return [answer["status"] for answer in self.send(*events)]


def event(kind: str, *subjects: str, at: str | datetime = AT, ident: UUID | str | None = None, **payload: Any) -> dict[str, Any]:
    """A record as the page makes it."""
    plain = {name: str(value) if isinstance(value, UUID) else value for name, value in payload.items()}
    moment = at if isinstance(at, str) else at.isoformat()
    told = {"kind": kind, "happened_at": moment, "subjects": list(subjects), "payload": plain, "clock_offset_s": 0}
    return {"id": str(ident or uuid7()), **told}


def grafted(cultivar: UUID, number: int, *, plant: UUID | None = None, **payload: Any) -> dict[str, Any]:
    return event("grafted", f"plant:{plant or uuid7()}", cultivar=cultivar, running_number=number, **payload)


def plant_of(sent: dict[str, Any]) -> Plant:
    """The plant that a record told of."""
    return Plant.objects.get(pk=sent["subjects"][0][6:])
