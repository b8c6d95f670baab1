"""The weight of evidence on a cause: what speaks for it and what against."""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.opinion.models import AreaOpinion, CauseOpinion, Reason
from engine.opinion.words import list_words
from engine.reporting.blocks import Table
from engine.reporting.figures.models import EvidenceWeights, Figure, Weight
from engine.reporting.figures.wording import capital, counted, plain, signed

LEAST = 0.5
"""A weight under this [dB] moves belief by next to nothing and is left out."""


def evidence_weights(opinion: AreaOpinion) -> tuple[EvidenceWeights, ...]:
    """The weights on every leading cause, or on the most believed one where none leads; only where any weighs."""
    shown = [cause for cause in opinion.causes if cause.id in opinion.leading] or list(opinion.causes[:1])
    return tuple(found for cause in shown if (found := _weights(cause)).weights)


def evidence_figure(found: EvidenceWeights, area: str) -> Figure:
    """The weights on a cause as a figure."""
    return Figure(
        id=f"evidence-weights-{area}-{found.cause}",
        title=f"What speaks for and against: {found.title}",
        alt=" ".join(_told(found)),
        table=Table(
            f"Weights of evidence on {found.title} [dB], each with that one finding taken away; they do not add up.",
            ("Finding", "For or against", "Weight [dB]"),
            tuple(
                (capital(w.words), "for" if w.decibans > 0 else "against", _decibans(w.decibans)) for w in found.weights
            ),
            (2,),
        ),
        data=found,
    )


def _weights(cause: CauseOpinion) -> EvidenceWeights:
    reasons = [reason for reason in cause.reasons if abs(reason.decibans) >= LEAST]
    reasons.sort(key=lambda reason: (-reason.decibans, reason.finding))
    return EvidenceWeights(
        cause=cause.id,
        title=cause.title,
        words=f"{cause.words} ({cause.band})",
        weights=tuple(Weight(_words(reason), reason.decibans) for reason in reasons),
        together_decibans=cause.evidence_decibans,
    )


def _words(reason: Reason) -> str:
    said = {"present": reason.title, "absent": f"not found: {reason.title}", "none": f"not found: {reason.title}"}
    words = said.get(reason.state, f"{reason.title} ({plain(reason.state)})")
    return words if reason.sureness == "certain" else f"{words} ({plain(reason.sureness)})"


def _decibans(value: float) -> str:
    return signed(value) if math.isfinite(value) else "beyond measure"


def _told(found: EvidenceWeights) -> Iterator[str]:
    yield f"Weights of evidence on {found.title}, which is {found.words}, in decibans."
    for words, mine in (
        ("for", [w for w in found.weights if w.decibans > 0]),
        ("against", [w for w in reversed(found.weights) if w.decibans < 0]),
    ):
        if mine:
            named = list_words(f"{w.words} {_decibans(w.decibans)}" for w in mine)
            yield f"{counted(len(mine), 'finding speaks', 'findings speak')} {words} it, the strongest first: {named}."
        else:
            yield f"None {words} it."
    yield f"All findings together: {_decibans(found.together_decibans)}; single weights do not add up to that."
