"""Find tube runs. Empty until the router is built."""
