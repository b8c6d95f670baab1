"""Quantities as people write them: `12 C`, `54 %`, `300 mm`, `0,3 m`, `about 300`, `300-450 mm`, `30 to 45 cm`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from engine.case.numerals import NotANumber, Numerals
from engine.reading import shown

_LENGTHS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4, "ft": 304.8, "feet": 304.8}
_MONTHS = {"month": 1.0, "months": 1.0, "week": 12 / 52.18, "weeks": 12 / 52.18, "year": 12.0, "years": 12.0}
_MONTHS |= {"day": 12 / 365.25, "days": 12 / 365.25}
_CELSIUS = {"c": 1.0, "°c": 1.0, "deg c": 1.0, "celsius": 1.0, "degc": 1.0}
_PERCENT = {"%": 1.0, "percent": 1.0, "% rh": 1.0, "%rh": 1.0}
_FACTORS = {"mm": _LENGTHS, "months": _MONTHS, "°C": _CELSIUS, "C": _CELSIUS, "%": _PERCENT}
_NUMBER = r"[-+−]?[0-9]*[.,]?[0-9]+"
_UNIT = r"[^0-9,.+−-]*?"
_RANGE = re.compile(rf"(?:between\s+)?({_NUMBER})\s*({_UNIT})\s*(?:-|–|to|and|\.\.)\s*({_NUMBER})\s*({_UNIT})", re.I)
_SINGLE = re.compile(rf"(about|around|ca\.?|approx\.?|~|≈)?\s*({_NUMBER})\s*({_UNIT})", re.I)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in the unit that was wanted; of a range the middle, with both ends. ``rough`` where it was said so."""

    value: float
    low: float
    high: float
    rough: bool

    @property
    def ranged(self) -> bool:
        """Whether it was given as a range."""
        return self.low != self.high


def quantity(text: str, unit: str | None) -> Quantity:
    """The quantity that a text gives, in ``unit``; NotANumber says what was found and what to do."""
    text = text.strip()
    if match := _RANGE.fullmatch(text):
        first, first_unit, second, second_unit = match.groups()
        numerals = Numerals([first, second])
        low = numerals.number(first) * _factor(first_unit or second_unit, unit)
        high = numerals.number(second) * _factor(second_unit or first_unit, unit)
        if low > high:
            raise NotANumber(f"a range from {first} down to {second}", "give the lower end first")
        return Quantity((low + high) / 2, low, high, rough=False)
    if match := _SINGLE.fullmatch(text):
        rough, number, given = match.groups()
        value = Numerals([number]).number(number) * _factor(given, unit)
        return Quantity(value, value, value, rough=bool(rough))
    raise NotANumber(shown(text), f"give a number{f' of {unit}' if unit else ''}, such as 300 or 300-450")


def _factor(given: str, unit: str | None) -> float:
    name = given.strip().lower().rstrip(".")
    if name in ("", (unit or "").lower()):
        return 1.0
    factors = _FACTORS.get(unit or "", {})
    if name in factors:
        return factors[name]
    if unit in ("°C", "C") and name in ("f", "°f"):
        raise NotANumber("degrees Fahrenheit", "give degrees Celsius")
    raise NotANumber(f"the unit {given.strip()!r}", f"use {', '.join(factors) if factors else unit or 'no unit'}")
