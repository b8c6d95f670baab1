"""Findings that largely repeat each other count less the more of them are seen.

With a stated correlation ρ in a group of k observed members, the group is worth the effective number
k / (1 + (k − 1)ρ) of independent ones (L. Kish, *Survey Sampling*, 1965; from memory). The i-th observed
member, most direct first, counts with what it adds to that number.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class EchoModel:
    """Findings that echo each other, most direct first; ``correlation`` in [0, 1], 1 = the same thing again."""

    id: str
    members: tuple[str, ...]
    correlation: float


def effective_number(count: int, correlation: float) -> float:
    """Of how many independent findings so many correlated ones (≥ 0) are worth; between 0 and ``count``."""
    return count / (1 + (count - 1) * correlation) if count else 0.0


def exponent(position: int, correlation: float) -> float:
    """What the member at a position (1 = most direct observed) adds to the effective number; in [0, 1].

    i / (1 + (i − 1)ρ) − (i − 1) / (1 + (i − 2)ρ) = (1 − ρ) / ((1 + (i − 1)ρ)(1 + (i − 2)ρ)) for i > 1; first 1.
    """
    if position == 1:
        return 1.0
    return (1 - correlation) / ((1 + (position - 1) * correlation) * (1 + (position - 2) * correlation))


def exponents(echoes: Iterable[EchoModel], observed: Container[str]) -> dict[str, float]:
    """The exponent of every observed member of an echo group; a finding outside all groups counts with 1."""
    return {
        member: exponent(position, echo.correlation)
        for echo in echoes
        for position, member in enumerate((member for member in echo.members if member in observed), start=1)
    }


def exponent_among(echo: EchoModel, finding: str, observed: Container[str]) -> float:
    """The exponent of one member of a group, were it observed beside the others that are."""
    before = echo.members[: echo.members.index(finding)]
    return exponent(1 + sum(member in observed for member in before), echo.correlation)


def check_echoes(echoes: Iterable[EchoModel], findings: Container[str]) -> dict[str, EchoModel]:
    """The group of each member; ValueError for unknown or repeated members and correlations outside [0, 1]."""
    groups: dict[str, EchoModel] = {}
    for echo in echoes:
        if not 0 <= echo.correlation <= 1:
            raise ValueError(f"echo group {echo.id!r}: a correlation in 0..1 is needed, not {echo.correlation!r}")
        for member in echo.members:
            if member not in findings:
                raise ValueError(f"echo group {echo.id!r}: {member!r} is not a finding of this network")
            if member in groups:
                raise ValueError(
                    f"echo group {echo.id!r}: {member!r} is already a member of {groups[member].id!r};"
                    " a finding belongs to one group, once"
                )
            groups[member] = echo
    return groups
