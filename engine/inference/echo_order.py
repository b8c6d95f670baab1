"""Whether the members of an echo group stand in an order that keeps further evidence from weakening a conclusion.

Within a group, one more observed member that supports a cause takes its place in the order and the later ones move
down to smaller exponents. The support of the whole group for the cause then never falls, if what the new member
brings makes up for what the later ones lose: "most direct first" means that the earlier member is at least as
strong for the causes they share. `echo_faults` searches each group for the cases in which this fails.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.echoes import EchoModel, exponent
from engine.inference.noisy import Floats, temper

if TYPE_CHECKING:
    from engine.inference.belief import Network

TOLERANCE = 1e-9
"""Below this a difference is rounding."""


@dataclass(frozen=True, slots=True)
class EchoFault:
    """In ``group``, observing ``finding`` besides ``later`` members would weaken ``cause`` by so many decibans.

    ``beside`` is the other cause that is certain to be at work, or None for no other.
    """

    group: str
    finding: str
    later: tuple[str, ...]
    cause: str
    beside: str | None
    decibans: float


def echo_faults(network: Network, *, beside_others: bool = False) -> list[EchoFault]:
    """The worst case of each member that stands too early in its group for some cause, in the network's order.

    Examined: every cause that the member supports, every supporting state of the member, any choice of the other
    members in any states; with no other cause at work and, on request, beside each single other cause that bears on
    the group (a cause that explains an early member alone makes a fault there that no order mends).
    A fault is a loss of support (log-likelihood ratio of the cause, the other causes being fixed).
    """
    return [fault for echo in network.echoes for fault in _group_faults(network, echo, beside_others)]


def _group_faults(network: Network, echo: EchoModel, beside_others: bool) -> Iterable[EchoFault]:
    members = [network.place(member) for member in echo.members]
    parents = sorted({cause for member in members for cause in network.models[member].parents})
    worst: dict[tuple[int, int], EchoFault] = {}
    for cause in parents:
        for beside in (None, *(other for other in parents if beside_others and other != cause)):
            ratios = [_ratios(network, echo, member, cause, beside) for member in members]
            for i, own in enumerate(ratios):
                supporting = [row for row in own if row[1] > TOLERANCE]
                for position in range(1, i + 2) if supporting else ():
                    loss, later = _loss(ratios[i + 1 :], position)
                    gain = min(float(row[position]) for row in supporting)
                    decibans = 10 * (loss - gain) / log(10)
                    if decibans > max(TOLERANCE, worst[i, cause].decibans if (i, cause) in worst else 0.0):
                        names = tuple(echo.members[i + 1 + k] for k in later)
                        other = None if beside is None else network.causes[beside]
                        fault = EchoFault(echo.id, echo.members[i], names, network.causes[cause], other, decibans)
                        worst[i, cause] = fault
    return [worst[key] for key in sorted(worst)]


def _ratios(network: Network, echo: EchoModel, member: int, cause: int, beside: int | None) -> list[Floats]:
    """Per state of a member, its log-likelihood ratio for the cause by position in the group (entry 0 is not used)."""
    model = network.models[member]
    if cause not in model.parents:
        return [np.zeros(len(echo.members) + 2)]
    others = () if beside is None else (beside,)
    pair = network.table(member).probabilities[:, [model.column((cause, *others)), model.column(others)]]
    shares = [exponent(position, echo.correlation) for position in range(1, len(echo.members) + 2)]
    rows = [np.log(temper(pair, share)) for share in shares]
    return [np.array([0.0, *(row[state, 0] - row[state, 1] for row in rows)]) for state in range(len(model.states))]


def _loss(later: list[list[Floats]], position: int) -> tuple[float, tuple[int, ...]]:
    """The most that some later members lose by moving down one place each from ``position`` on, and which they are."""
    best: dict[int, tuple[float, tuple[int, ...]]] = {position: (0.0, ())}
    for k, rows in enumerate(later):
        for place, (lost, chosen) in sorted(best.items(), reverse=True):
            for row in rows:
                together = lost + float(row[place] - row[place + 1])
                if together > best.get(place + 1, (-np.inf,))[0]:
                    best[place + 1] = (together, (*chosen, k))
    return max(best.values())
