"""The report tree and its renderings."""
