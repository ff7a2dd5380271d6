"""The planner against every possible way of fitting the plates of small cars."""
