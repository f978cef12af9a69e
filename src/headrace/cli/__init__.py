"""The commands: load, call one function, render."""
