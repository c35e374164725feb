"""Taking a photo of something, looking at it large, and the pictures themselves."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.photos import photo_called, picture_data, shown_thing, take_photo
from scionary.answers.things import Thing
from scionary.book.texts import later
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.another_day import AnotherDay
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at, way_back
from scionary.web.typing_in import attempt, said_id, who

_ALONE = "default-src 'none'; sandbox; frame-ancestors 'none'"  # a picture needs nothing beside itself
_FOR_GOOD = "private, max-age=31536000, immutable"  # what a picture's address shows never changes


class PhotoForm(AnotherDay):
    """A photo, a note, and the day when it was taken, where that is not today."""

    photo = forms.FileField(
        label=later("The photo"),
        error_messages={"required": later("Take a photo, or choose one."), "empty": later("The picture is empty.")},
    )
    note = forms.CharField(max_length=2000, required=False, label=later("What does it show?"), widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        self.fields["on"].label = say("Taken on")


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Take a photo of what the address names."""
    thing = shown_thing(request.POST.get("of") or request.GET.get("of", ""), nursery_of(request))
    back = way_back(request, thing.address)
    form = PhotoForm(request.POST or None, request.FILES or None, today=today_at(request))
    if request.method == "POST" and form.is_valid() and _keep(request, thing, form):
        return go_to(back)
    context = {"thing": thing, "form": form, "back": back, "most_mb": LIMITS["photo_bytes"] // 1_000_000}
    return form_page(request, "photos/new.html", context, form)


def _keep(request: HttpRequest, thing: Thing, form: PhotoForm) -> bool:
    """Whether the photo is kept; where it is not, the form says why."""
    sent, now = form.cleaned_data["photo"], now_at(request)
    moment, note, name = form.moment(now, nursery_of(request)), form.cleaned_data["note"], (sent.name or "photo")[:120]
    given: dict[str, Any] = {"note": note, "happened_at": moment, "now": now, "who": who(request), "event_id": said_id(request)}
    done = attempt(form, lambda: take_photo(sent.read, sent.size or 0, name, thing.key, **given))
    if done is None:
        return False
    if done.noted:
        tell(request, say("This very photo of {thing} is kept already: its note is added.", thing=thing.words))
    elif done.known:
        tell(request, say("This very photo of {thing} is kept already: nothing is written twice.", thing=thing.words))
    else:
        remember_undo(request, say("photo of {thing}", thing=thing.words), [done.event])
        tell(request, say("The photo of {thing} is kept.", thing=thing.words), done.flags)
    return True


@require_GET
def look(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One photo, large, with its date and note."""
    photo, key = photo_called(ident)
    thing = shown_thing(key, nursery_of(request))
    return render(request, "photos/look.html", {"photo": photo, "thing": thing})


@require_GET
def picture(request: HttpRequest, ident: UUID, *, small: bool) -> HttpResponse:
    """The picture itself: nothing that it holds is ever run, and no other site may show it."""
    tag = f'"{ident.hex}{"-small" if small else ""}"'
    headers = {"Cache-Control": _FOR_GOOD, "ETag": tag, "Content-Security-Policy": _ALONE, "Cross-Origin-Resource-Policy": "same-origin"}
    headers |= {"Content-Disposition": 'inline; filename="photo.jpg"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(picture_data(ident, small=small), content_type="image/jpeg", headers=headers)
