"""Scionary: plans, records, computes and learns for people who graft trees."""

__version__ = "0.1.0"
