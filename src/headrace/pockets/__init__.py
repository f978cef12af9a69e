"""Trapped air, clearing flow, drain. Empty until air is computed."""
