"""The part Due."""
