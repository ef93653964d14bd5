"""Classes of parts, materials and fuels that fill what a build file leaves out, and their loader."""
