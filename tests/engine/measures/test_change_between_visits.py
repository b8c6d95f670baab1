"""Change of the readings between visits at the same places."""

from __future__ import annotations

import random

import pytest

SPOTS = [(x, y) for x in (300, 1300, 2300) for y in (50, 400, 800)]
DAYS = ("2025-01-10", "2025-03-11", "2025-05-10", "2025-07-09")


@pytest.fixture
def visited(facts_of, surface, reading, instruments):
    def found(*levels, scatter=0.0, spots=SPOTS):
        rng = random.Random(11)
        visits = [{"id": f"v{i}", "on": DAYS[i], "instruments": instruments} for i in range(len(levels))]
        readings = [
            reading(x, y, level(x, y) * (1 + rng.gauss(0, scatter)), visit=f"v{i}")
            for i, level in enumerate(levels)
            for x, y in spots
        ]
        references = [{"instrument": "pins", "material": "plaster", "value": 12.0, "visit": v["id"]} for v in visits]
        return facts_of(surface(readings, dry_references=references), visits=visits)

    return found


def at(level):
    return lambda x, y: level


@pytest.mark.parametrize(("then", "change"), [(6.0, "wetter"), (2.0, "drier"), (4.1, "unchanged")])
def test_a_change_beyond_the_scatter_is_told(visited, then, change):
    assert visited(at(4.0), at(then))["readings-change"] == change


def test_scatter_alone_is_no_change(visited):
    assert visited(at(4.0), at(4.0), scatter=0.1)["readings-change"] == "unchanged"


def test_one_visit_tells_no_change(visited):
    assert not {"readings-change", "readings-trend"} & visited(at(4.0)).keys()


def test_two_places_are_too_few_to_tell_a_change(visited):
    assert "readings-change" not in visited(at(4.0), at(1.0), spots=SPOTS[:2])


def test_places_dry_on_both_visits_tell_no_change(visited):
    assert "readings-change" not in visited(at(0.0), at(0.2))


@pytest.mark.parametrize(
    ("levels", "course"),
    [((6, 4, 2), "drying"), ((2, 4, 6), "wetting"), ((4, 4.1, 3.9), "steady"), ((2, 6, 2), "fluctuating")],
)
def test_three_visits_tell_a_trend(visited, levels, course):
    assert visited(*(at(level) for level in levels))["readings-trend"] == course


def test_the_slope_of_an_even_drying_is_its_rate_per_month(visited):
    facts = visited(at(8), at(6), at(4), at(2))
    assert facts["readings-trend"] == "drying"
    assert facts["readings-change-per-month"] == pytest.approx(-1.0, rel=0.02)


def test_two_visits_tell_no_trend(visited):
    assert "readings-trend" not in visited(at(6.0), at(2.0))


def test_a_wetter_season_in_the_dry_reference_is_no_wetting(facts_of, surface, instruments):
    """Both the wall and its dry reference read 2 points higher on the second visit: the excess has not changed."""
    visits = [{"id": v, "on": day, "instruments": instruments} for v, day in (("v0", DAYS[0]), ("v1", DAYS[1]))]
    readings = [
        {"x_mm": x, "y_mm": y, "instrument": "pins", "value": 24.0 + 2 * i, "visit": f"v{i}"}
        for i in (0, 1)
        for x, y in SPOTS
    ]
    references = [
        {"instrument": "pins", "material": "plaster", "value": 12.0 + 2 * i, "visit": f"v{i}"} for i in (0, 1)
    ]
    assert facts_of(surface(readings, dry_references=references), visits=visits)["readings-change"] == "unchanged"
