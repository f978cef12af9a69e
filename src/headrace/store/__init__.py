"""Append-only records and their migrations. Empty until records are kept."""
