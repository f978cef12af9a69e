"""How fast Headrace is beside general libraries, and whether they agree. Run by `make bench`."""
