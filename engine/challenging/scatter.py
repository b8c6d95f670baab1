"""How far two files' readings of one thing may differ by noise alone.

The noise of presses is learned from each file's own repeats, by instrument (`engine.measures.noise`); that of other
instruments is what they state as tolerance, taken as two standard deviations, or else a parameter of the rule base.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import NormalDist, median

from engine.case.models import AirReading, Area, Case, DryReference, Instrument, Reading, Sample, SurfaceTemperature
from engine.case.models import TimberReading as Timber
from engine.measures.gathering import gather_places
from engine.measures.noise import median_gain, press_spread

CHANCE = 0.05
"""How often noise alone would be taken for a difference."""
Entry = Reading | DryReference | AirReading | SurfaceTemperature | Timber | Sample


class Scatter:
    """The standard deviations of one file's readings in one area, each on the reading's own scale."""

    def __init__(self, case: Case, area: Area, parameters: Mapping[str, float]) -> None:
        self._case, self._parameters = case, parameters
        places = gather_places(case, area, parameters).history
        self._learned = {
            name: press_spread((place for place in places if place.instrument == name), parameters)
            for name in {place.instrument for place in places}
        }

    def instrument(self, entry: Entry) -> Instrument | None:
        """The instrument that an entry names, on its visit."""
        visits = [visit for visit in self._case.visits if entry.visit in (None, visit.id)]
        named = getattr(entry, "instrument", None)
        return next((tool for visit in visits for tool in visit.instruments if tool.id == named), None)

    def of(self, entry: Entry) -> dict[str, tuple[float, float]]:
        """Each quantity of an entry: its value and its standard deviation."""
        number, tool = self._parameters, self.instrument(entry)
        stated = tool.tolerance / 2 if tool is not None and tool.tolerance is not None else None
        match entry:
            case Reading() | DryReference():
                share = self._learned.get(entry.instrument, number["press-spread"])
                return {"value": _pressed(entry, share, stated or 0.0)}
            case Timber():
                found = {"value": _pressed(entry, number["press-spread-least"], stated or 0.0)}
                if entry.temperature_c is not None:
                    found["temperature"] = entry.temperature_c, number["temperature-noise-k"]
                return found
            case AirReading():
                humidity = number["humidity-noise-percent"] if stated is None else stated
                return {
                    "humidity": (entry.humidity_percent, humidity),
                    "temperature": (entry.temperature_c, number["temperature-noise-k"]),
                }
            case SurfaceTemperature():
                own = number["temperature-noise-k"] if entry.tolerance_k is None else entry.tolerance_k / 2
                return {"temperature": (entry.temperature_c, own)}
            case Sample():
                return dict(_moistures(entry, number["balance-noise-g"]))


def value_of(entry: Reading | DryReference | Timber) -> float:
    """The median of an entry's presses, on the instrument's scale."""
    return median((entry.value, *entry.repeats))


def _pressed(entry: Reading | DryReference | Timber, share: float, stated: float) -> tuple[float, float]:
    value = value_of(entry)
    return value, math.hypot(share * value / math.sqrt(median_gain(1 + len(entry.repeats))), stated)


def _moistures(sample: Sample, balance: float) -> Iterator[tuple[str, tuple[float, float]]]:
    """Moisture as found and at 75 % relative humidity [% of dry mass] with the error that weighing puts into it."""
    if sample.dry_g:
        for name in ("wet_g", "conditioned_g"):
            mass = getattr(sample, name)
            if mass is not None:
                ratio = mass / sample.dry_g
                yield name, (100 * (ratio - 1), 100 * balance * math.hypot(1, ratio) / sample.dry_g)


def deviations(one: Entry, other: Entry, scatters: tuple[Scatter, Scatter]) -> list[float]:
    """The differences of two entries in standard deviations, quantity by quantity; infinite where only one has it."""
    first, second = scatters[0].of(one), scatters[1].of(other)
    found = []
    for name in sorted({*first, *second}):
        if name in first and name in second:
            (value, spread), (twin, scatter) = first[name], second[name]
            both = math.hypot(spread, scatter)
            found.append(abs(value - twin) / both if both else math.inf if value != twin else 0.0)
        else:
            found.append(math.inf)
    return found


def single_limit(count: int) -> float:
    """Standard deviations beyond which one of ``count`` differences is more than noise: one time in twenty by chance.

    By Bonferroni's bound, for one or more.
    """
    return NormalDist().inv_cdf(1 - CHANCE / (2 * count))


def beyond_noise(found: Sequence[float]) -> bool:
    """Whether differences [standard deviations] are together larger than noise alone makes them, once in twenty.

    Their sum of squares against the chi-square distribution, by the approximation of E. B. Wilson and M. M. Hilferty
    (1931, from memory): within 3 % of its 95 % point.
    """
    count = len(found)
    if not count:
        return False
    part = 2 / (9 * count)
    limit = count * (1 - part + NormalDist().inv_cdf(1 - CHANCE) * math.sqrt(part)) ** 3
    return sum(deviation * deviation for deviation in found) > limit
