"""Headrace: plan, solve and check a custom liquid-cooled computer from one readable folder."""
