"""Findings about a build: one file a check in `rules`."""
