"""The book itself: settings, nouns, files in and out, long work."""
