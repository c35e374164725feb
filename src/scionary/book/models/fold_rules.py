"""The version of the fold's rules by which the columns of this book were written."""

from __future__ import annotations

from django.db import models


class FoldRules(models.Model):
    """One row; when it is behind the program, opening the book makes the columns again from events."""

    version = models.PositiveIntegerField()
