"""The part Plan."""
