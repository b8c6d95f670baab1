"""The fixed words of the case format: what may stand where the format itself asks for a choice."""

from __future__ import annotations

from typing import Literal

Basis = Literal["seen", "measured", "told", "inferred"]
SurenessWord = Literal["certain", "fairly-sure", "not-sure"]
InstrumentMode = Literal[
    "pins", "deep-pins", "capacitance", "hygrometer", "surface-thermometer", "carbide", "balance", "logger"
]
ScaleKind = Literal["wood-percent", "relative", "relative-humidity", "celsius", "wet-mass-percent", "grams"]
SurfaceKind = Literal["wall", "floor", "ceiling", "reveal", "chimney-breast", "other"]
FeatureKind = Literal[
    "window",
    "door",
    "opening",
    "pipe",
    "waste-pipe",
    "sanitary-fitting",
    "radiator",
    "tank",
    "gutter",
    "downpipe",
    "outside-ground-line",
    "damp-proof-course-line",
    "floor-line",
    "chimney-breast",
    "flue",
    "socket",
    "switch",
    "skirting",
    "lining",
    "beam-end",
    "lintel",
    "sill",
    "vent",
    "arris",
    "board-joint",
    "furniture",
    "other",
]
IonName = Literal["chloride", "nitrate", "sulphate", "ammonium"]
IonBand = Literal["none", "low", "medium", "high"]
DataKind = Literal["readings", "samples", "air", "surface-temperatures", "timber", "loggers"]
TimberState = Literal["no-evidence-of-risk", "watch", "at-risk", "decay-seen", "not-inspected"]
TruthGrade = Literal["verified-repair", "expert", "synthetic"]
