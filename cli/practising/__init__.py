"""A practice session in a terminal or over a pipe: asking for evidence, forming views, concluding, and the record."""
