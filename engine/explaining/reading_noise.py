"""A case's readings moved by their own noise: what a second round with the same instruments might have shown.

Presses of a moisture meter scatter as their repeats show (`engine.measures.noise`). A hygrometer, a thermometer
and a balance may be off by their tolerance as a whole, so each instrument is moved once with all its readings; a
tolerance counts as two standard deviations. Logged series are left as they are: their noise averages out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

import numpy as np

from engine.case.models import AirReading, Area, Case, DryReference, Reading, Sample, Surface, TimberReading
from engine.measures.gathering import gather_places
from engine.measures.noise import press_spread

Pressed = TypeVar("Pressed", Reading, DryReference, TimberReading)


class ReadingNoise:
    """The noise of one area's readings; ``count`` is how many of them can be moved."""

    def __init__(
        self, case: Case, area: Area, parameters: Mapping[str, float], voided: frozenset[tuple[str, str]]
    ) -> None:
        self._case, self._area, self._parameters = case, area, parameters
        history = gather_places(case, area, parameters, voided).history
        instruments = {place.instrument for place in history}
        self._spreads = {
            name: press_spread((place for place in history if place.instrument == name), parameters)
            for name in instruments
        }
        self._tolerances = {i.id: i.tolerance for visit in case.visits for i in visit.instruments}
        weighed = [sample for sample in area.samples if sample.dry_g is not None]
        listed = (area.air, area.surface_temperatures, area.timber, weighed)
        self.count = sum(len(surface.readings) for surface in area.surfaces) + sum(len(items) for items in listed)

    def moved(self, dice: np.random.Generator) -> tuple[Case, Area]:
        """The case and the area with every reading moved once."""
        shift = _Shift(dice, self._tolerances)
        surfaces = tuple(self._surface(surface, dice) for surface in self._area.surfaces)
        least = self._parameters["press-spread-least"]
        area = self._area.model_copy(
            update={
                "surfaces": surfaces,
                "air": tuple(self._air(reading, shift) for reading in self._area.air),
                "surface_temperatures": tuple(
                    reading.model_copy(
                        update={
                            "temperature_c": reading.temperature_c
                            + shift.of(reading.instrument, "temperature", self._kelvin(reading.tolerance_k))
                        }
                    )
                    for reading in self._area.surface_temperatures
                ),
                "timber": tuple(_pressed(reading, least, dice) for reading in self._area.timber),
                "samples": tuple(self._sample(sample, dice) for sample in self._area.samples),
            }
        )
        areas = tuple(area if other.id == area.id else other for other in self._case.areas)
        return self._case.model_copy(update={"areas": areas}), area

    def _kelvin(self, tolerance: float | None) -> float:
        return self._parameters["temperature-noise-k"] if tolerance is None else tolerance / 2

    def _surface(self, surface: Surface, dice: np.random.Generator) -> Surface:
        default = self._parameters["press-spread"]

        def moved(items: Iterable[Pressed]) -> tuple[Pressed, ...]:
            return tuple(_pressed(item, self._spreads.get(item.instrument, default), dice) for item in items)

        return surface.model_copy(
            update={"readings": moved(surface.readings), "dry_references": moved(surface.dry_references)}
        )

    def _air(self, reading: AirReading, shift: _Shift) -> AirReading:
        humidity = shift.of(reading.instrument, "humidity", self._parameters["humidity-noise-percent"])
        temperature = shift.of(None, f"air {reading.instrument}", self._parameters["temperature-noise-k"])
        return reading.model_copy(
            update={
                "humidity_percent": min(max(reading.humidity_percent + humidity, 1.0), 100.0),
                "temperature_c": reading.temperature_c + temperature,
            }
        )

    def _sample(self, sample: Sample, dice: np.random.Generator) -> Sample:
        masses = {name: getattr(sample, name) for name in ("wet_g", "conditioned_g", "dry_g")}
        spread = self._parameters["balance-noise-g"]
        moved = {name: max(mass + spread * dice.normal(), 0.001) for name, mass in masses.items() if mass is not None}
        for heavier in ("wet_g", "conditioned_g"):
            if heavier in moved and "dry_g" in moved:
                moved[heavier] = max(moved[heavier], moved["dry_g"])
        return sample.model_copy(update=moved)


class _Shift:
    """By how much each instrument is off in one draw: the same for all its readings."""

    def __init__(self, dice: np.random.Generator, tolerances: Mapping[str, float | None]) -> None:
        self._dice, self._tolerances = dice, tolerances
        self._drawn: dict[tuple[str | None, str], float] = {}

    def of(self, instrument: str | None, quantity: str, otherwise: float) -> float:
        key = (instrument, quantity)
        if key not in self._drawn:
            stated = self._tolerances.get(instrument) if instrument else None
            spread = otherwise if stated is None or quantity == "temperature" else stated / 2
            self._drawn[key] = float(spread * self._dice.normal())
        return self._drawn[key]


def _pressed(item: Pressed, spread: float, dice: np.random.Generator) -> Pressed:
    def press(value: float) -> float:
        return max(float(value * (1 + spread * dice.normal())), 0.0)

    return item.model_copy(update={"value": press(item.value), "repeats": tuple(press(v) for v in item.repeats)})
