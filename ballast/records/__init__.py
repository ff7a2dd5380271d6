"""Frozen records: what the user's files say and what an answer holds. No arrays, no arithmetic beyond checking."""
