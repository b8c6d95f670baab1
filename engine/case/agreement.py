"""Whether what a case says agrees with itself: masses, depths, days, signatures, and files beside the case."""

from __future__ import annotations

from collections.abc import Iterator

from engine.case.inside import ALLOWED, path_fault
from engine.case.parts import Faults, Part, Written
from engine.case.vocabulary import UNSETTLED
from engine.documents import FieldPath
from engine.reading import shown


def check(written: Written, faults: Faults) -> None:
    """Record everything that contradicts itself."""
    for area in written.areas:
        for sample in area.parts("samples"):
            _sample(sample, faults)
        for air in area.parts("air"):
            _period(air, faults)
        for name in ("loggers", "photographs"):
            for part in area.parts(name):
                _file(part, faults)
        _sign_off(area, written, faults)
    _report(written, faults)
    for place in _places(written):
        _not_inspected(place, faults)


def _sample(sample: Part, faults: Faults) -> None:
    dry = sample.number("dry_g")
    for name, state in (("wet_g", "as found"), ("conditioned_g", "at 75 % relative humidity")):
        mass = sample.number(name)
        if dry is not None and mass is not None and mass < dry:
            found = f"{mass:g} g {state}, less than the {dry:g} g oven-dry"
            faults.add(sample.at(name), found, f"at least dry_g, {dry:g} g", "are the masses interchanged?")
    start, end = sample.number("depth_from_mm"), sample.number("depth_to_mm")
    if ("depth_from_mm" in sample.data) != ("depth_to_mm" in sample.data):
        faults.add(sample.path, "one depth alone", "both depth_from_mm and depth_to_mm, or neither")
    elif start is not None and end is not None and end <= start:
        found = f"{end:g} mm, not deeper than depth_from_mm"
        faults.add(sample.at("depth_to_mm"), found, f"more than {start:g} mm", "depths count from the surface inwards")
    seen: set[str] = set()
    for ion in sample.parts("ions"):
        name = ion.text("name") or ""
        if name in seen:
            faults.add(ion.at("name"), f"the ion {name} a second time", "each ion once in a sample")
        seen.add(name)
        if "band" not in ion.data and "mass_percent" not in ion.data:
            faults.add(ion.path, "an ion without a result", "band, mass_percent, or both")


def _period(air: Part, faults: Faults) -> None:
    mean = air.text("kind") == "mean"
    if mean and "days" not in air.data:
        faults.add(
            air.at("days"), "a mean without its period", "the number of days over which it was taken", "add days"
        )
    elif not mean and "days" in air.data and air.data.get("kind", "spot") == "spot":
        faults.add(air.at("days"), "a period for a spot value", "days with kind: mean only", "is it a mean?")


def _file(part: Part, faults: Faults) -> None:
    name = part.text("file")
    if name is None:
        return
    fault = path_fault(name)
    if fault:
        faults.add(part.at("file"), f"{shown(name)}, {fault}", ALLOWED)


def _sign_off(area: Part, written: Written, faults: Faults) -> None:
    conclusion = area.part("conclusion")
    if conclusion is None:
        return
    for given, wanted in (("signed_on", "signed_by"), ("signed_by", "signed_on")):
        if given in conclusion.data and wanted not in conclusion.data:
            found = f"{given} without {wanted}"
            faults.add(conclusion.at(given), found, "both or neither", "an unsigned conclusion stays a draft")
    _once(conclusion, "causes", "cause", faults)
    signed, days = conclusion.text("signed_on"), [visit.text("on") for visit in written.visits.values()]
    first = min((day for day in days if day), default=None)
    if signed and first and signed < first:
        faults.add(conclusion.at("signed_on"), signed, f"a day from the first visit on, {first}", "check both dates")


def _report(written: Written, faults: Faults) -> None:
    commission = written.root.part("commission")
    if commission is None:
        return
    reported, finished = commission.text("reported_on"), commission.text("investigation_finished_on")
    if reported and finished and finished < reported:
        allowed = f"a day from the day of the report on, {reported}"
        faults.add(commission.at("investigation_finished_on"), finished, allowed, "check both dates")


def _once(part: Part, name: str, what: str, faults: Faults) -> None:
    seen: set[str] = set()
    for path, value in part.texts(name):
        if value in seen:
            faults.add(path, f"the {what} {shown(value)} a second time", f"each {what} once")
        seen.add(value)


def _places(written: Written) -> Iterator[Part]:
    dwelling = written.root.part("dwelling")
    if dwelling is not None:
        yield dwelling
    yield from written.areas


def _not_inspected(place: Part, faults: Faults) -> None:
    answered: dict[str, FieldPath] = {
        fact.text("attribute") or "": fact.path
        for fact in place.parts("facts")
        if fact.data.get("value") not in UNSETTLED
    }
    for entry in place.parts("not_inspected"):
        for path, name in entry.texts("attributes"):
            if name in answered:
                where = faults.document.place(answered[name])
                found = f"{shown(name)} as not inspected, though a fact on {where} answers it"
                faults.add(path, found, "attributes that are not answered in the same place")
