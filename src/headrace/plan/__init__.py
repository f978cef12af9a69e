"""Size, compare, order, sheets, fill plans. Empty until the first of them is built."""
