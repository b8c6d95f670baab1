"""What a redaction took out, what text it left for a person to read, and what it cannot promise."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cli.views.page import Page

if TYPE_CHECKING:
    from engine.opinion.comparing import Moved
    from engine.sharing.redacting import Redaction

_CANNOT = (
    "It finds what has the form of an address, a number or a name given elsewhere in the case; it does not understand "
    "text. A nickname, a neighbour, an employer, an illness told in a note stay: read every line above.",
    "What happened in a house, and when, may tell those who know it which house it is, whatever is left out.",
    "What a photograph shows (a face, a letter, a street) stays in it.",
    "Send the new file and its folder alone: journals and backups beside the old one hold what was taken out.",
    "Dates, readings and the outward part of a postcode stay.",
)


def show_redaction(redaction: Redaction, moved: Sequence[Moved], points: float, page: Page) -> None:
    """Print what a person must know before a redacted case is sent."""
    kinds: dict[str, list[str]] = {}
    for taken in redaction.taken:
        kinds.setdefault(taken.what, []).append(taken.place)
    page.line("Taken out")
    for what, places in kinds.items():
        page.bullet(f"{what}: {', '.join(places)}")
    if not kinds:
        page.bullet("nothing was found to take out")
    page.heading("Left to be read by you before it is sent")
    for left in redaction.left:
        first, *more = left.text.splitlines() or [""]
        page.bullet(f"{left.place}: {first}")
        for line in more:
            page.line(line, indent=4)
    page.section("What this cannot promise", list(_CANNOT))
    page.heading("The opinion on the redacted case")
    if not moved:
        page.bullet(f"the same; no probability moves by more than {points:g} points")
    for one in moved:
        page.bullet(f"{one.area}: {one.what}: {one.before} before, {one.after} now")
