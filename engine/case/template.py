"""The commented file with which a case begins."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from engine.case.vocabulary import Attribute, Vocabulary

_TEMPLATE = """\
# A case: one dwelling, the visits to it, and the damp areas under question.
#
# Lines that begin with "#" and one space explain. Other lines that begin with "#" are examples: take the "#"
# away and change what they say. Write down what was seen, measured or told, and nothing else. What is not known
# is left out or given as unknown; neither is ever read as no.
#
# A fact has an attribute, a value and its basis (seen, measured, told or inferred). If it is not certain add
# sureness: fairly-sure or not-sure; add by: with a name for what somebody told. Every attribute also takes
# unknown, not-applicable and not-inspected. Lengths are in mm, temperatures in degrees Celsius.
#
# A fact with private: true, and text from "(private)" to the end of its paragraph, are left out of reports and of
# redacted copies.
format: 1
id: my-case
title: What this case is about
#note: Anything else that a reader of the case should know.

# What a report must name; nothing is weighed from it.
#commission:
#  client: Who asked for the inspection
#  brief: What was to be found out, and what was left out of the brief.
#  inspector: Who inspected
#  qualifications: With what training
#  interests: Any interest in works that may follow, or none.
#  reported_on: 2026-11-02  # the day on which who must act was told of it
#  investigation_finished_on: 2026-11-12

# What holds for the whole building.
dwelling:
  title: The dwelling
  #address: Left out of exports
  #not_inspected:
  #  - {what: Roof space, why: no safe way in}
@dwelling@

# Each day on which the building was visited, with the instruments used. A meter with two modes is listed twice.
visits:
  - id: first
    on: @day@
    #by: Who made the visit
    #outside: {temperature_c: 8, humidity_percent: 85}
    #instruments:
    #  # A relative scale needs its top; readings on masonry are relative on any scale.
    #  - id: pins
    #    mode: pins
    #    scale: wood-percent
    #    # The check on a known reference: what it should read, how far off it may be, what it read.
    #    checks: [{expected: 18, tolerance: 1, result: 18.2}]
    #  - {id: capacitance, mode: capacitance, scale: relative, full_scale: 1000}
    #  - {id: air, mode: hygrometer, scale: relative-humidity}
    #  - {id: surface, mode: surface-thermometer, scale: celsius}
@visit@

# Each damp place under question; each gets an opinion of its own.
areas:
  - id: first-area
    title: The damp place
@area@
    # Surfaces are seen from the room; x runs right and y up from the bottom left corner.
    #surfaces:
    #  - id: wall
    #    kind: wall
    #    width_mm: 4000
    #    height_mm: 2400
    #    material: plaster
    #    zones:
    #      - {id: patch, material: cement-plaster, x_mm: 1000, y_mm: 0, to_x_mm: 2000, to_y_mm: 1000}
    #    features:
    #      - {id: window, kind: window, x_mm: 2500, y_mm: 900, to_x_mm: 3500, to_y_mm: 2000}
    #      - {id: ground, kind: outside-ground-line, shape: line, x_mm: 0, y_mm: 150, to_x_mm: 4000, to_y_mm: 150}
@surface@
    #    # A place known to be dry, of the same material, with the same instrument.
    #    dry_references:
    #      - {instrument: pins, material: plaster, value: 11, place: inner wall}
    #      - {instrument: capacitance, material: plaster, value: 90, place: inner wall}
    #    # At least four heights make a profile; repeats are further presses at the same place.
    #    readings:
    #      - {x_mm: 500, y_mm: 50, instrument: pins, value: 24, repeats: [23.5, 24.5]}
    #      - {x_mm: 500, y_mm: 300, instrument: pins, value: 22}
    #      - {x_mm: 500, y_mm: 600, instrument: pins, value: 17}
    #      - {x_mm: 500, y_mm: 1200, instrument: pins, value: 11}
    #      - {x_mm: 500, y_mm: 50, instrument: capacitance, value: 640}
    #air:
    #  - {temperature_c: 19.5, humidity_percent: 62, instrument: air}
    #surface_temperatures:
    #  - {temperature_c: 13.5, surface: wall, x_mm: 500, y_mm: 50, tolerance_k: 0.5, instrument: surface}
    #samples:
    #  - {id: core-1, surface: wall, x_mm: 500, y_mm: 100, depth_from_mm: 10, depth_to_mm: 80, wet_g: 21.4, dry_g: 20.1}
    #timber:
    #  - {id: joist-1, item: joist-end, instrument: pins, value: 19, temperature_c: 12}
    #loggers:
    #  - {id: bedroom, kind: room-air, file: loggers/bedroom.csv, date_order: year-first}
    #photographs:
    #  # Inside this file's folder; private: true keeps one out of exports.
    #  - {file: photographs/wall.jpg, caption: The wall from the door, alt: A stain up to the sill}
    #not_inspected:
    #  - {what: Floor void, why: floor covering not lifted}
    # The inspector's own conclusion, kept apart from the engine's; unsigned it stays a draft.
    #conclusion: {statement: What I conclude and why., signed_by: Name, signed_on: @day@}
"""
_PLACES = {"dwelling": "  #", "visit": "    #", "area": "    #", "surface": "    #    "}
"""Where facts may stand, and with what their example lines begin there."""


def starting_file(vocabulary: Vocabulary | None = None, *, day: date = date(2024, 1, 31)) -> str:
    """The text of a commented YAML file with which a case begins; it reads as it stands.

    With a vocabulary every attribute is listed at its place with the values that it takes. ``day`` is the day
    of the visit to begin with.
    """
    text = _TEMPLATE.replace("@day@", day.isoformat())
    for place, start in _PLACES.items():
        text = text.replace(f"@{place}@\n", "".join(f"{line}\n" for line in _facts(place, vocabulary, start)))
    return text


def _facts(place: str, vocabulary: Vocabulary | None, start: str) -> Iterator[str]:
    questions = vocabulary.questions if vocabulary else {}
    names = [name for name in sorted(questions) if questions[name].scope == place]
    if names or vocabulary is None:
        yield f"{start}facts:"
    if vocabulary is None:
        yield f"{start}  - {{attribute: name-of-attribute, value: unknown, basis: seen}}"
    for name in names:
        yield f"{start}  # {questions[name].title}: {_values(questions[name])}"
        yield f"{start}  - {{attribute: {name}, value: unknown, basis: seen}}"


def _values(attribute: Attribute) -> str:
    if attribute.kind != "number":
        return " | ".join(attribute.words())
    low, high = attribute.minimum, attribute.maximum
    bounds = (f" from {low:g}" if low is not None else "") + (f" up to {high:g}" if high is not None else "")
    return f"a number{bounds}{f' {attribute.unit}' if attribute.unit else ''}"
