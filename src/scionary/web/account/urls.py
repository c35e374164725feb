"""Addresses of signing in and out."""

from __future__ import annotations

from django.contrib.auth.views import LogoutView
from django.urls import path

from scionary.web.account.unsent import SignIn

urlpatterns = [
    path("login/", SignIn.as_view(), name="login"),
    path("logout/", LogoutView.as_view(next_page="login"), name="logout"),
]
