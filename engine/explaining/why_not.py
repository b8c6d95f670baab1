"""Why a cause is not believed more: what excludes it, what speaks against it, what it lacks, what would raise it.

Every condition that would raise it was tried: the changed answer was chained and weighed, or the finding weighed in its
other state, and only what does raise the cause is told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from engine.explaining.answers import Answer, finding_rules, possible_answers
from engine.explaining.subject import Subject
from engine.explaining.why import Contribution, Excluded, Lean, RuleNode, why
from engine.explaining.wording import LEAST_SAID, lack_words
from engine.inference.belief import Observation
from engine.inference.conditions import attributes
from engine.inference.facts import Facts
from engine.inference.near_misses import Lack, near_misses
from engine.inference.rules import ChainRule
from engine.opinion.determining import gate_state
from engine.opinion.models import GateCheck
from engine.rulebook.compiling import strength_levels

RAISES = 1.0
"""By how much a condition must raise a cause to be told [dB]."""
SHOWN = 6
"""How many conditions that would raise a cause are told."""
TOGETHER = 3
"""How many answers are reversed together, where a cause is ruled out in as many ways."""


@dataclass(frozen=True, slots=True)
class Expected:
    """A finding that the cause usually makes and that is not known here, with the questions that would settle it."""

    finding: str
    title: str
    often: str
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Miss:
    """A rule in favour of the cause that is one test short of firing, and what it lacked, in words."""

    record: str
    title: str
    because: str
    lacked: str


@dataclass(frozen=True, slots=True)
class Reversal:
    """A condition that, had it been otherwise, would raise the cause: an answer, or a finding in another state.

    ``answer`` is None for a finding that no question alone settles; ``after`` is the probability then. ``also`` are the
    answers that must be otherwise with it, where a cause is ruled out in more ways than one.
    """

    answer: Answer | None
    finding: str
    state: str
    title: str
    before: float
    after: float
    also: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True)
class WhyNot:
    """What keeps a cause from being believed more."""

    cause: str
    title: str
    probability: float
    words: str
    leads: bool
    base_rate: float
    exclusions: tuple[Excluded, ...]
    against: tuple[Contribution, ...]
    leanings: tuple[Lean, ...]
    unknown: tuple[Expected, ...]
    misses: tuple[Miss, ...]
    unmade: tuple[GateCheck, ...]
    reversals: tuple[Reversal, ...]


def why_not(subject: Subject, cause: str) -> WhyNot:
    """Why a cause is not believed more; KeyError for a cause that the rule base does not know."""
    account = why(subject, cause)
    gate = gate_state(subject.reasoner, cause, subject.judged.evidence.facts)
    return WhyNot(
        cause=cause,
        title=account.title,
        probability=account.probability,
        words=account.words,
        leads=cause in subject.judged.determination.leading,
        base_rate=account.base_rate,
        exclusions=account.exclusions,
        against=tuple(item for item in account.contributions if item.decibans <= -LEAST_SAID),
        leanings=tuple(lean for lean in account.leanings if lean.decibans < 0),
        unknown=expected(subject, cause),
        misses=_misses(subject, cause),
        unmade=tuple(check for check in gate if not check.made),
        reversals=_reversals(subject, cause) or _reversed_together(subject, cause, account.exclusions),
    )


def expected(subject: Subject, cause: str) -> tuple[Expected, ...]:
    """The findings that the cause makes much oftener than chance and that are not known, most telling first."""
    book, seen = subject.reasoner.rulebook, subject.judged.belief.posterior.observed
    found = []
    for finding in book.findings.values():
        level = strength_levels(finding)[0]
        if finding.id in seen or cause not in level.makes:
            continue
        often, background = book.word("frequency", level.makes[cause]), book.word("frequency", level.background)
        if often >= 2 * background:
            asked = tuple(s.attribute for s in finding.observed_by if s.attribute in book.questions)
            words = level.makes[cause].replace("-", " ")
            found.append((background / often, Expected(finding.id, finding.title, words, asked)))
    return tuple(expected for _, expected in sorted(found, key=lambda pair: (pair[0], pair[1].finding)))


def rules_for(subject: Subject, cause: str) -> tuple[ChainRule, ...]:
    """The rules that would raise a cause: they lean towards it, or find what it makes."""
    book = subject.reasoner.rulebook
    made = {f.id: f.states() for f in book.findings.values() if _makes(subject, f.id, cause)}

    def favours(rule: ChainRule) -> bool:
        return any(
            (c.kind == "leaning" and c.target == cause and book.word("leaning", c.value) > 0)
            or (c.kind == "finding" and c.target in made and c.value != made[c.target][0])
            for c in rule.conclusions
        )

    return tuple(rule for rule in finding_rules(subject.reasoner) if favours(rule))


def _makes(subject: Subject, finding: str, cause: str) -> bool:
    book = subject.reasoner.rulebook
    level = strength_levels(book.findings[finding])[0]
    return cause in level.makes and book.word("frequency", level.makes[cause]) > book.word(
        "frequency", level.background
    )


def _misses(subject: Subject, cause: str) -> tuple[Miss, ...]:
    """The written rules in the cause's favour that are one test short; what only asks for an open answer comes last.

    Left out are those that would say only what is found already, and those that wait for something *not* to be known.
    """
    book, facts = subject.reasoner.rulebook, subject.judged.evidence.facts
    written = [rule for rule in rules_for(subject, cause) if rule.id in book.rules and _adds(rule, facts)]
    short = [(name, lack) for name, lack in near_misses(written, facts) if not _wants_ignorance(lack)]

    def told(name: str, lack: Lack) -> Miss:
        record = book.rules[name]
        return Miss(name, record.title, record.because, lack_words(book, lack))

    return tuple(told(name, lack) for name, lack in sorted(short, key=lambda pair: (pair[1].found is None, pair[0])))


def _adds(rule: ChainRule, facts: Facts) -> bool:
    """Whether a rule would conclude anything that is not among the facts already."""
    held = ((c.kind == "finding" and c.target in facts and facts[c.target].value == c.value) for c in rule.conclusions)
    return not all(held)


def _wants_ignorance(lack: Lack) -> bool:
    return (lack.test.operator == "unknown") == lack.wanted and lack.test.operator in ("known", "unknown")


def _reversals(subject: Subject, cause: str) -> tuple[Reversal, ...]:
    """What would raise the cause, tried out: the most for its effort first, answers before findings."""
    answers = [
        _raised_by_answer(subject, cause, answer) for answer in possible_answers(subject, _bearing(subject, cause))
    ]
    answered = sorted(
        (found for found in answers if found is not None),
        key=lambda r: (-(r.after - r.before) / (r.answer.minutes if r.answer else 1.0), r.title),
    )
    best: dict[str, Reversal] = {}
    for found in answered:
        best.setdefault(found.title, found)
    findings = [_raised_by_finding(subject, cause, seen) for seen in subject.judged.evidence.observations]
    other = sorted((r for r in findings if r is not None), key=lambda r: (-r.after, r.finding))
    return (*tuple(best.values())[:SHOWN], *other[: SHOWN // 2])


def _reversed_together(subject: Subject, cause: str, exclusions: tuple[Excluded, ...]) -> tuple[Reversal, ...]:
    """Where several rules rule a cause out: the fewest, cheapest answers that undo them all and raise it."""
    asked = {name for excluded in exclusions for name in _asked(excluded.rule)}
    answers = possible_answers(subject, asked & subject.reasoner.rulebook.questions.keys())
    for size in range(2, min(len(exclusions), TOGETHER) + 1):
        for first, *others in combinations(answers, size):
            if len({first.attribute, *(other.attribute for other in others)}) == size:
                found = _raised_by_answer(subject, cause, first, tuple(others))
                if found is not None:
                    return (found,)
    return ()


def _asked(rule: RuleNode) -> Iterator[str]:
    """The attributes on which a rule rests, through findings down to what was asked."""
    for fact in rule.facts:
        yield fact.attribute
        for other in fact.rules:
            yield from _asked(other)


def _bearing(subject: Subject, cause: str) -> frozenset[str]:
    """The attributes on which rules that bear on the cause rest, through findings down to questions."""
    book = subject.reasoner.rulebook
    linked = {f.id for f in book.findings.values() if any(cause in g.makes for g in strength_levels(f))}
    wanted: set[str] = set()
    open_findings = set(linked)
    rules = finding_rules(subject.reasoner)
    direct = [r for r in rules if any(c.kind in ("leaning", "exclude") and c.target == cause for c in r.conclusions)]
    done: set[str] = set()
    while direct or open_findings:
        direct += [r for r in rules if r.id not in done and r.concludes() & open_findings]
        names = {name for rule in direct for name in attributes(rule.when)}
        done |= {rule.id for rule in direct}
        wanted |= names
        open_findings = {name for name in names if name in book.findings and name not in linked}
        linked |= open_findings
        direct = []
    return frozenset(name for name in wanted if name in book.questions)


def _raised_by_answer(subject: Subject, cause: str, answer: Answer, also: tuple[Answer, ...] = ()) -> Reversal | None:
    reasoner = subject.reasoner
    facts = {**subject.facts, **{given.attribute: given.fact for given in (answer, *also)}}
    evidence = reasoner.find(facts)
    if evidence.firings == subject.judged.evidence.firings:
        return None
    after = reasoner.believe(evidence).posterior.marginals[cause]
    title = reasoner.rulebook.title(answer.attribute)
    return _raised(Reversal(answer, "", "", title, subject.causes[cause].probability, after, also))


def _raised_by_finding(subject: Subject, cause: str, seen: Observation) -> Reversal | None:
    """The cause with a finding that speaks against it in each other state."""
    reasons = {reason.finding: reason.decibans for reason in subject.causes[cause].reasons}
    if reasons.get(seen.finding, 0.0) > -LEAST_SAID:
        return None
    best: Reversal | None = None
    finding = subject.reasoner.rulebook.findings[seen.finding]
    for state in finding.states():
        if state != seen.state:
            others = [o for o in subject.judged.evidence.observations if o.finding != seen.finding]
            changed = Observation(seen.finding, state, seen.sureness, seen.mask)
            after = subject.reasoner.network.weigh(subject.judged.belief.priors, [*others, changed]).marginals[cause]
            before = subject.causes[cause].probability
            found = _raised(Reversal(None, finding.id, state, finding.title, before, after))
            if found is not None and (best is None or found.after > best.after):
                best = found
    return best


def _raised(reversal: Reversal) -> Reversal | None:
    before, after = _odds(reversal.before), _odds(reversal.after)
    return reversal if after > before * 10 ** (RAISES / 10) else None


def _odds(probability: float) -> float:
    return probability / max(1 - probability, 1e-12)
