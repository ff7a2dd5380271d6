"""Choose ballast plates and places from four corner loads."""
