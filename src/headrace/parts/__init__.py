"""What can be bought: kinds, cards, the loader and the catalogue."""
