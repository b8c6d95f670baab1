"""The opinion in a terminal: cautions, then the answer and how sure, then why, then what to do next."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from cli.views.phrases import about, evidence_phrase, list_words, state_phrase
from engine.opinion.models import AreaOpinion, CauseOpinion, Opinion, StepAdvice

WORTH_NAMING = 0.10
"""A cause less probable than this is named only in the full view."""
REASONS_FOR, REASONS_AGAINST, STEPS = 5, 3, 6


def show_opinion(opinion: Opinion, console: Console, *, full: bool = False) -> None:
    """Print an opinion; ``full`` adds every cause, every reason and every rule that fired."""
    console.print(Text(opinion.case.title, style="bold"))
    if opinion.invented:
        console.print(Text("An invented case."))
    for area in opinion.areas:
        console.print()
        _show_area(area, console, full=full)
    console.print()
    console.print(
        Text(
            "How strongly each sign speaks is trade judgement on a stated scale, not measurement. The inspector "
            "concludes and signs; local codes and licensed practice have the last word."
        )
    )
    console.print(
        Text(f"rule base {opinion.rulebook.digest[:12]}, case {opinion.case.digest[:12]}, version {opinion.version}")
    )


def _show_area(area: AreaOpinion, console: Console, *, full: bool) -> None:
    console.print(Text(area.title.upper(), style="bold"))
    console.print(Text(f"reckoned as: {area.reference_class}"))
    _section(console, "Cautions", [f"{caution.title}. {caution.text}" for caution in area.cautions])
    _show_answer(area, console)
    _show_causes(area, console, full=full)
    _show_doubts(area, console)
    _show_timber(area, console)
    _show_steps(area, console, full=full)
    if full:
        _show_trace(area, console)


def _section(console: Console, heading: str, lines: list[str]) -> None:
    if not lines:
        return
    console.print()
    console.print(Text(heading, style="bold underline"))
    for line in lines:
        _bullet(console, line)


def _bullet(console: Console, line: str, indent: int = 2) -> None:
    console.print(Padding(Text(f"- {line}"), (0, 0, 0, indent), expand=False))


def _show_answer(area: AreaOpinion, console: Console) -> None:
    titles = {cause.id: cause.title for cause in area.causes}
    console.print()
    if area.determined:
        named = (
            [titles[cause] for cause in area.leading]
            if area.level == "cause"
            else [
                f"{name.replace('-', ' ')} (the mechanism; the route is not determined)"
                for name in area.leading_mechanisms
            ]
        )
        console.print(Text(f"Determined: {list_words(named)}", style="bold"))
    else:
        console.print(Text("Not determined", style="bold"))
        open_causes = [f"{titles[c.id]} ({about(c.probability)})" for c in area.causes if c.probability >= WORTH_NAMING]
        if open_causes:
            _bullet(console, f"kept open: {list_words(open_causes)}")
        for reason in area.why_not_determined:
            _bullet(console, f"because {reason}")
        test = next((step for step in area.steps if step.kind == "test"), None)
        if test:
            _bullet(console, f"the test that would best part them: {test.title}")
    for reason in area.unknown_because:
        _bullet(console, f"possibly something that this rule base does not know: {reason}")
    dry = area.no_active_damp
    if dry.reportable:
        _bullet(console, f"that nothing is wetting this place now is {dry.words}")
    if area.carried_by:
        _bullet(console, f"this rests on one thing: {list_words(list(area.carried_by))}")


def _show_causes(area: AreaOpinion, console: Console, *, full: bool) -> None:
    shown = [cause for cause in area.causes if full or cause.probability >= WORTH_NAMING]
    console.print()
    console.print(Text("Causes", style="bold underline"))
    for cause in shown:
        _show_cause(cause, console, full=full)
    mechanisms = [m for m in area.mechanisms if m.probability >= WORTH_NAMING]
    _section(console, "By mechanism", [f"{m.title}: {m.words}, {about(m.probability)}" for m in mechanisms])
    titles = {cause.id: cause.title for cause in area.causes}
    best = [e for e in area.explanations if e.probability >= 0.05][:3]
    _section(
        console,
        "Best joint explanations",
        [
            f"{list_words([titles[c] for c in e.causes]) or 'none of these causes'}: {about(e.probability)}"
            for e in best
        ],
    )


def _show_cause(cause: CauseOpinion, console: Console, *, full: bool) -> None:
    line = Text(cause.title, style="bold").append(f": {cause.words}, {about(cause.probability)}")
    console.print(Padding(line, (0, 0, 0, 2), expand=False))
    supporting = [reason for reason in cause.reasons if reason.decibans >= 0.5]
    opposing = [reason for reason in cause.reasons if reason.decibans <= -0.5]
    for reason in supporting if full else supporting[:REASONS_FOR]:
        _bullet(console, f"for: {state_phrase(reason)} {evidence_phrase(reason.decibans)}", 4)
    for reason in opposing if full else opposing[:REASONS_AGAINST]:
        _bullet(console, f"against: {state_phrase(reason)} {evidence_phrase(reason.decibans)}", 4)
    for leaning in cause.leanings if full else cause.leanings[:3]:
        _bullet(console, f"leaning: {leaning.title} {evidence_phrase(leaning.decibans)}", 4)
    for exclusion in cause.exclusions:
        ruled = "ruled out" if exclusion.hard else "all but ruled out"
        _bullet(console, f"{ruled}: {exclusion.because} Overturned by: {exclusion.overturned_by}", 4)
    unmade = [check for check in cause.gate if not check.made]
    if cause.probability >= 0.33 and unmade:
        _bullet(console, f"not yet checked: {list_words([check.title for check in unmade])}", 4)


def _show_doubts(area: AreaOpinion, console: Console) -> None:
    _section(
        console,
        "What does not fit",
        [
            f"{item.title} ({item.state}): {about(item.probability)} on the best explanation"
            for item in area.unexplained
        ],
    )
    contested = []
    for item in area.contested:
        claims = "; ".join(f"{state} by {rule}" for state, rule in item.claims)
        contested.append(f"{item.title}: concluded both ways ({claims}); left out, to be checked again")
    _section(console, "Contested", contested)
    voided = []
    for void in area.voided:
        plural = "" if void.readings == 1 else "s"
        voided.append(f"{void.instrument} on visit {void.visit}, {void.readings} reading{plural}: {void.because}")
    _section(console, "Readings set aside", voided)
    limits = [f"{limit.what}: {limit.why}" for limit in area.limits]
    _section(console, "Limits", [*limits, *area.doubts])


def _show_timber(area: AreaOpinion, console: Console) -> None:
    because = {line.rule: line.because for line in area.trace}
    reasons = [because[rule] for rule in area.timber.rules if rule in because]
    _section(console, "Timber", [f"{area.timber.words}. {' '.join(reasons)}".strip()])


def _show_steps(area: AreaOpinion, console: Console, *, full: bool) -> None:
    if not area.steps:
        return
    console.print()
    console.print(Text("What to do next", style="bold underline"))
    shown = area.steps if full else area.steps[:STEPS]
    for number, step in enumerate(shown, start=1):
        _show_step(number, step, console)
    left = len(area.steps) - len(shown)
    if left:
        console.print(Padding(Text(f"and {left} more (--full shows them)"), (0, 0, 0, 2), expand=False))


def _show_step(number: int, step: StepAdvice, console: Console) -> None:
    line = Text(f"{number}. ").append(step.title, style="bold")
    line.append(f" ({step.who}; {step.cost.replace('-', ' ')}; {_when(step.urgency)})")
    console.print(Padding(line, (0, 0, 0, 2), expand=False))
    console.print(Padding(Text(step.purpose), (0, 0, 0, 5), expand=False))
    for result, meaning in step.means:
        _bullet(console, f"{result}: {meaning}", 5)
    for reason in step.held_back:
        _bullet(console, f"wait: {reason}", 5)


def _when(urgency: str) -> str:
    return {"hours": "within hours", "days": "within days", "weeks": "within weeks"}.get(urgency, "planned")


def _show_trace(area: AreaOpinion, console: Console) -> None:
    console.print()
    console.print(Text("Rules that fired", style="bold underline"))
    for line in area.trace:
        on = "; ".join(f"{fact.title} = {fact.value} ({fact.sureness})" for fact in line.matched)
        _bullet(console, f"{line.rule}: {on or 'nothing asked'} -> {'; '.join(line.conclusions)}")
