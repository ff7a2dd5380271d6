"""The independent check: that it agrees with the physics, catches what is wrong, and passes what is right."""
