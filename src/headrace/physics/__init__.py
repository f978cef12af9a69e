"""Formulas on plain numbers; knows no fluid by name, no part and no file."""
