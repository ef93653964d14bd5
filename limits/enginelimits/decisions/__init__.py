"""From quantities and rules to a verdict."""
