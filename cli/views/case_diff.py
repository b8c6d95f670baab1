"""Two files on one house in a terminal: the answers first, then what matters, then everything that differs."""

from __future__ import annotations

from rich.console import Console

from cli.views.page import Page
from cli.views.phrases import list_words, sentence_case
from engine.challenging.comparing import DataDifference
from engine.challenging.differing import Answer, Comparison, Effect, FactLine, Move, Said

MOST_MOVES = 4


def show_comparison(comparison: Comparison, names: tuple[str, str], console: Console) -> None:
    """Print a comparison; ``names`` are the two files', which stand for the two inspectors throughout."""
    page = Page(console)
    for word, name, title in zip(("First", "Second"), names, comparison.titles, strict=True):
        page.line(f"{word}: {name}, {title}")
    page.section("What the opinion says of each", [_answers(*pair) for pair in comparison.answers])
    _show_effects(comparison, page)
    for kind, heading in (
        ("value", "Recorded differently"),
        ("basis", "The same, on another basis"),
        ("only-first", "Recorded by the first alone"),
        ("only-second", "Recorded by the second alone"),
    ):
        page.section(heading, [_fact(line) for line in comparison.facts if line.kind == kind])
    page.section("Measured differently", [line for item in comparison.data for line in _data(item)])
    page.section("In one file only", [f"{title}: in the {which}" for title, which in comparison.unpaired])
    if not (comparison.facts or comparison.data or comparison.unpaired):
        page.line()
        page.line("Nothing that both files could record differs between them.")


def _answers(first: Answer | None, second: Answer | None) -> str:
    title = next(answer.title for answer in (first, second) if answer)
    return f"{title}. On the first: {_answer(first)}. On the second: {_answer(second)}."


def _answer(answer: Answer | None) -> str:
    if answer is None:
        return "this place is not in it"
    leads = list_words(list(answer.leading)) or "none of these causes"
    verb = "lead" if len(answer.leading) > 1 else "leads"
    return f"determined, {leads}" if answer.determined else f"not determined, {leads} {verb}"


def _show_effects(comparison: Comparison, page: Page) -> None:
    several = len(comparison.answers) > 1
    turning = [_effect(effect, several=several) for effect in comparison.effects if effect.turns]
    moving = [_effect(effect, several=several) for effect in comparison.effects if not effect.turns]
    page.section("Differences that by themselves change the answer, the second's put into the first", turning)
    page.section("Differences that move a belief and leave the answer", moving)
    page.section(
        "None changes the answer by itself; put in one after another, these do",
        [f"{item.area}: {'; '.join(item.differences)}. Then {_answer(item.after)}." for item in comparison.together],
    )
    if comparison.without_effect:
        page.line()
        page.line(_without_effect(comparison.without_effect))
    if comparison.noise:
        page.line()
        page.line(_within_noise(comparison.noise))


def _without_effect(count: int) -> str:
    if count == 1:
        return "One further difference moves no belief noticeably by itself."
    return f"{count} further differences move no belief noticeably, each by itself."


def _within_noise(count: int) -> str:
    if count == 1:
        return "One set of measurements differs by no more than readings scatter, and is taken for the same."
    return f"{count} sets of measurements differ by no more than readings scatter, and are taken for the same."


def _effect(effect: Effect, *, several: bool) -> str:
    """One difference, what the answer becomes with it where it turns, and the beliefs that it moves."""
    parts = [sentence_case(effect.difference)]
    if effect.turns:
        parts.append(f"{effect.area}: {_answer(effect.after)}" if several else f"Then {_answer(effect.after)}")
    moved = [f"{move.title}, {_change(move)}" for move in effect.moves[:MOST_MOVES]]
    if moved:
        parts.append(sentence_case("; ".join(moved)))
    return f"{'. '.join(parts)}."


def _change(move: Move) -> str:
    if move.before != move.after:
        return f"from {move.before} to {move.after}"
    return f"still {move.after}, though {'more' if move.more else 'less'} so"


def _fact(line: FactLine) -> str:
    if line.kind == "only-first":
        return f"{line.title} ({line.place}): {_said(line.first)}"
    if line.kind == "only-second":
        return f"{line.title} ({line.place}): {_said(line.second)}"
    return f"{line.title} ({line.place}): first, {_said(line.first)}; second, {_said(line.second)}"


def _said(said: Said) -> str:
    sure = "" if said.sureness == "certain" else f", {said.sureness.replace('-', ' ')}"
    return f"{said.value} ({said.basis}{sure})"


def _data(item: DataDifference) -> list[str]:
    kind = item.kind.replace("_", " ")
    lines = [f"{kind} ({item.spot.title}): {item.counts[0]} in the first, {item.counts[1]} in the second"]
    if item.within_noise:
        lines[0] += "; alike but for their scatter"
        return lines
    if item.kind != "readings":
        return lines
    if not item.compared:
        lines[0] += "; none stands at the same place in the same mode and scale"
        return lines
    if not item.apart:
        lines[0] += f"; {item.compared} at the same place, no single one apart by more than presses scatter"
        return lines
    return lines + [
        f"{reading.mode.replace('-', ' ')} at {reading.x_mm:g} mm across, {reading.y_mm:g} mm up: {reading.first:g} in "
        f"the first, {reading.second:g} in the second, which is beyond noise"
        for reading in item.apart
    ]
