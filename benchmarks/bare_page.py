"""The named alternative to measure against: one page of Django behind the same server, with nothing else in it."""

from __future__ import annotations

import logging
import sys

import django
from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.http import HttpRequest, HttpResponse
from django.urls import path
from waitress import serve


def hello(request: HttpRequest) -> HttpResponse:
    """The page."""
    return HttpResponse("hello")


urlpatterns = [path("", hello)]

if __name__ == "__main__":
    settings.configure(ALLOWED_HOSTS=["127.0.0.1"], ROOT_URLCONF=__name__, SECRET_KEY="only for a timing")
    django.setup()
    logging.getLogger("waitress").setLevel(logging.ERROR)
    serve(get_wsgi_application(), host="127.0.0.1", port=int(sys.argv[1]), _quiet=True)
