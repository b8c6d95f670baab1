"""What is measured in a made-up case: the wall's readings, air and surfaces, drilled samples, timber.

All of it is made from the causes. Where physics leaves room, many parts are tried and the one is taken whose
findings, by the rules, are most as the network drew them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import count, islice
from typing import TypeVar

import numpy as np

from engine.case.models import (
    Area,
    Case,
    Dwelling,
    Fact,
    Instrument,
    Logger,
    NotInspected,
    Sample,
    TimberReading,
    Visit,
)
from engine.case.words import IonName
from engine.inference.facts import Fact as Known
from engine.inference.facts import Facts
from engine.measures.climate import climate_facts
from engine.measures.samples import sample_facts
from engine.measures.timber import timber_facts
from engine.synthesis.climates import Climate, climates, draw_day
from engine.synthesis.columns import IONS, columns, timbers, with_ions
from engine.synthesis.fields import ReadWall, check_of, read_wall
from engine.synthesis.ranges import Draw
from engine.synthesis.series import Columns, as_file, logged_climate, logged_void
from engine.synthesis.setting import Questionnaire
from engine.synthesis.walls import VISIT, building_of

AREA = "area"
LABEL = "Synthetic: made by the program, no real house."
METER_CHECK = "meter-fails-check"
"""The question whose answer the recorded checks of the meters must agree with."""

VOID_HUMIDITY = "void-humidity-percent"
"""The fact that a logger in a void gives."""

SEASONS = {12: "winter", 1: "winter", 2: "winter", 3: "spring"}
TIMBER = "skirting-at-the-damp"
WRONG_COUNTS = 3
"""How many findings that come out as drawn make up for one that does not, in the choice of a part."""

Part = TypeVar("Part")


class Survey:
    """The measured part of one case.

    ``random`` gives each of its parts a stream of its own by name; ``known`` are the facts of the setting, ``causes``
    those at work, ``drawn`` the findings that the parts should suit.
    """

    def __init__(
        self,
        book: Questionnaire,
        random: Mapping[str, np.random.Generator],
        known: Facts,
        causes: frozenset[str],
        drawn: Mapping[str, str],
    ) -> None:
        self._book, self._random = book, random
        self._known, self._causes, self._drawn = known, causes, drawn
        self._numbers = book.rulebook.numbers
        self._with_samples = self._recorded("samples", "laboratory")
        self._with_deep_pins = self._recorded("wall", "open-up")
        self._with_mean_air = self._recorded("air", "meter")
        self._day = draw_day(random["air"])

    def case(self, name: str, log_folder: str | None = None) -> tuple[Case, dict[str, bytes]]:
        """The case with everything that is measured and no answer yet but the season, and its loggers' files.

        Without a ``log_folder`` for these nothing is logged; all else is the same.
        """
        fields = self._fields()
        building, rise_mm = building_of(Draw(self._random["building"]))
        climate = self._climate(frozenset(fields))
        on_wall = Draw(self._random["wall"], fixed={**climate.fixed(), **self._on_the_wall()})
        wall = read_wall(on_wall, building, rise_mm, fields, "the damp wall", deep=self._with_deep_pins)
        samples = self._samples(wall, climate) if self._with_samples else ()
        visit = self._visit(climate, self._instruments(wall))
        loggers, files = self._logged(climate, log_folder) if log_folder is not None else ((), {})
        area = Area(
            id=AREA,
            title="Room with the damp wall",
            surfaces=(wall.surface,),
            air=climate.air(),
            surface_temperatures=climate.surfaces(),
            samples=samples,
            timber=(self._timber(visit, climate),),
            loggers=loggers,
            not_inspected=self._not_done(),
        )
        return _case(name, visit, area), files

    def _recorded(self, stream: str, effort: str) -> bool:
        return bool(self._random[stream].random() < self._numbers[f"recorded-{effort}"])

    def _fields(self) -> tuple[str, ...]:
        """A field for every cause that shows on the wall, by how often it does so in that way."""
        rulebook, random = self._book.rulebook, self._random["building"]
        found = []
        for cause in sorted(self._causes):
            shares = {f: rulebook.word("frequency", word) for f, word in rulebook.causes[cause].on_walls.items()}
            if shares:
                weights = np.array(list(shares.values()))
                found.append(list(shares)[int(random.choice(len(shares), p=weights / weights.sum()))])
        return tuple(dict.fromkeys(found))

    def _on_the_wall(self) -> dict[str, float]:
        """What walls of whole cases have narrower than others: a practised hand, and salts without water.

        Such salts raise pins far more than a field, and the wall under them is all but dry.
        """
        draw = Draw(self._random["wall"])
        salts = {name: draw("salt-alone-in-field") for name in ("residual-salts", "salts-in-a-patch")}
        fixed = {f"{name}.salt-in-field": share for name, share in salts.items()}
        dried = {"residual-salts.former-wetness": draw("long-dried-wetness")}
        return {**fixed, **dried, "press-floor": draw("steady-press-floor")}

    def _climate(self, fields: frozenset[str]) -> Climate:
        def facts(climate: Climate) -> Facts:
            area = Area(id=AREA, title="-", air=climate.air(), surface_temperatures=climate.surfaces())
            case = _case("air", self._visit(climate, ()), area)
            return {fact.attribute: fact for fact in climate_facts(case, area, self._numbers).facts}

        return self._best(climates(Draw(self._random["air"]), fields, self._with_mean_air), facts)

    def _samples(self, wall: ReadWall, climate: Climate) -> tuple[Sample, ...]:
        draw, visit = Draw(self._random["samples"]), self._visit(climate, ())

        def facts(samples: tuple[Sample, ...]) -> Facts:
            area = Area(id=AREA, title="-", samples=samples)
            return {fact.attribute: fact for fact in sample_facts(_case("air", visit, area), area, self._numbers).facts}

        column = self._best(columns(draw, wall, self._numbers["synthesis-masonry-density"]), facts)
        return with_ions(draw, column, self._numbers, {ion: self._has_ion(ion) for ion in IONS})

    def _has_ion(self, ion: IonName) -> bool:
        """Whether a finding that this ion is observed by was drawn as it would be with the ion there."""
        attribute = f"salt-{ion}"
        implied = self._book.implications.of_answer(attribute, "medium").states
        return any(
            self._drawn[finding.id] in implied.get(finding.id, ())
            for finding in self._book.rulebook.findings.values()
            if any(seen.attribute == attribute for seen in finding.observed_by)
        )

    def _timber(self, visit: Visit, climate: Climate) -> TimberReading:
        def facts(reading: TimberReading) -> Facts:
            area = Area(id=AREA, title="-", timber=(reading,), air=climate.air())
            return {fact.attribute: fact for fact in timber_facts(_case("air", visit, area), area, self._numbers).facts}

        return self._best(timbers(Draw(self._random["timber"]), climate, TIMBER), facts)

    def _logged(self, climate: Climate, folder: str) -> tuple[tuple[Logger, ...], dict[str, bytes]]:
        """Loggers of air and surface, and of a void where one was drawn to be humid or dry."""
        draw = Draw(self._random["loggers"])
        series = logged_climate(draw, climate)

        def facts(void: Columns) -> Facts:
            mean = float(void["humidity"].mean())
            return {VOID_HUMIDITY: Known(VOID_HUMIDITY, mean)}

        series["void-air"] = self._best((logged_void(draw, climate) for _ in count()), facts)
        made = [as_file(kind, columns, folder, self._day) for kind, columns in series.items()]
        return tuple(logger for logger, _ in made), {logger.file: content for logger, content in made}

    def _best(self, parts: Iterator[Part], facts_of: Callable[[Part], Facts]) -> Part:
        """Of as many parts as are tried, the first whose findings, by the rules, are most as drawn."""

        def score(part: Part) -> int:
            facts = facts_of(part)
            implied = self._book.implications.of(facts, self._known)
            right, wrong = implied.agreement(self._drawn)
            return right - WRONG_COUNTS * wrong

        return max(islice(parts, int(self._numbers["synthesis-parts-tried"])), key=score)

    def _visit(self, climate: Climate, instruments: tuple[Instrument, ...]) -> Visit:
        season = Fact(attribute="season", value=SEASONS[self._day.month], basis="seen")
        return Visit(id=VISIT, on=self._day, outside=climate.outside(), instruments=instruments, facts=(season,))

    def _instruments(self, wall: ReadWall) -> tuple[Instrument, ...]:
        fails = self._book.implications.of_answer(METER_CHECK, "yes").agreement(self._drawn)[0] > 0
        draw = Draw(self._random["instruments"])
        meters = tuple(
            meter.instrument.model_copy(update={"checks": (check_of(draw, meter, fails and number == 0),)})
            for number, meter in enumerate(wall.meters)
        )
        others = (
            Instrument(id="air", mode="hygrometer", scale="relative-humidity", tolerance=3),
            Instrument(id="contact", mode="surface-thermometer", scale="celsius", tolerance=0.5),
        )
        balance = (Instrument(id="balance", mode="balance", scale="grams"),) if self._with_samples else ()
        return (*meters, *others, *balance)

    def _not_done(self) -> tuple[NotInspected, ...]:
        found = []
        if not self._with_samples:
            found.append(NotInspected(what="drilled samples", why="not taken"))
        if not self._with_deep_pins:
            found.append(NotInspected(what="deep pins", why="the wall was not drilled"))
        return tuple(found)


def _case(name: str, visit: Visit, area: Area) -> Case:
    return Case(
        format=1,
        id=name,
        title=f"Synthetic case {name.removeprefix('synthetic-')}",
        invented=True,
        note=LABEL,
        dwelling=Dwelling(title="invented dwelling, synthetic", note=LABEL),
        visits=(visit,),
        areas=(area,),
    )
