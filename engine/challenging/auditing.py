"""The audit of a stated conclusion: what it has for it and against it, and what its author could be asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from engine.case.models import Area
from engine.challenging.asking import questions, weakest_point
from engine.challenging.checking import needed_checks, proposal, works
from engine.challenging.grounding import grounded
from engine.challenging.models import Challenge
from engine.challenging.parting import parting_test, tests_known_to_part
from engine.challenging.rivals import breaking, explanation, misfits, rivals
from engine.challenging.standing import beliefs, judge, likely_causes, summary
from engine.challenging.voices import voices
from engine.challenging.weighed import weighed
from engine.errors import InvalidInput, Problem, nearest
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import AreaFacts
from engine.rulebook import Rulebook

NOTHING = "no-active-damp"
"""What is held where somebody says that nothing wets the place now."""


def challenge(
    reasoner: Reasoner, area: Area, known: AreaFacts, held: tuple[str, ...], grounds: tuple[str, ...] = ()
) -> Challenge:
    """The audit of the conclusion that exactly the ``held`` causes are at work in an area.

    No cause held means that nothing wets the place now. ``grounds`` are ids of the questions, measures and findings on
    which a report rests. InvalidInput for an unknown cause or ground.
    """
    check_names(reasoner.rulebook, held, grounds)
    found = weighed(reasoner, area, known)
    states = {seen.finding: seen.state for seen in found.evidence.observations}
    verdict = judge(found, held)
    named = found.named(held) if held else "a place that nothing wets now"
    supports, against = voices(found, held)
    own = explanation(found.belief, held, found.wetting())
    near = rivals(reasoner.rulebook, found.belief, held, found.wetting(), states)
    breaks = breaking(found, held, states) if verdict in ("differs", "agrees-in-part") else ()
    checks = needed_checks(found, {cause: found.cause(cause).gate for cause in held})
    missing = tuple(check for check in checks if not check.made)
    stated_grounds = grounded(found, held, grounds, breaks) if grounds else None
    proposed = proposal(found)
    return Challenge(
        area=area.id,
        title=area.title,
        held=beliefs(found, held),
        nothing_held=not held,
        verdict=verdict,
        determined=found.opinion.determined,
        level=found.opinion.level,
        leading=found.opinion.leading,
        summary=summary(found, held, verdict),
        added=tuple(item for item in beliefs(found, likely_causes(found)) if item.cause not in held),
        explanation=own,
        supports=supports,
        against=against,
        unexplained=misfits(found, held),
        breaks=breaks,
        rivals=near,
        checks=checks,
        works=works(found, held),
        proposed=proposed,
        test=parting_test(found, own, near[0].causes) if near else None,
        known_tests=tests_known_to_part(found, own, near[0].causes) if near else (),
        weakest_point=weakest_point(found, named, verdict, supports, breaks, missing, near),
        questions=questions(named, verdict, breaks, missing, near, proposed, stated_grounds),
        grounds=stated_grounds,
    )


def stated(rulebook: Rulebook, names: Sequence[str], grounds: Sequence[str] = ()) -> tuple[str, ...]:
    """The causes that are named, in the rule base's order and each once; none for `no-active-damp` alone.

    InvalidInput for an unknown cause or ground, or `no-active-damp` beside a cause.
    """
    given = () if list(names) == [NOTHING] else names
    check_names(rulebook, given, grounds)
    return tuple(cause for cause in rulebook.causes if cause in given)


def check_names(rulebook: Rulebook, held: Iterable[str], grounds: Iterable[str]) -> None:
    """InvalidInput where what is held is no cause, or a ground no question, measure or finding of the rule base."""
    causes = f"causes of the rule base, or {NOTHING} alone"
    evidence = "ids of questions, measures or findings"
    places: tuple[tuple[str, Iterable[str], Mapping[str, object], str], ...] = (
        ("--held", held, rulebook.causes, causes),
        ("--grounds", grounds, {**rulebook.attributes, **rulebook.findings}, evidence),
    )
    faults = [
        Problem(option, None, "", repr(name), allowed, nearest=nearest(name, known))
        for option, names, known, allowed in places
        for name in names
        if name not in known
    ]
    if faults:
        raise InvalidInput(faults)
