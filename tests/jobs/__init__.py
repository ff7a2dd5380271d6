"""Tests of the jobs."""
