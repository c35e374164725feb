"""What early signs are worth, when buds push, what the season will come to."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.answers.early_signs import one_reading
from scionary.answers.sign_findings import sign_findings


@require_GET
def signs(request: HttpRequest) -> HttpResponse:
    """Everything that was learned of early signs, the season's total first."""
    with one_reading():
        return render(request, "findings/signs.html", {"answer": sign_findings()})
