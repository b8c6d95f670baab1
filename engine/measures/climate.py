"""Climate of an area as facts: room air, vapour load, surfaces against the dew point, temperature factor.

What was read at one moment is a snapshot and its facts are fairly sure at best; means over days and loggers are
logged. Where a logger settles a matter, the snapshot of it is kept for the views and gives no fact.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine.case.models import Area, Case, SurfaceTemperature
from engine.inference.facts import Fact, Sureness, Value
from engine.measures.climate_logged import (
    LoggedRoom,
    LoggedSurface,
    logged_rain_response,
    logged_room,
    logged_surfaces,
    logged_void,
)
from engine.measures.humidity_load import VapourExcess, humidity_class, vapour_excess
from engine.measures.loggers import NO_LOGGERS, Loggers
from engine.measures.psychrometrics import surface_humidity, vapour_pressure
from engine.measures.room_air import RoomAir, VisitClimate, Voided, dew_point_or_none
from engine.measures.series import RainResponse
from engine.measures.temperature_factor import TemperatureFactor, temperature_factor


@dataclass(frozen=True, slots=True)
class SurfaceSnapshot:
    """The coldest surface of a visit against the air of that visit; temperatures °C, margin K, humidity %."""

    visit: str
    place: str
    surface_c: float
    air: RoomAir
    dew_point_c: float | None
    margin_k: float | None
    humidity_percent: float
    outside_c: float | None
    factor: TemperatureFactor | None


@dataclass(frozen=True, slots=True)
class ClimateFacts:
    """Facts, doubts and limits of the climate, with what the views show of it."""

    facts: tuple[Fact, ...]
    doubts: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]
    room: RoomAir | LoggedRoom | None
    snapshot: SurfaceSnapshot | None
    surfaces: tuple[LoggedSurface, ...]
    rain: RainResponse | None


def climate_facts(
    case: Case,
    area: Area,
    parameters: Mapping[str, float],
    voided: Voided = frozenset(),
    loggers: Loggers = NO_LOGGERS,
) -> ClimateFacts:
    """Climate of an area; readings of voided (visit, instrument) pairs do not count.

    ``loggers`` are the area's series (`engine.measures.loggers.read_loggers`). Facts are declared in
    rulesets/measures/climate.yaml, thresholds in rulesets/parameters/climate.yaml.
    """
    visits = VisitClimate(case, area, voided)
    room = logged_room(loggers, parameters) or visits.room()
    snapshot = _snapshot(visits, parameters)
    surfaces = logged_surfaces(loggers, parameters)
    rain = logged_rain_response(loggers, parameters)
    limits: list[tuple[str, str]] = [*loggers.limits]
    doubts: list[str] = [*loggers.doubts, *visits.doubts(parameters)]
    facts = [*_room_facts(room), *_load_facts(room, parameters, doubts, limits)]
    if surfaces:
        facts += _logged_surface_facts(surfaces, parameters)
    elif snapshot is not None:
        facts += _snapshot_facts(snapshot, parameters, doubts, limits)
    facts += _verdict_facts("room-humidity", room.highest_means if isinstance(room, LoggedRoom) else (), parameters)
    void = logged_void(loggers, parameters)
    if void is not None:
        facts.append(_fact("void-humidity-percent", void[1], origin="logger in the void"))
    facts += _rain_facts(rain, parameters)
    return ClimateFacts(
        tuple(sorted(facts, key=lambda fact: fact.attribute)),
        tuple(dict.fromkeys(doubts)),
        tuple(dict.fromkeys(limits)),
        room,
        snapshot,
        surfaces,
        rain,
    )


def _fact(attribute: str, value: Value, *, snapshot: bool = False, origin: str = "") -> Fact:
    return Fact(attribute, value, Sureness.FAIRLY_SURE if snapshot else Sureness.CERTAIN, origin=origin)


def _origin(room: RoomAir | LoggedRoom) -> str:
    if isinstance(room, LoggedRoom):
        return f"logger {room.logger}, {room.days:.0f} days"
    return f"visit {room.visit.id}, {'read at one moment' if room.kind == 'spot' else 'mean over days'}"


def _room_facts(room: RoomAir | LoggedRoom | None) -> Iterator[Fact]:
    if room is None:
        return
    spot = isinstance(room, RoomAir) and room.kind == "spot"
    origin = _origin(room)
    yield _fact("room-temperature-c", room.temperature_c, snapshot=spot, origin=origin)
    yield _fact("room-humidity-percent", room.humidity_percent, snapshot=spot, origin=origin)
    yield _fact("room-humidity-kind", "spot" if spot else "mean", origin=origin)


def _load_facts(
    room: RoomAir | LoggedRoom | None,
    parameters: Mapping[str, float],
    doubts: list[str],
    limits: list[tuple[str, str]],
) -> Iterator[Fact]:
    """Vapour excess and class, on the same footing as the room air: both logged, or both of the same visit."""
    if room is None:
        return
    excess: VapourExcess | None
    outside_c: float | None
    if isinstance(room, LoggedRoom):
        excess, outside_c, why = room.excess, room.outside_c, "outside air was not logged over the same time"
    else:
        outside = room.visit.outside
        excess, outside_c, why = None, None, f"outside humidity was not taken on visit {room.visit.id}"
        if outside is not None and outside.humidity_percent is not None:
            outside_c = outside.temperature_c
            excess = vapour_excess(room.temperature_c, room.humidity_percent, outside_c, outside.humidity_percent)
            if room.kind == "mean":
                doubts.append("vapour excess: a mean over days inside is set against one moment outside")
    if excess is None or outside_c is None:
        limits.append(("vapour excess", why))
        return
    moment = isinstance(room, RoomAir)
    origin = _origin(room)
    yield _fact("vapour-excess-pa", excess.pascal, snapshot=moment, origin=origin)
    yield _fact("vapour-excess-g-m3", excess.grams_per_m3, snapshot=moment, origin=origin)
    number = humidity_class(excess.pascal, outside_c, [parameters[f"humidity-class-{k}-limit"] for k in (1, 2, 3, 4)])
    if number is None:
        limits.append(("humidity class", "no class is defined from 20 °C outside"))
        return
    yield _fact("humidity-class", f"class-{number}", snapshot=moment, origin=origin)


def _snapshot(visits: VisitClimate, parameters: Mapping[str, float]) -> SurfaceSnapshot | None:
    """The coldest surface of the latest visit that has both a surface temperature and room air."""
    for visit in visits.latest():
        coldest, air = visits.coldest(visit), visits.spot(visit) or visits.mean(visit)
        if coldest is None or air is None:
            continue
        dew = dew_point_or_none(air)
        outside_c = visit.outside.temperature_c if visit.outside else None
        return SurfaceSnapshot(
            visit=visit.id,
            place=coldest.place or coldest.surface or "",
            surface_c=coldest.temperature_c,
            air=air,
            dew_point_c=dew,
            margin_k=None if dew is None else coldest.temperature_c - dew,
            humidity_percent=surface_humidity(
                vapour_pressure(air.temperature_c, air.humidity_percent), coldest.temperature_c
            ),
            outside_c=outside_c,
            factor=_spot_factor(visits, coldest, air, outside_c, parameters),
        )
    return None


def _spot_factor(
    visits: VisitClimate, coldest: SurfaceTemperature, air: RoomAir, outside_c: float | None, p: Mapping[str, float]
) -> TemperatureFactor | None:
    if outside_c is None or air.temperature_c - outside_c < p["temperature-factor-least-difference"]:
        return None
    return temperature_factor(
        coldest.temperature_c,
        air.temperature_c,
        outside_c,
        surface_tolerance_k=visits.tolerance(coldest, air.visit, p["surface-thermometer-tolerance"]),
        inside_tolerance_k=p["air-thermometer-tolerance"],
        outside_tolerance_k=p["air-thermometer-tolerance"],
    )


def _snapshot_facts(
    snapshot: SurfaceSnapshot, parameters: Mapping[str, float], doubts: list[str], limits: list[tuple[str, str]]
) -> Iterator[Fact]:
    origin = f"visit {snapshot.visit}, read at one moment"
    if snapshot.margin_k is not None:
        yield _fact("dew-point-margin-k", snapshot.margin_k, snapshot=True, origin=origin)
    yield _fact("surface-humidity-percent", snapshot.humidity_percent, snapshot=True, origin=origin)
    yield _fact("surface-climate-kind", "snapshot", origin=origin)
    if snapshot.factor is not None:
        yield from _factor_facts(snapshot.factor, parameters, origin, snapshot=True)
        if not -0.1 <= snapshot.factor.value <= 1.1:
            doubts.append(
                f"temperature factor: the surface at {snapshot.surface_c:g} °C lies outside the span from outside air "
                f"to room air, which heat flow through a wall cannot give"
            )
        return
    if snapshot.outside_c is None:
        limits.append(("temperature factor", f"outside temperature was not taken on visit {snapshot.visit}"))
        return
    difference = snapshot.air.temperature_c - snapshot.outside_c
    least = parameters["temperature-factor-least-difference"]
    limits.append(
        ("temperature factor", f"inside was {difference:.1f} K warmer than outside; it needs {least:g} K or more")
    )


def _logged_surface_facts(surfaces: tuple[LoggedSurface, ...], parameters: Mapping[str, float]) -> Iterator[Fact]:
    """Of several surfaces, the worst for each fact."""

    def worst(attribute: str, value: Value, one: LoggedSurface) -> Fact:
        return _fact(attribute, value, origin=f"logger {one.logger}, {one.days:.0f} days")

    closest = min(surfaces, key=lambda one: one.margin_k)
    dampest = max(surfaces, key=lambda one: one.humidity_percent)
    yield worst("dew-point-margin-k", closest.margin_k, closest)
    yield worst("surface-humidity-percent", dampest.humidity_percent, dampest)
    yield worst("surface-climate-kind", "logged", dampest)
    longest = max(surfaces, key=lambda one: one.share_above_limit)
    yield worst("humidity-above-limit-share", longest.share_above_limit, longest)
    wettest = max(surfaces, key=lambda one: (one.dew_share, one.dew_spells))
    yield worst("dew-hours-share", wettest.dew_share, wettest)
    yield worst("dew-events", float(wettest.dew_spells), wettest)
    index = max((one.mould_index for one in surfaces if one.mould_index is not None), default=None)
    if index is not None:
        yield worst("mould-index", index, next(one for one in surfaces if one.mould_index == index))
    highest = {
        name: max(dict(one.highest_means).get(name, 0.0) for one in surfaces) for name in ("day", "week", "month")
    }
    yield from _verdict_facts("surface-humidity", tuple((n, mean) for n, mean in highest.items() if mean), parameters)
    factors = [(one.factor, one) for one in surfaces if one.factor is not None]
    if factors:
        factor, coldest = min(factors, key=lambda pair: pair[0].value)
        yield from _factor_facts(factor, parameters, f"logger {coldest.logger}, {coldest.days:.0f} days")


def _factor_facts(
    factor: TemperatureFactor, parameters: Mapping[str, float], origin: str, *, snapshot: bool = False
) -> Iterator[Fact]:
    yield _fact("temperature-factor", factor.value, snapshot=snapshot, origin=origin)
    verdict = factor.verdict(parameters["temperature-factor-limit"])
    yield _fact("temperature-factor-verdict", verdict, snapshot=snapshot, origin=origin)


def _verdict_facts(
    name: str, highest: tuple[tuple[str, float], ...], parameters: Mapping[str, float]
) -> Iterator[Fact]:
    """Above when any running mean passes its limit; within needs the means of a week at least."""
    above = any(mean > parameters[f"{name}-{window}-limit"] for window, mean in highest)
    if above or "week" in dict(highest):
        yield _fact(f"{name}-verdict", "above" if above else "within", origin="running means of the loggers")


def _rain_facts(rain: RainResponse | None, parameters: Mapping[str, float]) -> Iterator[Fact]:
    if rain is None:
        return
    origin = f"loggers, {rain.days} days compared"
    yield _fact("rain-correlation", rain.correlation, origin=origin)
    limit = parameters["rain-correlation-limit"]
    if rain.correlation >= limit and rain.correlation > rain.by_chance_below:
        yield _fact("rain-response", "follows", origin=origin)
        yield _fact("rain-lag-days", float(rain.lag_days), origin=origin)
    elif rain.upper < limit:
        yield _fact("rain-response", "no-response", origin=origin)
