"""What was found, as words and as data: one neutral tree, and JSON for other programs."""
