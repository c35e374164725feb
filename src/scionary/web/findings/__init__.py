"""The part Findings."""
