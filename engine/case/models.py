"""The case format, version 1: what was seen, measured and told, and nothing that was concluded from it.

Lengths are in millimetres [mm], temperatures in degrees Celsius [°C], humidities in percent relative humidity [%],
masses in grams [g]. Every quantity is bounded; a value outside its range is refused with its range, never clipped.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from engine.case.base import Model
from engine.case.disclosure import Disclosure
from engine.case.keys import Key
from engine.case.quantities import (
    Address,
    Celsius,
    Comment,
    Day,
    Depth,
    Digest,
    FileName,
    Grams,
    Heading,
    Humidity,
    Id,
    Identifier,
    Label,
    Length,
    Millimetres,
    Percent,
    Person,
    Remark,
    Scale,
    SigningDay,
)
from engine.case.words import (
    Basis,
    FeatureKind,
    InstrumentMode,
    IonBand,
    IonName,
    ScaleKind,
    SurenessWord,
    SurfaceKind,
)


class Fact(Model):
    """One observation: the value of an attribute of the vocabulary, and on what it rests.

    ``value`` is a word of the attribute's vocabulary, a number in its unit, or one of ``unknown``,
    ``not-applicable``, ``not-inspected``. A missing fact means the same as ``unknown``; neither is *no*.
    """

    attribute: Id
    value: Id | float
    basis: Basis
    sureness: SurenessWord = "certain"
    visit: Id | None = None
    by: Person | None = None
    note: Remark | None = None
    private: bool = False


class ReferenceCheck(Model):
    """One check of an instrument against a known reference, on the instrument's own scale."""

    expected: Scale
    tolerance: Scale
    result: Scale
    when: Literal["before", "after"] = "before"

    @property
    def passed(self) -> bool:
        """Whether the result lies within the tolerance of the expected reading."""
        return abs(self.result - self.expected) <= self.tolerance


class Instrument(Model):
    """One mode of one instrument as used on a visit; a meter with two modes is listed twice.

    ``full_scale`` is the top of a relative scale. Readings on masonry are relative on any scale.
    """

    id: Id
    mode: InstrumentMode
    scale: ScaleKind
    full_scale: Annotated[float, Field(gt=0, le=10_000)] | None = None
    tolerance: Scale | None = None
    calibrated_on: Day | None = None
    serial: Identifier | None = None
    checks: tuple[ReferenceCheck, ...] = ()
    note: Remark | None = None


class Outside(Model):
    """Outside air during a visit [°C], [%]."""

    temperature_c: Celsius
    humidity_percent: Humidity | None = None


class Visit(Model):
    """One visit: day, person, weather (as facts), outside air, and the instruments used."""

    id: Id
    on: Day
    by: Person | None = None
    outside: Outside | None = None
    instruments: Annotated[tuple[Instrument, ...], Field(max_length=50)] = ()
    facts: Annotated[tuple[Fact, ...], Field(max_length=1_000)] = ()
    note: Comment | None = None


class Zone(Model):
    """A rectangle of a surface that is of another material than the rest [mm]."""

    id: Id
    material: Id
    x_mm: Millimetres
    y_mm: Millimetres
    to_x_mm: Millimetres
    to_y_mm: Millimetres


class Feature(Model):
    """A thing on, in or behind a surface: a rectangle between two corners, or a line between two ends [mm]."""

    id: Id
    kind: FeatureKind
    shape: Literal["rectangle", "line"] = "rectangle"
    x_mm: Millimetres
    y_mm: Millimetres
    to_x_mm: Millimetres
    to_y_mm: Millimetres
    note: Remark | None = None


class Reading(Model):
    """One place pressed with an electrical meter; ``repeats`` are further presses at the same place.

    ``x_mm`` runs right and ``y_mm`` up from the bottom left of the surface as viewed; ``depth_mm`` is the
    depth of the pin tips below the surface. ``value`` and ``repeats`` are on the instrument's own scale.
    """

    x_mm: Millimetres
    y_mm: Millimetres
    instrument: Id
    value: Scale
    repeats: Annotated[tuple[Scale, ...], Field(max_length=20)] = ()
    depth_mm: Depth = 0.0
    visit: Id | None = None
    material: Id | None = None
    note: Remark | None = None


