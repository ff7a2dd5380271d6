"""How long plans take, beside other ways to settle the same programme. Not part of the test run.

`python -m tests.benchmarks --help` says how it is asked.
"""
