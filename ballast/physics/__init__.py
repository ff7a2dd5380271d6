"""Pure functions on numbers and arrays: whatever a textbook can check. Knows nothing of files, people or solvers."""
