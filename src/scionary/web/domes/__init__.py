"""The part Domes."""