class DryReference(Model):
    """Readings on a known-dry place of the same material with the same instrument."""

    instrument: Id
    material: Id
    value: Scale
    repeats: Annotated[tuple[Scale, ...], Field(max_length=20)] = ()
    visit: Id | None = None
    place: Label | None = None


class Surface(Model):
    """A wall, floor, ceiling or reveal, seen from the room, with its own coordinates [mm]."""

    id: Id
    kind: SurfaceKind
    title: Label | None = None
    width_mm: Length
    height_mm: Length
    material: Id
    zones: Annotated[tuple[Zone, ...], Field(max_length=200)] = ()
    features: Annotated[tuple[Feature, ...], Field(max_length=200)] = ()
    readings: Annotated[tuple[Reading, ...], Field(max_length=20_000)] = ()
    dry_references: Annotated[tuple[DryReference, ...], Field(max_length=200)] = ()
    facts: Annotated[tuple[Fact, ...], Field(max_length=1_000)] = ()
    note: Comment | None = None


class AirReading(Model):
    """Room air [°C], [%]: a spot value (a snapshot) or a mean over ``days``."""

    temperature_c: Celsius
    humidity_percent: Humidity
    kind: Literal["spot", "mean"] = "spot"
    days: Annotated[float, Field(gt=0, le=3_660)] | None = None
    instrument: Id | None = None
    visit: Id | None = None
    place: Label | None = None


class SurfaceTemperature(Model):
    """Surface temperature at a place [°C]; ``tolerance_k`` is the thermometer's [K]."""

    temperature_c: Celsius
    surface: Id | None = None
    x_mm: Millimetres | None = None
    y_mm: Millimetres | None = None
    tolerance_k: Annotated[float, Field(ge=0, le=10)] | None = None
    instrument: Id | None = None
    visit: Id | None = None
    place: Label | None = None


class Ion(Model):
    """One ion in a sample: a field-strip band, or mass percent of the dry sample."""

    name: IonName
    band: IonBand | None = None
    mass_percent: Percent | None = None


class Sample(Model):
    """A drilled sample: its masses as found, at 75 % relative humidity and oven-dry [g], its ions."""

    id: Id
    surface: Id | None = None
    x_mm: Millimetres | None = None
    y_mm: Millimetres | None = None
    depth_from_mm: Depth | None = None
    depth_to_mm: Depth | None = None
    material: Id | None = None
    wet_g: Grams | None = None
    conditioned_g: Grams | None = None
    dry_g: Grams | None = None
    carbide_percent: Percent | None = None
    ions: Annotated[tuple[Ion, ...], Field(max_length=8)] = ()
    visit: Id | None = None
    note: Remark | None = None


class TimberReading(Model):
    """A moisture reading in timber on a wood scale [%], with the timber's own temperature [°C]."""

    id: Id
    item: Id
    instrument: Id
    value: Scale
    repeats: Annotated[tuple[Scale, ...], Field(max_length=20)] = ()
    temperature_c: Celsius | None = None
    species: Id | None = None
    depth_mm: Depth | None = None
    surface: Id | None = None
    x_mm: Millimetres | None = None
    y_mm: Millimetres | None = None
    visit: Id | None = None
    note: Remark | None = None


class Logger(Model):
    """A logger's series in a file beside the case (a path inside the case's own folder)."""

    id: Id
    kind: Literal["room-air", "outside-air", "surface", "void-air", "rain", "timber"]
    file: FileName
    sha256: Digest | None = None
    date_order: Literal["year-first", "day-first", "month-first"] | None = None
    surface: Id | None = None
    place: Label | None = None


