"""The filled example that the form carries on a sheet of its own: an invented house with one damp corner."""

from __future__ import annotations

import json

from engine.case.models import Case

_EXAMPLE = {
    "format": 1,
    "id": "mill-lane",
    "title": "Damp corner of a back bedroom",
    "invented": True,
    "dwelling": {
        "title": "Terraced house, about 1900",
        "facts": [{"attribute": "age-band", "value": "before-1919", "basis": "seen"}],
    },
    "visits": [
        {
            "id": "first",
            "on": "2026-02-03",
            "by": "surveyor",
            "outside": {"temperature_c": 5, "humidity_percent": 88},
            "instruments": [
                {
                    "id": "pins",
                    "mode": "pins",
                    "scale": "wood-percent",
                    "checks": [{"expected": 18, "tolerance": 1, "result": 18.2}],
                },
                {"id": "air", "mode": "hygrometer", "scale": "relative-humidity"},
            ],
        }
    ],
    "areas": [
        {
            "id": "bedroom",
            "title": "Back bedroom, outside corner",
            "facts": [
                {"attribute": "storey", "value": "upper-floor", "basis": "seen"},
                {"attribute": "black-mould-seen", "value": "yes", "basis": "seen", "note": "low in the corner"},
                {
                    "attribute": "change-after-rain",
                    "value": "unknown",
                    "basis": "told",
                    "sureness": "not-sure",
                    "by": "occupant",
                },
            ],
            "surfaces": [
                {
                    "id": "gable",
                    "kind": "wall",
                    "width_mm": 3600,
                    "height_mm": 2400,
                    "material": "plaster",
                    "dry_references": [
                        {"instrument": "pins", "material": "plaster", "value": 11, "repeats": [11.2, 10.9]}
                    ],
                    "readings": [
                        {"x_mm": 200, "y_mm": 100, "instrument": "pins", "value": 19.5, "repeats": [19, 20]},
                        {"x_mm": 200, "y_mm": 400, "instrument": "pins", "value": 15},
                        {"x_mm": 200, "y_mm": 800, "instrument": "pins", "value": 12},
                        {"x_mm": 200, "y_mm": 1300, "instrument": "pins", "value": 11.5},
                    ],
                }
            ],
            "air": [{"temperature_c": 17, "humidity_percent": 71, "instrument": "air"}],
            "not_inspected": [{"what": "behind the wardrobe", "why": "too heavy to move"}],
        }
    ],
}


def example_case() -> Case:
    """The example as a case."""
    return Case.model_validate_json(json.dumps(_EXAMPLE))
