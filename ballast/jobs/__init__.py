"""One file per command: each job takes records and gives a record, and is what both doors and scripts call."""
