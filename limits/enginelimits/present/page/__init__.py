"""The report as a page: one file to read, to print and to sign."""
