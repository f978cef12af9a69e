"""Balance flow and heat (air and noise come into this room too)."""
