"""The physics, file by file."""
