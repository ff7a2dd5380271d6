"""The independent check of an answer. Uses records and physics, never the planner's arrays."""
