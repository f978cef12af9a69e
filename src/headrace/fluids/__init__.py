"""Coolant and air: what they are like at one temperature."""
