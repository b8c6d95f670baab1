"""Hypothesis strategies for sound cases: everything that the format can say, within its bounds."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from engine.case import Case, parse_case
from engine.case.words import Basis, FeatureKind, IonBand, IonName, SurenessWord, SurfaceKind
from engine.documents import Document

AWKWARD = [
    "no", "yes", "on", "null", "~", "true", "1e3", "0x1F", "1:30", "2024-01-31", "<<", "=", "- a", "a: b", "#", "'",
    '"', "*x", "&x", "!x", "%x", "@x", "|", ">", "{", "}", "[", "]", "?", "\\n", " padded ", "é", "水", "𝄞", "\u00a0",
]  # fmt: skip
SAFE = st.characters(
    exclude_categories=("Cc", "Cs", "Zl", "Zp"),
    exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff\ufffe\uffff",
)


def _words(literal: Any) -> st.SearchStrategy[str]:
    return st.sampled_from(literal.__args__)


def ids(start: str = "") -> st.SearchStrategy[str]:
    return st.from_regex(r"[a-z0-9]{1,6}(-[a-z0-9]{1,4}){0,2}", fullmatch=True).map(lambda name: start + name)


def lines() -> st.SearchStrategy[str]:
    free = st.text(SAFE, min_size=1, max_size=30).filter(lambda text: text.strip() != "")
    return st.one_of(st.sampled_from(AWKWARD).filter(lambda text: text.strip() != ""), free)


def texts() -> st.SearchStrategy[str]:
    free = st.text(st.one_of(SAFE, st.sampled_from("\n\t ")), min_size=1, max_size=200)
    return st.one_of(lines(), free)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.one_of(
        st.integers(round(low), round(high)).map(float),
        st.floats(low, high, allow_nan=False, allow_subnormal=False),
    )


def _mapping(required: dict[str, Any], optional: dict[str, Any] | None = None) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(required, optional=optional or {})


def _several(items: st.SearchStrategy[Any], most: int = 3, *, by: str = "id") -> st.SearchStrategy[list[Any]]:
    return st.lists(items, max_size=most, unique_by=lambda item: str(item[by]))


def facts(visits: tuple[str, ...] = ()) -> st.SearchStrategy[list[dict[str, Any]]]:
    optional: dict[str, Any] = {
        "sureness": _words(SurenessWord),
        "by": lines(),
        "note": texts(),
        "private": st.booleans(),
    }
    if visits:
        optional["visit"] = st.sampled_from(visits)
    value = st.one_of(ids(), st.just("no"), st.just("yes"), numbers(-1e6, 1e6))
    return st.lists(_mapping({"attribute": ids(), "value": value, "basis": _words(Basis)}, optional), max_size=4)


def _instruments() -> st.SearchStrategy[list[dict[str, Any]]]:
    checks = st.lists(
        _mapping({"expected": numbers(0, 30), "tolerance": numbers(0, 5), "result": numbers(0, 30)}), max_size=2
    )
    optional = {"checks": checks, "serial": lines(), "note": texts(), "tolerance": numbers(0, 5)}
    pins = _mapping({"id": st.just("pins"), "mode": st.just("pins"), "scale": st.just("wood-percent")}, optional)
    relative = {"scale": st.just("relative"), "full_scale": numbers(50, 1000)}
    capacitance = _mapping({"id": st.just("cap"), "mode": st.just("capacitance"), **relative}, optional)
    return st.tuples(pins, capacitance).map(list)


def visits(names: tuple[str, ...]) -> st.SearchStrategy[list[dict[str, Any]]]:
    days = st.dates(min_value=_day(1990), max_value=_day(2050)).map(lambda day: day.isoformat())
    outside = _mapping({"temperature_c": numbers(-20, 40)}, {"humidity_percent": numbers(0, 100)})
    return st.tuples(
        *(
            _mapping(
                {"id": st.just(name), "on": days, "instruments": _instruments()},
                {"by": lines(), "outside": outside, "facts": facts(), "note": texts()},
            )
            for name in names
        )
    ).map(list)


def _day(year: int) -> Any:
    from datetime import date

    return date(year, 1, 1)


def _readings(visit: st.SearchStrategy[str], width: int, height: int) -> st.SearchStrategy[list[dict[str, Any]]]:
    place = {"x_mm": st.integers(0, width), "y_mm": st.integers(0, height)}
    reading = _mapping(
        {**place, "instrument": st.sampled_from(["pins", "cap"]), "value": numbers(0, 50), "visit": visit},
        {"repeats": st.lists(numbers(0, 50), max_size=3), "depth_mm": numbers(0, 50), "note": texts()},
    )
    return st.lists(reading, max_size=8, unique_by=lambda one: (one["x_mm"], one["y_mm"]))


@st.composite
def surfaces(draw: st.DrawFn, name: str, visit: st.SearchStrategy[str]) -> dict[str, Any]:
    width, height = draw(st.integers(200, 9000)), draw(st.integers(200, 5000))
    edge = draw(st.integers(1, height - 1))
    features = _mapping(
        {
            "id": ids(),
            "kind": _words(FeatureKind),
            "x_mm": st.integers(-500, 0),
            "y_mm": st.integers(-500, 0),
            "to_x_mm": st.integers(1, width + 500),
            "to_y_mm": st.integers(1, height + 500),
        },
        {"shape": st.sampled_from(["rectangle", "line"]), "note": texts()},
    )
    corners = {"x_mm": 0, "to_x_mm": width}
    zones = [
        {"id": "low", "material": draw(ids()), "y_mm": 0, "to_y_mm": edge, **corners},
        {"id": "high", "material": draw(ids()), "y_mm": edge, "to_y_mm": height, **corners},
    ]
    reference = {
        "instrument": st.sampled_from(["pins", "cap"]),
        "material": ids(),
        "value": numbers(0, 50),
        "visit": visit,
    }
    return {
        "id": name,
        "kind": draw(_words(SurfaceKind)),
        "width_mm": width,
        "height_mm": height,
        "material": draw(ids()),
        "zones": zones[: draw(st.integers(0, 2))],
        "features": draw(_several(features)),
        "readings": draw(_readings(visit, width, height)),
        "dry_references": draw(st.lists(_mapping(reference, {"place": lines()}), max_size=2)),
        "facts": draw(facts()),
    }


def _samples(visit: st.SearchStrategy[str]) -> st.SearchStrategy[list[dict[str, Any]]]:
    ions = _mapping({"name": _words(IonName), "band": _words(IonBand)}, {"mass_percent": numbers(0, 10)})
    masses = {"dry_g": numbers(1, 20), "wet_g": numbers(20, 40), "conditioned_g": numbers(20, 30)}
    depths = {"depth_from_mm": numbers(0, 50), "depth_to_mm": numbers(51, 300)}
    sample = _mapping(
        {"id": ids(), "visit": visit, **masses, **depths}, {"ions": _several(ions, by="name"), "note": texts()}
    )
    return _several(sample)


@st.composite
def areas(draw: st.DrawFn, name: str, visit_names: tuple[str, ...]) -> dict[str, Any]:
    visit = st.sampled_from(visit_names)
    timber = {"id": ids(), "item": ids(), "instrument": st.just("pins"), "value": numbers(5, 60), "visit": visit}
    air = {"temperature_c": numbers(-10, 35), "humidity_percent": numbers(0, 100), "visit": visit}
    mean = _mapping({**air, "kind": st.just("mean"), "days": numbers(1, 60)})
    conclusion = {"causes": st.lists(ids(), max_size=3, unique=True), "statement": texts()}
    walls = [draw(surfaces(f"wall-{number}", visit)) for number in range(draw(st.integers(0, 2)))]
    return {
        "id": name,
        "title": draw(lines()),
        "facts": draw(facts(visit_names)),
        "surfaces": walls,
        "air": draw(st.lists(st.one_of(_mapping(air, {"place": lines()}), mean), max_size=3)),
        "samples": draw(_samples(visit)),
        "timber": draw(_several(_mapping(timber, {"temperature_c": numbers(-5, 35)}))),
        "photographs": [{"file": "photographs/a b.jpg", "caption": draw(lines())}] * draw(st.integers(0, 1)),
        "conclusion": draw(_mapping({}, conclusion)),
    }


@st.composite
def written_cases(draw: st.DrawFn) -> dict[str, Any]:
    """The data of a sound case, as it stands in a file."""
    visit_names = ("first", "second")[: draw(st.integers(1, 2))]
    area_names = ("lounge", "hall")[: draw(st.integers(1, 2))]
    dwelling = _mapping({"title": lines()}, {"address": lines(), "facts": facts(visit_names)})
    case = {
        "format": 1,
        "id": draw(ids()),
        "title": draw(lines()),
        "invented": draw(st.booleans()),
        "dwelling": draw(dwelling),
        "visits": draw(visits(visit_names)),
        "areas": [draw(areas(name, visit_names)) for name in area_names],
    }
    if draw(st.booleans()):
        case["key"] = {"areas": [{"area": name, "truth": ["ground-rise"], "grade": "synthetic"} for name in area_names]}
    return case


def cases() -> st.SearchStrategy[Case]:
    """Sound cases."""
    return written_cases().map(lambda data: parse_case(Document("drawn.yaml", data, {})))
