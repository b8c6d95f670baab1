"""The key of a made-up case: its truth, its level, the trap that it sets, and what must be said about it."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from engine.case.keys import AreaKey, Key
from engine.inference.facts import Facts
from engine.opinion.models import AreaOpinion
from engine.opinion.reasoner import Reasoner
from engine.rulebook import Rulebook

LEVELS = (1, 2, 3, 4)
"""Levels of difficulty, easiest first."""

QUICK = ("ask", "look")
"""The effort of what a beginner goes by: asking and looking."""


def separation(beliefs: Mapping[str, float], truth: Collection[str]) -> float:
    """How far the least believed true cause stands above the most believed other one, −1 to 1.

    Where nothing is at work, how far the most believed cause stays below certainty.
    """
    true = min((beliefs[cause] for cause in truth), default=1.0)
    return true - max((belief for cause, belief in beliefs.items() if cause not in truth), default=0.0)


def level_of(beliefs: Mapping[str, float], truth: Collection[str], rulebook: Rulebook) -> int:
    """The level of a case whose causes are so believed once all its evidence is known."""
    apart = separation(beliefs, truth)
    return next((n for n in LEVELS[:-1] if apart >= rulebook.parameter(f"level-{n}-separation")), LEVELS[-1])


def key_of(reasoner: Reasoner, opinion: AreaOpinion, facts: Facts, truth: frozenset[str]) -> Key:
    """The key of a case of one area, on which all ``facts`` that are known lead to this opinion."""
    beliefs = {cause.id: cause.probability for cause in opinion.causes}
    level = level_of(beliefs, truth, reasoner.rulebook)
    rightly = opinion.determined and set(opinion.leading) <= truth
    trap, broken_by = _trap(reasoner, opinion, facts, truth)
    area = AreaKey(
        area=opinion.id,
        truth=tuple(sorted(truth)),
        grade="synthetic",
        determined=rightly,
        level="cause" if rightly and opinion.level == "cause" else "mechanism" if rightly else None,
        timber=opinion.timber.state,  # type: ignore[arg-type]
        cautions=tuple(caution.id for caution in opinion.cautions),
        junior=trap,
        breaks_junior=broken_by,
        catches_junior=_catching(reasoner.rulebook, broken_by),
        source="synthetic: drawn from the rule base's own network; no real house",
    )
    named = " and ".join(reasoner.rulebook.title(cause) for cause in sorted(truth)) or "nothing that wets or misleads"
    lesson = f"Synthetic case of level {level}. At work here: {named}."
    return Key(areas=(area,), set="practice", lesson=lesson)


def _catching(rulebook: Rulebook, findings: Collection[str]) -> tuple[str, ...]:
    """The tests that would bring any of the findings out."""
    tests = (step for step in rulebook.steps.values() if step.kind == "test")
    return tuple(step.id for step in tests if not set(findings).isdisjoint(step.settles))


def _trap(
    reasoner: Reasoner, opinion: AreaOpinion, facts: Facts, truth: frozenset[str]
) -> tuple[str | None, tuple[str, ...]]:
    """The wrong cause that looking and asking suggests most, and the findings of the full evidence that break it."""
    rulebook = reasoner.rulebook
    questions = rulebook.questions
    quick = {name: fact for name, fact in facts.items() if name in questions and questions[name].effort in QUICK}
    beliefs = reasoner.believe(reasoner.suppose(quick)).posterior.marginals
    wrong = {cause: belief for cause, belief in beliefs.items() if cause not in truth}
    trap = min(wrong, key=lambda cause: (-wrong[cause], cause))
    if wrong[trap] < rulebook.parameter("trap-strikes-from"):
        return None, ()
    least = rulebook.parameter("trap-broken-by")
    reasons = next(cause.reasons for cause in opinion.causes if cause.id == trap)
    broken_by = tuple(reason.finding for reason in reasons if reason.decibans <= -least)
    return (trap, broken_by) if broken_by else (None, ())
