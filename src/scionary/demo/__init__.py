"""The invented nursery Tarn Bridge: a whole book to look at and try things on. Django must be set up before this is imported."""

from scionary.demo.logger_files import logger_files
from scionary.demo.make import make_demo
from scionary.demo.summary import DemoSummary

__all__ = ["DemoSummary", "logger_files", "make_demo"]
