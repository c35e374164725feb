"""The part Plants."""
