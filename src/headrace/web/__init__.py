"""Local pages over the same calls as the command line. Empty until the pages are built."""
