"""A case as a workbook: a form to fill in by hand, and its sheets read back as the same document a file would be."""
