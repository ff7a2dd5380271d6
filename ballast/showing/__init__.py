"""What is said and drawn: from records alone, so that a saved plan shows the same as a fresh one."""
