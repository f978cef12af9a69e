"""Paths, bends, clearances, postures, in metres; knows no physics."""
