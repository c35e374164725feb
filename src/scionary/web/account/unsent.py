"""What was sent when nobody was signed in any more: it goes along through signing in, and is sent then by one button."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import urlsplit, urlunsplit

from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from scionary.web.pages import came_from

_LONGEST = 100_000  # bytes; a photo is more


def signed_out(request: HttpRequest) -> HttpResponse:
    """The way to sign in: of a form from here with what it held, of anything else only with the word that it was not written."""
    page = urlunsplit(("", "", *urlsplit(came_from(request))[2:]))
    if request.method != "POST" or not page:
        return redirect_to_login(request.get_full_path())
    if int(request.META.get("CONTENT_LENGTH") or 0) > _LONGEST or request.FILES:
        return redirect_to_login(page, "/account/login/?lost=1")
    sent = [(name, value) for name, values in request.POST.lists() for value in values if name != "csrfmiddlewaretoken"]
    context = {"form": AuthenticationForm(request), "next": page, "unsent": json.dumps(sent), "unsent_to": request.get_full_path()}
    return render(request, "registration/login.html", context, status=401)


class SignIn(LoginView):
    """Signing in; what was sent before stands on the page that comes then, with a button that sends it."""

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Signed in."""
        onward = super().form_valid(form)
        sent, to = _read(self.request.POST.get("unsent", "")), self.request.POST.get("unsent_to", "")
        if not sent or not url_has_allowed_host_and_scheme(to, None):
            return onward
        return render(self.request, "registration/unsent.html", {"sent": sent, "to": to, "page": self.get_success_url()})

    def get_context_data(self, **given: Any) -> dict[str, Any]:
        """What goes along stays on the page where a password was wrong."""
        along = {name: self.request.POST.get(name, "") for name in ("unsent", "unsent_to")}
        return super().get_context_data(**given) | along | {"lost": self.request.method == "GET" and "lost" in self.request.GET}


def _read(text: str) -> list[tuple[str, str]]:
    """The names and values that went along; none where the text is no such list."""
    try:
        return [(str(name), str(value)) for name, value in json.loads(text)] if text else []
    except (TypeError, ValueError):
        return []
