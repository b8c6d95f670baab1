"""The audit of a conclusion in a terminal: where it stands, what breaks it or where it is weakest, then what to ask."""

from __future__ import annotations

import math

from rich.console import Console
from rich.text import Text

from cli.views.page import Page
from cli.views.phrases import about, evidence_phrase, list_words, sentence_case
from engine.challenging.models import Challenge, Grounds, PartingTest, Proposal, Rival, Voice, Weighing, Work

NONE_OF_THESE = "none of these causes"
UNMADE = "not yet checked"
MOST_VOICES, MOST_BREAKS, MOST_TESTS = 6, 6, 3


def show_challenge(audit: Challenge, console: Console) -> None:
    """Print the audit of one conclusion."""
    page = Page(console)
    page.line(Text(audit.title.upper(), style="bold"))
    page.line()
    page.line(Text(audit.summary, style="bold"))
    page.line(f"Its weakest point. {audit.weakest_point}")
    page.section("What it does not account for", [_breaking(item) for item in audit.breaks[:MOST_BREAKS]])
    page.section("What supports it", [_voice(audit, voice) for voice in audit.supports[:MOST_VOICES]])
    page.section("What speaks against it", [_voice(audit, voice) for voice in audit.against[:MOST_VOICES]])
    page.section(
        "What it leaves unexplained",
        [
            f"{_stated(item.title, item.state)}: {about(item.probability)} if it is this alone, "
            f"{about(item.under_best)} under the best joint explanation"
            for item in audit.unexplained
        ],
    )
    page.section("Its rivals on the same evidence", [_rival(audit, rival) for rival in audit.rivals])
    _show_checks(audit, page)
    _show_works(audit, page)
    _show_test(audit, page)
    page.section("Questions to its author", list(audit.questions))
    if audit.grounds:
        _show_grounds(audit.grounds, page)
    page.line()
    page.line(
        "Weights [dB] are trade judgement on a stated scale. The audit weighs what the case file records; it says "
        "nothing of the person who concluded, and the inspector concludes and signs."
    )


def _breaking(item: Weighing) -> str:
    tests = [title for _, title in item.tests[:MOST_TESTS]]
    found = f" Found by: {'; '.join(tests)}." if tests else ""
    return f"{sentence_case(_stated(item.title, item.state))} {evidence_phrase(-item.decibans)}.{found}"


def _voice(audit: Challenge, voice: Voice) -> str:
    cause = next((item.title for item in audit.held if item.cause == voice.cause), "")
    towards = f" ({cause})" if len(audit.held) > 1 else ""
    if voice.kind == "finding":
        sure = "" if voice.sureness == "certain" else f" ({voice.sureness.replace('-', ' ')})"
        return f"{_stated(voice.title, voice.state)}{sure} {evidence_phrase(voice.decibans)}{towards}"
    if voice.kind == "exclusion":
        return f"ruled out{towards}: {voice.because}"
    return f"leaning: {voice.title} {evidence_phrase(voice.decibans)}{towards}"


def _rival(audit: Challenge, rival: Rival) -> str:
    name, several = list_words(list(rival.titles)) or NONE_OF_THESE, len(rival.titles) > 1
    together, explains, comes, it = (
        (" together", "explain", "come", "They account") if several else ("", "explains", "comes", "It accounts")
    )
    how = {
        "better": f"{explains} the same evidence better",
        "as-well": f"{explains} the same evidence about as well",
        "less-well": f"{comes} nearest, and {explains} it less well",
    }[rival.standing]
    by = ""
    if rival.standing != "less-well" and rival.explains_better:
        by = f" {it} better for: {'; '.join(_stated(w.title, w.state) for w in rival.explains_better[:3])}."
    elif rival.explains_worse:
        by = f" {it} less well for: {'; '.join(_stated(w.title, w.state) for w in rival.explains_worse[:3])}."
    company = ""
    if set(audit.explanation) != {item.cause for item in audit.held}:
        company = ", taken with what else the evidence asks for"
    return f"{sentence_case(name)}{together} {how}: {odds_words(rival.odds)}{company}.{by}"


