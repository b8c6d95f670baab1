"""dampwright: reasoning about dampness in houses."""
