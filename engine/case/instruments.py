"""Whether readings fit the instruments with which they are said to be taken: mode, scale, and its top."""

from __future__ import annotations

from collections.abc import Iterator

from engine.case.parts import Faults, Part, Written
from engine.reading import shown

_ELECTRICAL = ("pins", "deep-pins", "capacitance")
_SCALES = {
    "pins": ("wood-percent", "relative"),
    "deep-pins": ("wood-percent", "relative"),
    "capacitance": ("wood-percent", "relative"),
    "hygrometer": ("relative-humidity", "celsius"),
    "surface-thermometer": ("celsius",),
    "carbide": ("wet-mass-percent",),
    "balance": ("grams",),
    "logger": ("relative-humidity", "celsius", "wood-percent"),
}
"""The scales on which an instrument of each mode can read."""

_MODES = {
    "readings": (_ELECTRICAL, "an electrical reading"),
    "dry_references": (_ELECTRICAL, "an electrical reading"),
    "timber": (_ELECTRICAL, "a timber reading"),
    "air": (("hygrometer", "logger"), "an air reading"),
    "surface_temperatures": (("surface-thermometer", "logger"), "a surface temperature"),
}
"""The modes of instrument with which each kind of reading can be taken."""

_TOPS = {"wood-percent": 100.0, "relative-humidity": 100.0, "wet-mass-percent": 100.0}


def check(written: Written, faults: Faults) -> None:
    """Record every instrument and reading that cannot be as written."""
    for visit in written.root.parts("visits"):
        for instrument in visit.parts("instruments"):
            _instrument(instrument, visit, faults)
    for part in written.measured():
        instrument_of = written.instrument_of(part)
        if instrument_of is not None:
            _use(part, instrument_of, faults)
    _one_scale(written, faults)


def top(instrument: Part) -> float | None:
    """The top of an instrument's scale; None where it has none that is known."""
    return instrument.number("full_scale") or _TOPS.get(instrument.text("scale") or "")


def _instrument(instrument: Part, visit: Part, faults: Faults) -> None:
    mode, scale = instrument.text("mode") or "", instrument.text("scale") or ""
    scales = _SCALES.get(mode, ())
    if scales and scale not in scales:
        found = f"the scale {shown(scale)} for the mode {mode}"
        faults.add(instrument.at("scale"), found, f"one of {', '.join(scales)}")
    if scale == "relative" and "full_scale" not in instrument.data:
        found = "a relative scale without its top"
        faults.add(instrument.at("full_scale"), found, "the highest reading that the scale can show", "add full_scale")
    highest = _TOPS.get(scale)
    full = instrument.number("full_scale")
    if highest is not None and full is not None and full > highest:
        faults.add(instrument.at("full_scale"), f"{full:g}", f"at most {highest:g} on the scale {scale}")
    for one in instrument.parts("checks"):
        for path, value in one.numbers("expected", "result"):
            _within_scale(path, value, instrument, faults)
    bought, used = instrument.text("calibrated_on"), visit.text("on")
    if bought and used and bought > used:
        faults.add(instrument.at("calibrated_on"), bought, f"a day up to the visit on {used}", "check both dates")


def _use(part: Part, instrument: Part, faults: Faults) -> None:
    mode, scale = instrument.text("mode") or "", instrument.text("scale") or ""
    kind = next(name for name in reversed(part.path) if isinstance(name, str))
    modes, spoken = _MODES.get(kind, ((), ""))
    if modes and mode in _SCALES and mode not in modes:
        found = f"{spoken} with the instrument {shown(part.text('instrument'))}, whose mode is {mode}"
        faults.add(part.at("instrument"), found, f"an instrument of mode {' or '.join(modes)}")
        return
    if kind == "timber" and scale in _SCALES["pins"] and scale != "wood-percent":
        found = f"a timber reading on the scale {scale}"
        faults.add(part.at("instrument"), found, "an instrument on the scale wood-percent")
    for path, value in part.numbers("value", "repeats"):
        _within_scale(path, value, instrument, faults)


def _within_scale(path: tuple[str | int, ...], value: float, instrument: Part, faults: Faults) -> None:
    highest = top(instrument)
    if highest is not None and value > highest:
        scale = instrument.text("scale")
        found = f"{value:g}, above the top of the scale of {shown(instrument.text('id'))}"
        faults.add(path, found, f"at most {highest:g} ({scale})", "check the figure, the instrument and its full_scale")


def _one_scale(written: Written, faults: Faults) -> None:
    """Readings of one surface, visit and mode form one profile and must be on one scale."""
    first: dict[tuple[object, ...], tuple[object, ...]] = {}
    for surface, part in _readings(written):
        instrument = written.instrument_of(part)
        if instrument is None:
            continue
        scale = (instrument.text("scale"), instrument.number("full_scale"))
        group = (surface.path, written.visit_of(part), instrument.text("mode"))
        before = first.setdefault(group, scale)
        if scale != before:
            found = f"the scale {_spoken(scale)} among readings of mode {group[2]} on the scale {_spoken(before)}"
            allowed = "one scale for one mode on one surface and visit"
            faults.add(part.at("instrument"), found, allowed, "record the second scale on a surface of its own")


def _readings(written: Written) -> Iterator[tuple[Part, Part]]:
    return ((surface, part) for surface, part in written.electrical() if part.path[-2] == "readings")


def _spoken(scale: tuple[object, ...]) -> str:
    name, full = scale
    return f"{name} to {full:g}" if isinstance(full, (int, float)) else str(name)
