"""Whether what was concluded is so: causes and how surely, timber, next steps."""

from __future__ import annotations

from engine.challenging.auditing import NOTHING
from engine.opinion.advising import TIMBER_BY_GRAVITY
from engine.opinion.determining import gate_state
from engine.opinion.words import list_words
from engine.practising.models import StatedCause, Verdict
from engine.practising.subject import Subject

MOST_REASONS, MOST_TESTS = 3, 2
"""How many of the checks that a work waits for are named, and of the tests that part what is open."""


def stated_causes(subject: Subject) -> tuple[StatedCause, ...]:
    """Every cause that was named and every true one that was not, which counts as having been given 0."""
    named = subject.named
    missed = [cause for cause in subject.key.truth if cause not in named]
    return tuple(
        StatedCause(
            cause=cause,
            title=subject.title(cause),
            stated=named.get(cause, 0.0),
            carried=carried(subject, cause),
            came_true=subject.so(cause),
            named=cause in named,
        )
        for cause in (*named, *(missed if not _dry_and_said(subject) else ()))
    )


def _dry_and_said(subject: Subject) -> bool:
    """Whether nothing wets the place, and that was said: what is left of old damp then need not be named."""
    return subject.nothing_wets and NOTHING in subject.named


def carried(subject: Subject, cause: str) -> float:
    """The probability that the evidence found carries for a cause."""
    if cause != NOTHING:
        return subject.found.beliefs[cause]
    return subject.opinion_found.no_active_damp.probability


def verdict(subject: Subject, stated: tuple[StatedCause, ...]) -> tuple[Verdict, tuple[str, ...], tuple[str, ...]]:
    """How the causes named stand to those at work, which were missed, and which were added.

    A cause counts as named from the probability at which a belief is no longer *unlikely*.
    """
    level = subject.rulebook.parameter("unlikely")
    held = [item for item in stated if item.named and item.stated > level]
    added = tuple(item.cause for item in held if not item.came_true)
    right = [item for item in held if item.came_true]
    missed = tuple(item.cause for item in stated if item.came_true and item not in held)
    if not subject.key.truth and not right:
        missed = (NOTHING,)
    if not right:
        return "wrong", missed, added
    if missed:
        return ("partly" if added else "missed-some"), missed, added
    return ("added-some" if added else "right"), missed, added


def settled(subject: Subject) -> bool:
    """Whether what was found determines something, and nothing that is not so."""
    found = subject.opinion_found
    causes = subject.rulebook.causes
    true = {causes[cause].mechanism for cause in subject.key.truth}
    if found.level == "mechanism":
        return found.determined and set(found.leading_mechanisms) <= true
    return found.determined and set(found.leading) <= set(subject.key.truth)


def timber(subject: Subject) -> tuple[str, str, str]:
    """What was said of timber, what the case calls for, and how the one stands to the other."""
    said = next(iter(subject.listed("timber")), "")
    should = subject.key.timber or subject.opinion_whole.timber.state
    if not said:
        return said, should, "not-said"
    gravity = TIMBER_BY_GRAVITY.index(said) - TIMBER_BY_GRAVITY.index(should)
    return said, should, "right" if gravity == 0 else "too-light" if gravity > 0 else "too-grave"


def steps_missed(subject: Subject) -> tuple[str, ...]:
    """What the case needs next and was not named; where it is open, one test that parts what is open is enough."""
    said = set(subject.listed("steps"))
    wanted = [step for step in subject.key.steps or _advised(subject) if step not in said]
    parting = parting_steps(subject) if not subject.key.determined else ()
    if parting and not said & set(parting):
        wanted += [parting[0]]
    return tuple(dict.fromkeys(wanted))


def _advised(subject: Subject) -> tuple[str, ...]:
    """Where the key names no step: the first that the opinion advises against a cause that is at work, if one may."""
    records, truth = subject.rulebook.steps, set(subject.key.truth)
    steps = (one.id for one in subject.opinion_whole.steps if not one.held_back and set(records[one.id].treats) & truth)
    return tuple(steps)[:1] if subject.key.determined else ()


def parting_steps(subject: Subject) -> tuple[str, ...]:
    """The tests that would part what the evidence leaves open: the key's, else those that the opinion puts first."""
    tests = tuple(step.id for step in subject.opinion_whole.steps if step.kind == "test")
    return subject.key.parting_steps or tests[:MOST_TESTS]


def steps_too_early(subject: Subject) -> tuple[tuple[str, str], ...]:
    """Works that cannot be undone and were named though checks for them are not made: (step, what they wait for)."""
    found = []
    for name in subject.listed("steps"):
        step = subject.rulebook.steps[name]
        if not step.irreversible:
            continue
        treated = [cause for cause in step.treats if cause in subject.named] or list(step.treats)
        checks = [c for cause in treated for c in gate_state(subject.reasoner, cause, subject.found.evidence.facts)]
        unmade = list(dict.fromkeys(check.title for check in checks if not check.made))
        if unmade:
            more = f" and {len(unmade) - MOST_REASONS} more" if len(unmade) > MOST_REASONS else ""
            found.append((name, f"{list_words(unmade[:MOST_REASONS])}{more}"))
        elif not set(step.treats) & set(subject.key.truth):
            found.append((name, "what it treats is not at work here"))
    return tuple(found)
