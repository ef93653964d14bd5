"""A build as its owner describes it: models, loading, filling in, edits."""
