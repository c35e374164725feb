"""Signing in and out, asked for as soon as the server listens beyond its own machine."""