class NotInspected(Model):
    """Something that was not inspected or tested, and why; ``attributes`` stay unknown because of it."""

    what: Label
    why: Label
    attributes: Annotated[tuple[Id, ...], Field(max_length=200)] = ()


class Photograph(Model):
    """A photograph by reference: a path inside the case's own folder, a caption, a digest of the file.

    ``alt`` says in words what is to be seen, for readers who do not see it; ``private`` keeps it out of exports.
    """

    file: FileName
    caption: Label
    alt: Label | None = None
    private: bool = False
    sha256: Digest | None = None
    surface: Id | None = None
    visit: Id | None = None


class OpinionThen(Model):
    """What the engine's opinion was when a conclusion was recorded, and the digest of the rules that gave it."""

    determined: bool
    leading: Annotated[tuple[Id, ...], Field(max_length=50)] = ()
    rulebook: Digest


class Conclusion(Model):
    """The inspector's own conclusion on an area, kept apart from the engine's, and the sign-off.

    ``blind`` says that it was recorded before the engine's opinion was shown; no cause then means no active damp.
    """

    causes: Annotated[tuple[Id, ...], Field(max_length=20)] = ()
    sureness: SurenessWord | None = None
    blind: bool = False
    opinion: OpinionThen | None = None
    statement: Comment | None = None
    reason_for_difference: Comment | None = None
    signed_by: Person | None = None
    signed_on: SigningDay | None = None


class Area(Model):
    """One damp place under question; it shares the dwelling's facts and gets an opinion of its own."""

    id: Id
    title: Label
    facts: Annotated[tuple[Fact, ...], Field(max_length=1_000)] = ()
    surfaces: Annotated[tuple[Surface, ...], Field(max_length=100)] = ()
    air: Annotated[tuple[AirReading, ...], Field(max_length=1_000)] = ()
    surface_temperatures: Annotated[tuple[SurfaceTemperature, ...], Field(max_length=1_000)] = ()
    samples: Annotated[tuple[Sample, ...], Field(max_length=500)] = ()
    timber: Annotated[tuple[TimberReading, ...], Field(max_length=500)] = ()
    loggers: Annotated[tuple[Logger, ...], Field(max_length=50)] = ()
    photographs: Annotated[tuple[Photograph, ...], Field(max_length=500)] = ()
    not_inspected: Annotated[tuple[NotInspected, ...], Field(max_length=200)] = ()
    conclusion: Annotated[Conclusion | None, Disclosure(verdict=True)] = None
    note: Comment | None = None


class Dwelling(Model):
    """What holds for the whole building: age, walls, floor, exposure, heating, history, as facts."""

    title: Label
    address: Address | None = None
    facts: Annotated[tuple[Fact, ...], Field(max_length=1_000)] = ()
    not_inspected: Annotated[tuple[NotInspected, ...], Field(max_length=200)] = ()
    note: Comment | None = None


class Commission(Model):
    """Who asked, what for, who inspected, when it was reported and seen to: a report names it, nothing weighs it."""

    client: Person | None = None
    brief: Remark | None = None
    inspector: Person | None = None
    qualifications: Identifier | None = None
    interests: Remark | None = None
    reported_on: Day | None = None
    investigation_finished_on: Day | None = None


def _whole_number(value: object) -> object:
    if isinstance(value, (bool, float)):
        raise ValueError("not a whole number")
    return value


class Case(Model):
    """One dwelling, its visits and its damp areas.

    ``weighed_with`` is the digest of the rule base that the case is pinned to, with which it can be replayed.
    """

    format: Annotated[Literal[1], BeforeValidator(_whole_number)]
    id: Id
    title: Heading
    invented: bool = False
    note: Comment | None = None
    commission: Commission | None = None
    dwelling: Dwelling
    visits: Annotated[tuple[Visit, ...], Field(min_length=1, max_length=100)]
    areas: Annotated[tuple[Area, ...], Field(min_length=1, max_length=100)]
    weighed_with: Digest | None = None
    key: Annotated[Key | None, Disclosure(verdict=True)] = None
