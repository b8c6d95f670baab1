"""Findings drawn from the rule base's own network, given the causes that are at work."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from engine.inference.belief import Network


def draw_findings(
    random: np.random.Generator, network: Network, causes: Collection[str], masks: Mapping[str, float]
) -> dict[str, str]:
    """A state for every finding of the network, given the causes at work and what circumstances hide.

    Findings that echo each other are drawn alike: each member of a group goes by the group's own lot with the chance
    of the root of their stated correlation, so that two of them do so together with the correlation itself; else by a
    lot of its own. Alone, every finding is as frequent as the network has it.
    """
    at_work = {network.cause_place(cause) for cause in causes}
    shared: dict[str, tuple[float, float]] = {}
    for echo in network.echoes:
        lot = float(random.random())
        shared |= {member: (lot, float(np.sqrt(echo.correlation))) for member in echo.members}
    found = {}
    for model in network.models:
        table = network.table(network.place(model.id), mask=masks.get(model.id, 0.0))
        chances = table.probabilities[:, model.column(at_work)]
        lot, alike = float(random.random()), float(random.random())
        if model.id in shared and alike < shared[model.id][1]:
            lot = shared[model.id][0]
        at_least = np.cumsum(chances[::-1])  # the strongest state first
        found[model.id] = model.states[::-1][min(int(np.searchsorted(at_least, lot, side="right")), len(chances) - 1)]
    return found
