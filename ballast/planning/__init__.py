"""From a question to a plan: cases, the integer programme, the solver, and the order of wishes."""
