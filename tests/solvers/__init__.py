"""The same programme given to another reader and another solver; and the one door to ours."""
