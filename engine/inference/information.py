"""What a finding that is not observed yet would tell about the sets of causes.

The mutual information of sets and finding: entropy of the finding's predicted states less its expected entropy
under each set (C. E. Shannon, "A mathematical theory of communication", 1948; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.noisy import entropy

if TYPE_CHECKING:
    from engine.inference.posterior import Posterior

MOST_TOGETHER = 4
"""How many findings may be asked together."""


def state_information(posterior: Posterior, finding: str, masks: Mapping[str, float] | None) -> float:
    """Mutual information of the sets and one unobserved finding [bits]."""
    kept, table = posterior.unobserved_table(finding, masks=masks)
    predicted, expected = posterior.predicted_and_entropy(finding, kept, table)
    return max(float(entropy(predicted)) - expected, 0.0)


def information_of(posterior: Posterior, findings: Sequence[str], masks: Mapping[str, float] | None) -> float:
    """Mutual information of the sets and up to four different unobserved findings [bits]; ValueError for others."""
    if not 1 <= len(findings) <= MOST_TOGETHER or len(set(findings)) < len(findings):
        raise ValueError(f"one to {MOST_TOGETHER} different findings may be asked together, not {list(findings)!r}")
    asked = [posterior.unobserved_table(finding, findings, masks) for finding in findings]
    network = posterior.network
    block, weights, over = posterior.sets_with_idle({cause for kept, _ in asked for cause in kept})
    columns = [
        network.columns(network.place(finding), kept, over, block)
        for finding, (kept, _) in zip(findings, asked, strict=True)
    ]
    likelihoods = [table.probabilities[:, column] for (_, table), column in zip(asked, columns, strict=True)]
    predicted = np.array([float(np.prod(rows, axis=0) @ weights) for rows in product(*likelihoods)])
    expected = sum(float(table.entropies[column] @ weights) for (_, table), column in zip(asked, columns, strict=True))
    return max(float(entropy(predicted)) - expected, 0.0)
