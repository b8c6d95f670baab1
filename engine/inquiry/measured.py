"""What was measured, as people type it: a column of readings, presses on a dry place, air, a surface's temperature."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from engine.case.numerals import NotANumber, Numerals
from engine.inquiry.quantities import quantity
from engine.reading import shown

_PAIR = re.compile(r"(?P<height>[^:\s]+):(?P<values>\S+)")
_PLACE = re.compile(r"\s+at\s+(?P<x>\S+(?:\s*(?:mm|cm|m))?)\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TypedColumn:
    """A column of readings: the instrument named, where it stands along the wall [mm], heights [mm] with presses."""

    instrument: str
    x_mm: float
    places: tuple[tuple[float, tuple[float, ...]], ...]

    def readings(self, instrument: str, visit: str | None) -> tuple[dict[str, Any], ...]:
        """The readings as a case holds them."""
        found = []
        for height, values in self.places:
            reading: dict[str, Any] = {"x_mm": _whole(self.x_mm), "y_mm": _whole(height), "instrument": instrument}
            reading["value"] = _whole(values[0])
            if len(values) > 1:
                reading["repeats"] = [_whole(value) for value in values[1:]]
            if visit is not None:
                reading["visit"] = visit
            found.append(reading)
        return tuple(found)


def typed_column(text: str) -> TypedColumn:
    """A column as typed: `pins 0:28 75:30/29 150:26 at 500`; NotANumber says what could not be read."""
    place = _PLACE.search(text)
    if place is None:
        raise NotANumber("no place along the wall", "end with at and the distance from the left, such as at 500")
    name, *pairs = text[: place.start()].split()
    if ":" in name or not pairs:
        raise NotANumber("no instrument or no readings", "begin with the instrument, then height:value, such as 75:30")
    matched = [_PAIR.fullmatch(pair) for pair in pairs]
    if None in matched:
        wrong = pairs[matched.index(None)]
        raise NotANumber(shown(wrong), "write height:value, such as 75:30, and further presses after a slash, 75:30/29")
    found = [match for match in matched if match is not None]
    numerals = Numerals(part for match in found for part in (match["height"], *match["values"].split("/")))
    places = tuple(
        (numerals.number(match["height"]), tuple(numerals.number(value) for value in match["values"].split("/")))
        for match in found
    )
    return TypedColumn(name.lower(), quantity(place["x"], "mm").value, places)


def typed_presses(text: str) -> tuple[str, tuple[float, ...]]:
    """The instrument and the presses on a dry place: `pins 11 11,5 12`; NotANumber says what could not be read."""
    name, *values = text.split() or [""]
    if not values:
        raise NotANumber("no readings", "name the instrument and what it read, such as pins 11 12 11")
    numerals = Numerals(values)
    return name.lower(), tuple(_whole(numerals.number(value)) for value in values)


def typed_air(text: str) -> dict[str, Any]:
    """Room air as typed: `19,5 C 54%` in either order; NotANumber says what could not be read."""
    match = re.fullmatch(r"\s*(\S+?)\s*°?[cC](?:elsius)?\W+(\S+?)\s*%\s*(?:rh)?\s*", text) or re.fullmatch(
        r"\s*(?=.*%)(?:(\S+?)\s*%\s*(?:rh)?\W+)(\S+?)\s*°?[cC]\s*", text
    )
    if match is None:
        raise NotANumber(shown(text), "give both, such as 19.5 C 54%")
    humid_first = text.find("%") < text.lower().rfind("c")
    first, second = match.groups()
    celsius, percent = (second, first) if humid_first else (first, second)
    return {
        "temperature_c": quantity(celsius, "°C").value,
        "humidity_percent": quantity(percent, "%").value,
    }


def _whole(value: float) -> float:
    return int(value) if float(value).is_integer() else value
