"""The checks, one file each; `headrace.checks.every` lists them."""
