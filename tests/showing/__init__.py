"""Tests of what is said and drawn."""
