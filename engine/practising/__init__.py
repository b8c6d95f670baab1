"""Practice on cases whose truth is known: what is asked for, what it cost, what was concluded, and the review of it."""