def odds_words(odds: float) -> str:
    """Odds of a rival against what is held, in words to one figure."""
    if math.isinf(odds):
        return "what is held is ruled out"
    if 0.8 < odds < 1.25:
        return "the two are about equally probable"
    if odds > 1:
        return f"it is {_times(odds)} as probable as what is held"
    return "it is ruled out" if odds <= 0 else f"what is held is {_times(1 / odds)} as probable"


def _times(ratio: float) -> str:
    if ratio >= 1000:
        return "more than a thousand times"
    if ratio < 1.75:
        return "about one and a half times"
    step = 10 ** math.floor(math.log10(ratio))
    count = round(ratio / step) * step
    return "about twice" if count == 2 else f"about {count:.0f} times"


def _show_checks(audit: Challenge, page: Page) -> None:
    made = [f"made, against {check.rival_title}: {check.title}" for check in audit.checks if check.made]
    open_checks = [
        f"not made, against {check.rival_title}: {check.title}. The step that makes it: {check.step_title}."
        for check in audit.checks
        if not check.made
    ]
    page.section("The checks that it needs", [*open_checks, *made])


def _show_works(audit: Challenge, page: Page) -> None:
    page.section("Works", [*_proposal(audit.proposed), *(_work(work) for work in audit.works if work.irreversible)])


def _proposal(proposed: Proposal | None) -> list[str]:
    if proposed is None:
        return []
    if not proposed.first:
        return [f"Proposed: {proposed.title}. No rule of this rule base asks for anything before it."]
    return [f"Proposed: {proposed.title}. First: {'; '.join(steps)}. {because}" for because, steps in proposed.first]


def _work(work: Work) -> str:
    name = f"{sentence_case(work.title)} cannot be undone"
    if not work.reasons:
        return f"{name}; every check for it is made."
    unmade = sum(reason.startswith(UNMADE) for reason in work.reasons)
    reasons = [reason for reason in work.reasons if not reason.startswith(UNMADE)]
    if unmade:
        reasons.append(
            "one of the checks above is not made" if unmade == 1 else f"{unmade} of the checks above are not made"
        )
    return f"{name} and waits: {'; '.join(reasons)}."


def _show_test(audit: Challenge, page: Page) -> None:
    if audit.test is None:
        return
    rival = list_words(list(audit.rivals[0].titles)) or NONE_OF_THESE
    page.heading("The cheapest test that would part it from its nearest rival")
    page.bullet(f"{sentence_case(audit.test.title)} ({audit.test.who}; cost {audit.test.cost.replace('-', ' ')}).")
    for line in _results(audit.test, rival):
        page.bullet(line, 4)


def _results(test: PartingTest, rival: str) -> list[str]:
    return [
        f"{sentence_case(item.title)}: {item.if_held} with what is held, {item.if_rival} with {rival}."
        for item in test.results
    ]


def _show_grounds(grounds: Grounds, page: Page) -> None:
    lines = [f"The grounds: {list_words(list(grounds.titles))}."]
    if grounds.unrecorded:
        lines.append(f"Not recorded in this case: {list_words(list(grounds.unrecorded))}.")
    if grounds.silent:
        lines.append(f"No rule draws on this by itself: {list_words(list(grounds.silent))}.")
    shown = [_stated(title, state) for _, title, state in grounds.findings]
    lines.append(f"They show: {'; '.join(shown)}." if shown else "By themselves they show no finding.")
    lines += [f"On these alone {item.title} would be {item.words}." for item in grounds.held]
    others = [item.title for item in grounds.likely if item not in grounds.held]
    if others:
        lines.append(f"On these alone the likely would be {list_words(others)}.")
    page.section("What the stated grounds alone would support", lines)
    cannot = [
        f"They do not tell it from {list_words(list(rival.titles)) or NONE_OF_THESE}: {odds_words(rival.odds)}."
        for rival in grounds.rivals
    ]
    cannot += [f"They pass over this: {_stated(item.title, item.state)}." for item in grounds.left_out[:MOST_BREAKS]]
    if grounds.missing:
        cannot.append(f"They leave these checks unmade: {'; '.join(check.title for check in grounds.missing)}.")
    page.section("What they cannot show", cannot)


def _stated(title: str, state: str) -> str:
    if state in ("absent", "none"):
        return f"not found: {title}"
    return title if state == "present" else f"{title} ({state})"
