"""Labels read from photographs, which are not kept, and from what a camera shows at this moment."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from scionary.answers.chances import Ring, rings
from scionary.answers.find import FoundPlant
from scionary.answers.photo_labels import TRY, PhotoAnswer, PhotoFile, SeenLabel, check_count, is_code, labels_of, read_labels
from scionary.book import queries
from scionary.errors import Refused, ScionaryError
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.middleware import status_of
from scionary.web.pages import form_page
from scionary.web.plants.several import FOR_ALL
from scionary.web.typing_in import attempt

_LONGEST_TEXT = 200


class PhotosForm(forms.Form):
    """The photos that were sent; each is looked at by itself, so that one that cannot be read does not hide the others."""

    def __init__(self, files: list[UploadedFile] | None = None) -> None:
        super().__init__({} if files is not None else None)
        self.photos = [PhotoFile((file.name or "photo")[:120], file.size or 0, file.read) for file in files or []]

    def clean(self) -> dict[str, Any]:
        if not self.photos:
            raise forms.ValidationError(say("Take a photo, or choose one."))
        return super().clean() or {}


@require_http_methods(["GET", "POST"])
def photo(request: HttpRequest) -> HttpResponse:
    """The labels in the photos that were sent; by GET those of the codes in the address, or how to begin."""
    if request.method == "GET":
        codes = [code for code in request.GET.getlist("code")[: LIMITS["page_rows"]] if is_code(code)]
        return _page(request, PhotosForm(), PhotoAnswer((), labels_of(codes)) if codes else None)
    form = PhotosForm(request.FILES.getlist("photos"))
    answer = attempt(form, lambda: read_labels(form.photos)) if form.is_valid() else None
    for problem in answer.problems if answer is not None and not answer.photos else ():
        form.add_error(None, f"{problem}")
    return _page(request, form, answer if answer is not None and answer.photos else None)


@require_POST
def seen(request: HttpRequest) -> JsonResponse:
    """What the book says to what a camera shows: the texts that it read itself, or a picture of this moment. Nothing is kept."""
    try:
        frames = [PhotoFile("camera", frame.size or 0, frame.read) for frame in request.FILES.getlist("frame")]
        check_count(len(frames))
        answer = read_labels(frames, closer=False) if frames else PhotoAnswer((), labels_of(_texts(request)))
        for problem in answer.problems:
            raise problem
    except ScionaryError as refusal:
        said = refusal.message if isinstance(refusal, Refused) else str(refusal)
        return JsonResponse({"labels": [], "words": f"{said[:1].upper()}{said[1:]}"}, status=status_of(refusal))
    return JsonResponse({"labels": [_told(label) for label in answer.labels], "to": _all_of(answer)}, headers={"Cache-Control": "no-store"})


def _page(request: HttpRequest, form: PhotosForm, answer: PhotoAnswer | None) -> HttpResponse:
    context = {
        "form": form,
        "answer": answer,
        "rows": _rows(answer) if answer else [],
        "standing": [plant for plant in answer.plants if not plant.steps] if answer else [],
        "again": _all_of(answer) if answer else "",
        "try": TRY,
        "most": LIMITS["photo_count"],
        "most_mb": LIMITS["photo_bytes"] // 1_000_000,
        "together_mb": LIMITS["file_bytes"] // 1_000_000,
        "for_all": FOR_ALL.items(),
    }
    return form_page(request, "plants/photo.html", context, form)


def _rows(answer: PhotoAnswer) -> list[tuple[SeenLabel, list[tuple[FoundPlant, Ring]]]]:
    """Each label with its plants and their rings."""
    drawn = rings(queries.plants().filter(pk__in=[plant.id for plant in answer.plants]))
    return [(label, [(plant, drawn[plant.id]) for plant in label.plants]) for label in answer.labels]


def _texts(request: HttpRequest) -> list[str]:
    return [text[:_LONGEST_TEXT] for text in request.POST.getlist("text")[: LIMITS["page_rows"]]]


def _told(label: SeenLabel) -> dict[str, Any]:
    return {"text": label.text, "code": label.code, "words": label.words, "taken": bool(label.plants), "to": _leads_to(label)}


def _leads_to(label: SeenLabel) -> str:
    """Where a label leads: to its plant, to what must be read first, or to the dome whose card it is."""
    if label.plant is not None and not label.plant.warning:
        return reverse("plants:plant", args=[label.plant.id])
    if label.answer is not None and label.answer.bag is not None:
        return reverse("bench:bag", args=[label.answer.bag.id])
    if label.answer is not None:
        return f"{reverse('plants:plants')}?{urlencode({'q': label.answer.text})}"
    return reverse("domes:dome", args=[label.dome]) if label.dome else ""


def _all_of(answer: PhotoAnswer) -> str:
    """The address at which these labels stand again, without the photo."""
    codes = [("code", label.answer.text) for label in answer.labels if label.answer is not None]
    return f"{reverse('plants:photo')}?{urlencode(codes)}" if codes else ""
