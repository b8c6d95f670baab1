"""The checks of a rule base as a whole, one file per family of faults."""
