"""Inquiry: which question is worth asking next, when to stop, and what to look at on the next visit."""
