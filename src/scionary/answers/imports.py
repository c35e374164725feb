"""Files into the book, each first looked at and then taken in, all or nothing."""

from scionary.answers.logger_import import LoggerPreview, LoggerReading, LoggerResult, accept_logger, preview_logger
from scionary.answers.offers import offer, offered
from scionary.answers.past_import import ImportResult, UndoResult, accept_past, undo_import
from scionary.answers.past_meaning import Choices
from scionary.answers.past_preview import ImportPreview, PastReading, preview_past
from scionary.answers.wish_import import WishPreview, WishReading, WishResult, accept_wishes, preview_wishes

__all__ = [
    "Choices",
    "ImportPreview",
    "ImportResult",
    "LoggerPreview",
    "LoggerReading",
    "LoggerResult",
    "PastReading",
    "UndoResult",
    "WishPreview",
    "WishReading",
    "WishResult",
    "accept_logger",
    "accept_past",
    "accept_wishes",
    "offer",
    "offered",
    "preview_logger",
    "preview_past",
    "preview_wishes",
    "undo_import",
]
