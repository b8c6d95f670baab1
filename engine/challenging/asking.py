"""What to ask the author of a conclusion, in words that blame nobody; and where the conclusion is weakest."""

from __future__ import annotations

from engine.challenging.models import Grounds, NeededCheck, Proposal, Rival, Verdict, Voice, Weighing
from engine.challenging.weighed import NONE_OF_THESE, Weighed, stated
from engine.opinion.words import list_words

MOST_OF_A_KIND = 3
"""How many questions of one kind are asked; the weightiest come first."""
CARRIES_DECIBANS = 3.0
"""Weight from which a finding not certain is called the weakest point [dB]: twice as probable with its cause."""


def questions(
    named: str,
    verdict: Verdict,
    breaks: tuple[Weighing, ...],
    missing: tuple[NeededCheck, ...],
    rivals: tuple[Rival, ...],
    proposed: Proposal | None,
    grounds: Grounds | None,
) -> tuple[str, ...]:
    """Questions to the author of a conclusion, the most telling first. ``named`` is what is held, in words."""
    asked = [f"How does {named} account for this: {stated(b.title, b.state)}?" for b in breaks[:MOST_OF_A_KIND]]
    checks = {check.title: check for check in missing}
    asked += [
        f"Was this done, and what did it show: {check.title}?" for check in list(checks.values())[:MOST_OF_A_KIND]
    ]
    close = [rival for rival in rivals if rival.standing != "less-well"]
    if close:
        asked.append(f"What on this evidence speaks for {named} rather than {rival_named(close[0])}?")
    elif rivals and (verdict == "agrees" or not asked):
        asked.append(f"What would have been seen had it been {rival_named(rivals[0])}, and was it looked for?")
    if grounds and grounds.rivals:
        other = rival_named(grounds.rivals[0])
        asked.append(f"The stated grounds are as likely with {other}: what else was seen that speaks for {named}?")
    if proposed:
        steps = list(dict.fromkeys(step for _, steps in proposed.first for step in steps))
        wait = f", and could it wait for this: {'; '.join(steps)}" if steps else ""
        asked.append(f"On which findings does the proposed {proposed.title} rest{wait}?")
    if verdict == "open" and not asked:
        asked.append(f"What would settle whether it is {named}?")
    return tuple(asked)


def rival_named(rival: Rival) -> str:
    """A rival's causes in a row."""
    return list_words(rival.titles) or NONE_OF_THESE


def weakest_point(
    weighed: Weighed,
    named: str,
    verdict: Verdict,
    supports: tuple[Voice, ...],
    breaks: tuple[Weighing, ...],
    missing: tuple[NeededCheck, ...],
    rivals: tuple[Rival, ...],
) -> str:
    """The one thing about a conclusion that most needs care, in a sentence."""
    if verdict in ("differs", "agrees-in-part") and breaks:
        return f"It accounts least for this: {stated(breaks[0].title, breaks[0].state)}."
    if verdict == "agrees":
        return _weakest_of_the_agreed(weighed, supports, rivals)
    if missing:
        return f"The first check that it needs was not made: {missing[0].title}."
    if rivals and not supports:
        return f"Little that was found speaks for {named} rather than {rival_named(rivals[0])}."
    reason = next(iter(weighed.opinion.why_not_determined), "")
    nearest = f" Its nearest rival is {rival_named(rivals[0])}." if rivals else ""
    return f"It is not determined: {reason}.{nearest}" if reason else f"Little that was found speaks for {named}."


def _weakest_of_the_agreed(weighed: Weighed, supports: tuple[Voice, ...], rivals: tuple[Rival, ...]) -> str:
    if weighed.opinion.carried_by:
        return f"Without this it would no longer be likely: {list_words(weighed.opinion.carried_by)}."
    findings = [voice for voice in supports if voice.kind == "finding"]
    unsure = next((v for v in findings if v.sureness != "certain" and v.decibans >= CARRIES_DECIBANS), None)
    if unsure:
        grade = unsure.sureness.replace("-", " ")
        return f"It leans on a finding that is only {grade}: {stated(unsure.title, unsure.state)}."
    nearest = f" Its nearest rival is {rival_named(rivals[0])}." if rivals else ""
    if findings:
        return f"It leans most on this: {stated(findings[0].title, findings[0].state)}.{nearest}"
    return f"No single finding speaks for it by itself.{nearest}"
