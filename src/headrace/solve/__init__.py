"""Balance flow, heat and air together, for one state or for many variants; sound, bands, the course in time."""
