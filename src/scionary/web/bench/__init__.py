"""The part Bench."""
