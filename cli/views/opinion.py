"""The opinion in a terminal: cautions, then the answer and how sure, then why, then what to do next."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from cli.views.page import Page
from cli.views.phrases import about, evidence_phrase, list_words, sentence_case, state_phrase
from cli.views.wall_map import Walls, show_walls
from engine.opinion.models import AreaOpinion, CauseOpinion, Opinion, StepAdvice

WORTH_NAMING = 0.10
"""A cause less probable than this is named only in the full view."""
WORTH_SAYING = 0.5
"""A weight of evidence under this [dB] is left unsaid."""
REASONS_FOR, REASONS_AGAINST, LEANINGS, STEPS, EXPLANATIONS = 5, 3, 3, 6, 3


def show_opinion(opinion: Opinion, console: Console, *, full: bool = False, walls: Walls | None = None) -> None:
    """Print an opinion; ``full`` adds every cause, every reason, every rule that fired and every wall map.

    ``walls`` are the maps and profiles of each area by its id; without them none is shown.
    """
    page = Page(console)
    page.line(Text(opinion.case.title, style="bold"))
    if opinion.invented:
        page.line("An invented case.")
    for area in opinion.areas:
        page.line()
        _show_area(area, page, full=full, walls=walls or {})
    page.line()
    page.line(
        "How strongly each sign speaks is trade judgement on a stated scale, not measurement; weights [dB] say how far "
        "belief moves with one sign taken away, and do not add up. The inspector concludes and signs; local codes "
        "and licensed practice have the last word."
    )
    page.line(f"rule base {opinion.rulebook.digest[:12]}, case {opinion.case.digest[:12]}, version {opinion.version}")


def _show_area(area: AreaOpinion, page: Page, *, full: bool, walls: Walls) -> None:
    page.line(Text(area.title.upper(), style="bold"))
    page.line(f"reckoned as: {area.reference_class}")
    page.section(
        "Cautions", [f"{sentence_case(item.title)}. {item.text} Defer to: {item.defer_to}." for item in area.cautions]
    )
    _show_answer(area, page)
    _show_causes(area, page, full=full)
    show_walls(*walls.get(area.id, ((), ())), page, full=full)
    _show_doubts(area, page)
    _show_timber(area, page)
    _show_steps(area, page, full=full)
    if full:
        _show_trace(area, page)


def _show_answer(area: AreaOpinion, page: Page) -> None:
    titles = {cause.id: cause.title for cause in area.causes}
    page.line()
    if area.determined and area.level == "cause":
        page.line(Text(f"Determined: {list_words([titles[cause] for cause in area.leading])}", style="bold"))
    elif area.determined:
        named = list_words([name.replace("-", " ") for name in area.leading_mechanisms])
        page.line(Text(f"Determined: {named}; by which route is not determined", style="bold"))
    else:
        page.line(Text("Not determined", style="bold"))
        _show_what_is_open(area, page)
    for reason in area.unknown_because:
        page.bullet(f"possibly something that this rule base does not know: {reason}")
    if area.no_active_damp.reportable:
        page.bullet(f"that nothing is wetting this place now is {area.no_active_damp.words}")
    if area.carried_by:
        one = "this rests on one thing" if len(area.carried_by) == 1 else "this would fall without any one of these"
        page.bullet(f"{one}: {'; '.join(area.carried_by)}")


def _show_what_is_open(area: AreaOpinion, page: Page) -> None:
    open_causes = [f"{c.title} ({about(c.probability)})" for c in area.causes if c.probability >= WORTH_NAMING]
    if open_causes:
        page.bullet(f"kept open: {list_words(open_causes)}")
    for reason in area.why_not_determined:
        page.bullet(f"because {reason}")
    test = next((step for step in area.steps if step.kind == "test"), None)
    if test:
        page.bullet(f"the test that would best part them: {test.title}")


def _show_causes(area: AreaOpinion, page: Page, *, full: bool) -> None:
    shown = [cause for cause in area.causes if full or cause.probability >= WORTH_NAMING]
    if shown:
        page.heading("Causes")
    for cause in shown:
        _show_cause(cause, page, full=full)
    mechanisms = [m for m in area.mechanisms if m.probability >= WORTH_NAMING]
    page.section("By mechanism", [f"{m.title}: {m.words} ({m.band})" for m in mechanisms])
    titles = {cause.id: cause.title for cause in area.causes}
    best = [e for e in area.explanations if e.probability >= 0.05][:EXPLANATIONS]
    page.section(
        "Best joint explanations",
        [f"{' + '.join(titles[c] for c in e.causes) or 'none of these causes'}: {about(e.probability)}" for e in best],
    )


def _show_cause(cause: CauseOpinion, page: Page, *, full: bool) -> None:
    line = Text(cause.title, style="bold").append(f": {cause.words} ({cause.band})", style="not bold")
    page.line(line, indent=2, hanging=2)
    supporting = [reason for reason in cause.reasons if reason.decibans >= WORTH_SAYING]
    opposing = [reason for reason in cause.reasons if reason.decibans <= -WORTH_SAYING]
    for reason in supporting if full else supporting[:REASONS_FOR]:
        page.bullet(f"for: {state_phrase(reason)} {evidence_phrase(reason.decibans)}", 4)
    for reason in opposing if full else opposing[:REASONS_AGAINST]:
        page.bullet(f"against: {state_phrase(reason)} {evidence_phrase(reason.decibans)}", 4)
    page.bullet(f"the signs together: {evidence_phrase(cause.evidence_decibans)}", 4)
    for leaning in cause.leanings if full else cause.leanings[:LEANINGS]:
        page.bullet(f"leaning: {leaning.title} {evidence_phrase(leaning.decibans)}", 4)
    for exclusion in cause.exclusions:
        ruled = "ruled out" if exclusion.hard else "all but ruled out"
        page.bullet(f"{ruled}: {exclusion.because} Overturned by: {exclusion.overturned_by}", 4)
    unmade = [check.title for check in cause.gate if not check.made]
    if unmade and (full or cause.probability >= 0.33):
        page.bullet(f"not yet checked: {'; '.join(unmade)}", 4)


def _show_doubts(area: AreaOpinion, page: Page) -> None:
    misfits = [f"{item.title} ({item.state}): {about(item.probability)} if so" for item in area.unexplained]
    page.section("What does not fit the best joint explanation", misfits)
    contested = []
    for item in area.contested:
        claims = "; ".join(f"{state} by {rule}" for state, rule in item.claims)
        contested.append(f"{item.title}: concluded both ways ({claims}); left out, to be checked again")
    page.section("Contested", contested)
    voided = []
    for void in area.voided:
        plural = "" if void.readings == 1 else "s"
        voided.append(f"{void.instrument} on visit {void.visit}, {void.readings} reading{plural}: {void.because}")
    page.section("Readings set aside", voided)
    page.section("Limits", [*(f"{limit.what}: {limit.why}" for limit in area.limits), *area.doubts])


def _show_timber(area: AreaOpinion, page: Page) -> None:
    because = {line.rule: line.because for line in area.trace}
    reasons = [because[rule] for rule in area.timber.rules if rule in because]
    page.section("Timber", [f"{area.timber.words}. {' '.join(reasons)}".strip()])


def _show_steps(area: AreaOpinion, page: Page, *, full: bool) -> None:
    if not area.steps:
        return
    page.heading("What to do next")
    shown = area.steps if full else area.steps[:STEPS]
    for number, step in enumerate(shown, start=1):
        _show_step(number, step, page)
    left = len(area.steps) - len(shown)
    if left:
        page.line(f"and {left} more (--full shows them)", indent=2)


def _show_step(number: int, step: StepAdvice, page: Page) -> None:
    line = Text(f"{number}. ").append(step.title, style="bold")
    line.append(f" ({step.who}; cost {step.cost.replace('-', ' ')}; {_when(step.urgency)})")
    page.line(line, indent=2, hanging=3)
    page.line(step.purpose, indent=5)
    for result, meaning in step.means:
        page.bullet(f"{result}: {meaning}", 5)
    for reason in step.held_back:
        page.bullet(f"wait: {reason}", 5)


def _when(urgency: str) -> str:
    return {"hours": "within hours", "days": "within days", "weeks": "within weeks"}.get(urgency, "planned")


def _show_trace(area: AreaOpinion, page: Page) -> None:
    page.heading("Rules that fired")
    for line in area.trace:
        on = "; ".join(f"{fact.title} = {fact.value} ({fact.sureness})" for fact in line.matched)
        page.bullet(f"{line.rule}: {on or 'always'} -> {'; '.join(line.conclusions)}")
