"""A stated conclusion held against the evidence: one's own, or that of another's report."""

from engine.challenging.auditing import challenge
from engine.challenging.models import Challenge

__all__ = ["Challenge", "challenge"]
