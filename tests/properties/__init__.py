"""Identities of the physics that hold for every car, tried on random ones."""
