"""The photographs of a report: by reference, with caption, digest, what is to be seen, and every warning."""

from __future__ import annotations

from engine.case.photographs import Held
from engine.reporting.blocks import Block, Photograph, Section
from engine.reporting.material import Material, Place
from engine.reporting.phrases import capital, missing, surface_words, visit_words
from engine.reporting.places import by_place

STATES = {
    "as-recorded": "the file is the one recorded",
    "not-recorded": "no digest was recorded to hold it against",
    "changed": "the file is not the one recorded",
    "missing": "the file is not there",
    "unreadable": "the file cannot be read",
}


def photographs(found: Material) -> Section:
    """The section on photographs; those marked private are not in it."""
    return by_place(found, "photographs", "Photographs", lambda place: _of_place(found, place))


def _of_place(found: Material, place: Place) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for held in found.photographs:
        if held.area != place.area.id or held.photograph.private:
            continue
        blocks.append(_photograph(found, place, held))
        blocks += [missing(capital(text) + ".") for text in held.told]
        if held.photograph.alt is None:
            blocks.append(missing(f"{held.photograph.file} has no description for readers who cannot see it."))
    if not blocks:
        return (missing("No photographs of this place are in the case."),)
    return tuple(blocks)


def _photograph(found: Material, place: Place, held: Held) -> Photograph:
    photograph = held.photograph
    surface = surface_words(place, photograph.surface)
    where = [f"of {surface}"] if surface else []
    digest = [f"SHA-256 {held.digest}"] if held.digest else []
    about = "; ".join([photograph.file, *where, visit_words(found, photograph.visit), STATES[held.state], *digest])
    return Photograph(photograph.caption, photograph.alt or "", f"{about}.", held)
