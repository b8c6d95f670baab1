"""What is known before a visit: what was told stays, what was seen or measured there does not."""

from __future__ import annotations

from engine.visiting import at_the_desk


def test_what_was_seen_or_measured_in_an_area_is_not_known_at_the_desk(area_case):
    case, _ = area_case(
        facts=[
            {"attribute": "storey", "value": "ground-floor", "basis": "seen"},
            {"attribute": "change-after-rain", "value": "worse-within-hours", "basis": "told"},
        ],
        surfaces=[
            {
                "id": "wall",
                "kind": "wall",
                "width_mm": 3000,
                "height_mm": 2400,
                "material": "plaster",
                "readings": [{"x_mm": 1, "y_mm": 1, "instrument": "pins", "value": 12}],
            }
        ],
        air=[{"temperature_c": 18, "humidity_percent": 60}],
    )
    known = at_the_desk(case).areas[0]
    assert [fact.attribute for fact in known.facts] == ["change-after-rain"]
    assert [surface.id for surface in known.surfaces] == ["wall"]
    assert not known.surfaces[0].readings
    assert not known.air


def test_what_can_be_looked_up_of_the_dwelling_stays_and_the_case_itself_is_not_changed(area_case):
    visits = [
        {"id": "first", "on": "2025-01-10", "instruments": [{"id": "p", "mode": "pins", "scale": "wood-percent"}]}
    ]
    case, area = area_case(visits, air=[{"temperature_c": 18, "humidity_percent": 60}])
    known = at_the_desk(case)
    assert known.dwelling == case.dwelling
    assert not known.visits[0].instruments
    assert case.visits[0].instruments
    assert area.air
