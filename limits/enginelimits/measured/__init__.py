"""Measured pulls, the fit of the model to them, and the shop's record."""
