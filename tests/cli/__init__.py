"""Tests of the cli."""
