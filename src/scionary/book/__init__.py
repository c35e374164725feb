"""The record: nouns, events, the fold that makes present states from them, commands and queries."""
