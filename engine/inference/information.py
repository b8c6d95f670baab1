"""What a finding that is not observed yet would tell about the sets of causes.

The mutual information of sets and finding: entropy of the finding's predicted states less its expected entropy
under each set (C. E. Shannon, "A mathematical theory of communication", 1948; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from engine.inference.noisy import ReportTable, entropy

if TYPE_CHECKING:
    from engine.inference.posterior import Posterior

MOST_TOGETHER = 4
"""How many findings may be asked together."""
CELLS_AT_ONCE = 1 << 17
"""How many numbers one step works on at most."""


def information(posterior: Posterior, findings: Iterable[str], masks: Mapping[str, float] | None) -> dict[str, float]:
    """Mutual information of the sets and each of some unobserved findings, asked alone [bits]."""
    network, idle = posterior.network, set(posterior.idle)
    asked = {finding: posterior.unobserved_table(finding, masks=masks) for finding in findings}
    found, over_sets = dict.fromkeys(asked, 0.0), list[tuple[str, ReportTable]]()
    for finding, table in asked.items():
        if idle.isdisjoint(network.models[network.place(finding)].parents):
            over_sets.append((finding, table))
        else:
            shares = posterior.column_probabilities(finding)
            found[finding] = _bits(entropy(table.probabilities @ shares), table.entropies @ shares)
    block, weights = posterior.sets_for_questions
    strides = network.strides[:, posterior.linked]
    step = max(CELLS_AT_ONCE // len(weights), 1)
    for states in {len(table.probabilities) for _, table in over_sets}:
        alike = [(finding, table) for finding, table in over_sets if len(table.probabilities) == states]
        for low in range(0, len(alike), step):
            some = alike[low : low + step]
            columns = block.columns(strides[[network.place(finding) for finding, _ in some]])
            columns += np.cumsum([0, *(table.entropies.size for _, table in some)])[:-1, None]
            flat = np.concatenate([table.with_entropies for _, table in some], axis=1)
            *predicted, expected = ((row.take(columns) * weights).sum(axis=1) for row in flat)
            for (finding, _), report, rest in zip(some, entropy(np.stack(predicted)), expected, strict=True):
                found[finding] = _bits(report, rest)
    return found


def _bits(report: Any, expected: Any) -> float:
    """Entropy of the predicted report less the expected one; rounding never makes it negative."""
    return max(float(report) - float(expected), 0.0)


def information_of(posterior: Posterior, findings: Sequence[str], masks: Mapping[str, float] | None) -> float:
    """Mutual information of the sets and up to four different unobserved findings [bits]; ValueError for others."""
    if not 1 <= len(findings) <= MOST_TOGETHER or len(set(findings)) < len(findings):
        raise ValueError(f"one to {MOST_TOGETHER} different findings may be asked together, not {list(findings)!r}")
    tables = [posterior.unobserved_table(finding, findings, masks) for finding in findings]
    network = posterior.network
    places = [network.place(finding) for finding in findings]
    block, weights, over = posterior.sets_with_idle({c for place in places for c in network.models[place].parents})
    columns = [network.columns(place, over, block) for place in places]
    likelihoods = [table.probabilities[:, column] for table, column in zip(tables, columns, strict=True)]
    predicted = np.array([float(np.prod(rows, axis=0) @ weights) for rows in product(*likelihoods)])
    expected = sum(float(table.entropies[column] @ weights) for table, column in zip(tables, columns, strict=True))
    return max(float(entropy(predicted)) - expected, 0.0)
