"""What a finding that is not observed yet would tell about the sets of causes.

The mutual information of sets and finding: entropy of the finding's predicted states less its expected entropy
under each set (C. E. Shannon, "A mathematical theory of communication", 1948; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.noisy import Floats, ReportTable, entropy
from engine.inference.sets import starts_of

if TYPE_CHECKING:
    from engine.inference.posterior import Posterior

MOST_TOGETHER = 4
"""How many findings may be asked together."""
CELLS_AT_ONCE = 1 << 17
"""How many numbers one step works on at most."""


def information(posterior: Posterior, findings: Iterable[str], masks: Mapping[str, float] | None) -> dict[str, float]:
    """Mutual information of the sets and each of some unobserved findings, asked alone [bits]."""
    network, idle = posterior.network, set(posterior.idle)
    echoed = {member for seen in posterior.observed if (group := network.groups.get(seen)) for member in group.members}
    found, plain, altered = dict.fromkeys(findings, 0.0), list[int](), dict[int, list[tuple[int, ReportTable]]]()
    for finding in found:
        place = network.place(finding)
        if not idle.isdisjoint(network.models[place].parents):
            table, shares = posterior.unobserved_table(finding, masks=masks), posterior.column_probabilities(finding)
            found[finding] = max(float(entropy(table.probabilities @ shares) - table.entropies @ shares), 0.0)
        elif finding in echoed or finding in posterior.observed or (masks and finding in masks):
            table = posterior.unobserved_table(finding, masks=masks)
            altered.setdefault(len(table.probabilities), []).append((place, table))
        else:
            plain.append(place)
    for sheet in network.sheets:
        some = [place for place in plain if place in sheet.starts]
        starts = [sheet.starts[place] for place in some]
        found |= _over_sets(posterior, some, starts, sheet.telling)
    for pairs in altered.values():
        starts = starts_of(table.entropies.size for _, table in pairs).tolist()
        telling = np.concatenate([table.telling for _, table in pairs], axis=1)
        found |= _over_sets(posterior, [place for place, _ in pairs], starts, telling)
    return found


def _over_sets(posterior: Posterior, places: Sequence[int], starts: Sequence[int], telling: Floats) -> dict[str, float]:
    """Mutual information of the sets and each of some findings whose tables start at places of their own [bits]."""
    network, (block, weights) = posterior.network, posterior.sets_for_questions
    step, found = max(CELLS_AT_ONCE // len(weights), 1), dict[str, float]()
    for low in range(0, len(places), step):
        some = list(places[low : low + step])
        columns = block.columns(network.strides[some][:, posterior.linked], np.array(starts[low : low + step]))
        *predicted, expected = ((row.take(columns) * weights).sum(axis=1) for row in telling)
        report = entropy(np.stack([*predicted, 1 - sum(predicted)]))
        bits = np.maximum(report - expected, 0.0).tolist()
        found |= dict(zip((network.findings[place] for place in some), bits, strict=True))
    return found


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
