"""Whether the members of an echo group stand in an order that keeps further evidence from weakening a conclusion.

Within a group, one more observed member that supports a cause takes its place in the order and the later ones move
down to smaller exponents. The support of the whole group for the cause then never falls, if what the new member
brings makes up for what the later ones lose: "most direct first" means that the earlier member is at least as
strong for the causes they share. `echo_faults` searches each group for the cases in which this fails.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.echoes import EchoModel, exponent
from engine.inference.noisy import Floats, temper

if TYPE_CHECKING:
    from engine.inference.belief import Network

TOLERANCE = 1e-9


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


def echo_faults(network: Network) -> list[EchoFault]:
    """The worst case of each member that stands too early in its group for some cause, in the network's order.

    Examined: every cause that the member supports, beside no other cause and beside each single other one that
    bears on the group; every state of every member that supports the cause; any choice of later members.
    A fault is a loss of support (log-likelihood ratio of the cause, the other causes being fixed).
    """
    return [fault for echo in network.echoes for fault in _group_faults(network, echo)]


def _group_faults(network: Network, echo: EchoModel) -> Iterable[EchoFault]:
    members = [network.place(member) for member in echo.members]
    parents = sorted({cause for member in members for cause in network.models[member].parents})
    worst: dict[tuple[int, int], EchoFault] = {}
    for cause in parents:
        for beside in (None, *(other for other in parents if other != cause)):
            support = [_support(network, echo, member, cause, beside) for member in members]
            for i, own in enumerate(support):
                for position in range(1, i + 2):
                    loss, later = _loss(support[i + 1 :], position)
                    gain = min((row[position] for row in own), default=np.inf)
                    if gain - loss < -TOLERANCE:
                        names = tuple(echo.members[i + 1 + k] for k in later)
                        other = None if beside is None else network.causes[beside]
                        decibans = float(10 * (loss - gain) / np.log(10))
                        fault = EchoFault(echo.id, echo.members[i], names, network.causes[cause], other, decibans)
                        known = worst.get((i, cause))
                        if known is None or known.decibans < decibans:
                            worst[i, cause] = fault
    return [worst[key] for key in sorted(worst)]


def _support(network: Network, echo: EchoModel, member: int, cause: int, beside: int | None) -> list[Floats]:
    """Per state that supports the cause: its log-likelihood ratio by position in the group (from 1; entry 0 unused)."""
    model = network.models[member]
    kept = tuple(parent for parent in model.parents if parent in (cause, beside))
    if cause not in kept:
        return []
    table = model.probabilities(kept)
    on = (1 << len(kept)) - 1
    off = on & ~(1 << kept.index(cause))
    pair = table[:, [off, on]]
    shares = [exponent(position, echo.correlation) for position in range(1, len(echo.members) + 1)]
    tempered = np.stack([np.log(temper(pair, share)) for share in shares])
    ratios = tempered[:, :, 1] - tempered[:, :, 0]
    return [
        np.concatenate([[0.0], ratios[:, state]]) for state in range(len(model.states)) if ratios[0, state] > TOLERANCE
    ]


def _loss(later: list[list[Floats]], position: int) -> tuple[float, tuple[int, ...]]:
    """The most that later members can lose by moving down one place from ``position`` on, and which lose it."""
    best: dict[int, tuple[float, tuple[int, ...]]] = {position: (0.0, ())}
    for k, rows in enumerate(later):
        for place, (lost, chosen) in sorted(best.items(), reverse=True):
            for row in rows:
                together = lost + float(row[place] - row[place + 1])
                if together > best.get(place + 1, (-np.inf,))[0]:
                    best[place + 1] = (together, (*chosen, k))
    return max(best.values())
