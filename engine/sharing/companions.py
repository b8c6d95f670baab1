"""The files beside a case as they go with a copy of it: series written anew, pictures bare, names that tell nothing."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from engine.case.models import Area, Case, Logger, Photograph
from engine.case.photographs import read_photographs
from engine.case.pictures import Picture
from engine.measures.logger_files import Record, read_logger_file

LONGEST_SIDE = 1_600
"""The longest side of a photograph's copy [picture points]."""

_UNITS = {"temperature": "°C", "dew-point": "°C", "humidity": "%", "moisture": "%", "rain": "mm"}


@dataclass(frozen=True, slots=True)
class Packed:
    """A case that names copies, their content by their names, and what a person should be told of what is left out."""

    case: Case
    files: Mapping[str, bytes]
    warnings: tuple[str, ...]


def packed(case: Case, folder: Path, into: str) -> Packed:
    """The case with every file beside it named anew inside the folder ``into``, and those files' new contents.

    Of a logger's file only times and numbers go along; of a photograph only what is to be seen. A photograph that is
    not there, or no picture, is left out with a warning. InvalidInput where a logger's file cannot be read or a path
    leads out of ``folder``, the case's own.
    """
    files: dict[str, bytes] = {}
    warnings: list[str] = []
    copies: dict[tuple[str, int], Picture | None] = {}
    for held in read_photographs(case, folder, longest_side=LONGEST_SIDE):
        copies[held.area, held.position] = held.copy
        warnings += held.told
    areas = tuple(_area(area, folder, into, files, copies) for area in case.areas)
    return Packed(case.model_copy(update={"areas": areas}), files, tuple(warnings))


def _area(
    area: Area, folder: Path, into: str, files: dict[str, bytes], copies: Mapping[tuple[str, int], Picture | None]
) -> Area:
    def put(kind: str, ending: str, content: bytes) -> dict[str, str]:
        number = sum(name.startswith(f"{into}/{kind}-") for name in files) + 1
        name = f"{into}/{kind}-{number}.{ending}"
        files[name] = content
        return {"file": name, "sha256": hashlib.sha256(content).hexdigest()}

    loggers: list[Logger] = []
    for logger in area.loggers:
        record = read_logger_file(folder, logger.file, logger.kind, date_order=logger.date_order)
        loggers.append(logger.model_copy(update={**put("series", "csv", _series(record)), "date_order": None}))
    photographs: list[Photograph] = []
    for position, photograph in enumerate(area.photographs):
        copy = copies[area.id, position]
        if copy is not None:
            photographs.append(photograph.model_copy(update=put("photograph", "jpg", copy.content)))
    return area.model_copy(update={"loggers": tuple(loggers), "photographs": tuple(photographs)})


def _series(record: Record) -> bytes:
    """A series as separated text: a header with units, times year first, numbers in full, nothing where none was."""
    target = io.StringIO()
    rows = csv.writer(target, lineterminator="\n")
    rows.writerow(["time", *(f"{name} [{_UNITS[name]}]" for name in record.columns)])
    columns = list(record.columns.values())
    for place, time in enumerate(record.times):
        written = str(np.datetime_as_string(time, unit="s")).replace("T", " ")
        values = (column[place] for column in columns)
        rows.writerow([written, *("" if np.isnan(value) else repr(float(value)) for value in values)])
    return target.getvalue().encode("utf-8")
