"""What else was measured in a practice case: air, surface temperatures, samples, timber, loggers."""

from __future__ import annotations

from engine.case.models import Sample
from engine.practising.exercise import Exercise
from engine.practising.measuring import Measured
from engine.practising.pieces import AIR, LOGGER, SAMPLE, SURFACE_TEMPERATURE, TIMBER, Piece, seen_case
from engine.rulebook import Rulebook


def air(exercise: Exercise) -> Measured:
    """The air of the room and, where it was taken, of outside."""
    lines = []
    for one in exercise.area.air:
        day = f" ({exercise.day(one.visit)})" if one.visit and len(exercise.case.visits) > 1 else ""
        kind = f", mean of {one.days:g} days" if one.kind == "mean" and one.days else ""
        place = f" at {one.place}" if one.place else ""
        lines.append(f"room air{place}: {one.temperature_c:g} °C, {one.humidity_percent:g} % humidity{kind}{day}")
    for visit in exercise.case.visits:
        if visit.outside is not None:
            humid = visit.outside.humidity_percent
            day = f" ({exercise.day(visit.id)})" if len(exercise.case.visits) > 1 else ""
            wet = f", {humid:g} % humidity" if humid is not None else ""
            lines.append(f"outside air: {visit.outside.temperature_c:g} °C{wet}{day}")
    return Measured("air", "meter", tuple(lines), ((AIR,),) if lines else ())


def surface_temperatures(exercise: Exercise) -> Measured:
    """The temperatures of surfaces, with where they were taken."""
    lines = []
    for one in exercise.area.surface_temperatures:
        day = f" ({exercise.day(one.visit)})" if one.visit and len(exercise.case.visits) > 1 else ""
        at = f"{one.x_mm:g} from the left, {one.y_mm:g} up" if one.x_mm is not None and one.y_mm is not None else ""
        where = ", ".join(part for part in (one.place or "", at) if part)
        exact = f" ± {one.tolerance_k:g} K" if one.tolerance_k else ""
        lines.append(f"{f'{where}: ' if where else ''}{one.temperature_c:g} °C{exact}{day}")
    return Measured("surface temperature", "meter", tuple(lines), ((SURFACE_TEMPERATURE,),) if lines else ())


def samples(exercise: Exercise) -> Measured:
    """Every drilled sample that was weighed, as percent of dry mass, and its ions."""
    taken = exercise.area.samples
    lines = tuple(_sample(exercise, one) for one in taken)
    return Measured("drilled samples, weighed", "laboratory", lines, tuple((SAMPLE, one.id) for one in taken))


def _sample(exercise: Exercise, one: Sample) -> str:
    from engine.measures.gravimetric import moisture_content

    where = f"{one.x_mm:g} from the left, {one.y_mm:g} up" if one.x_mm is not None and one.y_mm is not None else one.id
    deep = f", {one.depth_from_mm:g} to {one.depth_to_mm:g} deep" if one.depth_to_mm is not None else ""
    said = []
    if one.wet_g is not None and one.dry_g is not None:
        said.append(f"{moisture_content(one.wet_g, one.dry_g):.1f} % water as found")
    if one.conditioned_g is not None and one.dry_g is not None:
        said.append(f"{moisture_content(one.conditioned_g, one.dry_g):.1f} % at 75 % humidity")
    if one.carbide_percent is not None:
        said.append(f"{one.carbide_percent:g} % by the carbide bottle")
    said += [f"{ion.name} {ion.band or f'{ion.mass_percent:g} %'}" for ion in one.ions]
    day = f" ({exercise.day(one.visit)})" if one.visit and len(exercise.case.visits) > 1 else ""
    return f"{where}{deep}: {', '.join(said)}{day}{f'; {one.note}' if one.note else ''}"


def timber(exercise: Exercise, name: str) -> Measured:
    """Readings in timber; of all of it where no name is given."""
    words = name.lower().replace("-", " ")
    items = [one for one in exercise.area.timber if words in f"{one.item} {one.id}".replace("-", " ")]
    lines = []
    for one in items:
        warm = f" at {one.temperature_c:g} °C" if one.temperature_c is not None else ""
        day = f" ({exercise.day(one.visit)})" if one.visit and len(exercise.case.visits) > 1 else ""
        values = " ".join(f"{value:g}" for value in (one.value, *one.repeats))
        kind = f", {one.species.replace('-', ' ')}" if one.species else ""
        note = f"; {one.note}" if one.note else ""
        label = one.id if one.item in one.id else f"{one.item} {one.id}"
        lines.append(f"{label.replace('-', ' ')}{kind}: {values} % on the wood scale{warm}{day}{note}")
    return Measured("timber", "press", tuple(lines), tuple((TIMBER, one.id) for one in items), each=True)


def loggers(exercise: Exercise, rulebook: Rulebook) -> Measured:
    """What was logged, as the program reckons it: every figure that rests on the loggers' files."""
    placed = exercise.area.loggers
    if not placed:
        return Measured("loggers", "logging")
    lines = [f"{one.kind.replace('-', ' ')}{f', {one.place}' if one.place else ''}" for one in placed]
    pieces = tuple((LOGGER, one.id) for one in placed)
    lines += _reckoned(exercise, rulebook, pieces)
    return Measured("loggers", "logging", tuple(lines), pieces, each=True)


def _reckoned(exercise: Exercise, rulebook: Rulebook, pieces: tuple[Piece, ...]) -> list[str]:
    from engine.explaining.wording import value_words
    from engine.measures import measure

    found = []
    for known in (pieces, ()):
        case = seen_case(exercise.case, exercise.area, known)
        area = next(one for one in case.areas if one.id == exercise.area.id)
        found.append(measure(case, area, rulebook.numbers, frozenset(), exercise.folder).facts)
    before = {fact.attribute for fact in found[1]}
    return [
        f"{rulebook.title(fact.attribute)}: {value_words(rulebook, fact.attribute, fact.value)}"
        for fact in found[0]
        if fact.attribute not in before
    ]
