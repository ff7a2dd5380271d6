"""Tests of the packaged rulebooks."""
