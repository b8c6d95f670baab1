"""The rule base: its record kinds, loading, checking, and what inference makes of it."""

from engine.rulebook.book import Rulebook
from engine.rulebook.loading import load_rulebook, read_rulebook

__all__ = ["Rulebook", "load_rulebook", "read_rulebook"]
