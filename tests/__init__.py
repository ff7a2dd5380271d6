"""Checks of ballast against things outside it."""
