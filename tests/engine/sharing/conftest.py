"""The rule base, the casebook, and a case in which every field that can hold text holds some."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.case import read_case
from engine.case.models import Case
from engine.documents import read_document
from engine.opinion.casebook import case_files
from engine.opinion.reasoner import Reasoner
from engine.rulebook import Rulebook, load_rulebook

EVERYTHING = """\
format: 1
id: brambleford-12-high-street
title: Damp at the house of Mrs Brambleford
note: |
  Seen with Mrs Brambleford.
  (private) Her husband is in hospital,
  and she does not want it known.

  The gable faces west.
commission:
  client: Mrs Oriel Brambleford
  brief: Find out why 12 High Street, Netherwold is damp; her number is 01632 960 983.
  inspector: Tamsin Quillfeather
  qualifications: Member 778899 of an institute
  interests: None; write to t.quillfeather@surveys.example for more.
dwelling:
  title: end terrace
  address: 12 High Street, Netherwold, ZZ9 4LP
  note: The postcode is zz9 4lp, at 51.50735, -0.12776, or SU 1234 5678.
  facts:
    - {attribute: wall-construction, value: solid-brick, basis: seen}
    - {attribute: vulnerable-occupant, value: yes, basis: told, by: Mrs Brambleford, note: she has bad lungs}
    - {attribute: heating, value: steady, basis: told, by: O. Brambleford, note: Oriel keeps the boiler going}
    - {attribute: moisture-load, value: ordinary, basis: told, by: tenant, note: told in confidence, private: true}
  not_inspected:
    - {what: The loft of Netherwold, why: Brambleford had no ladder}
visits:
  - id: first
    on: 2026-03-11
    by: Tamsin Quillfeather
    note: Rang +44 1632 960001 first.
    instruments:
      - {id: pins, mode: pins, scale: wood-percent, serial: SN-4711, note: lent by Quillfeather}
areas:
  - id: brambleford-room
    title: The room of Mrs Brambleford
    note: Nothing more.
    facts:
      - {attribute: tide-line-seen, value: yes, basis: seen, visit: first, note: (private) seen behind a bed}
    surfaces:
      - id: wall
        kind: wall
        title: the wall to the High Street
        width_mm: 4000
        height_mm: 2400
        material: plaster
        note: Papered by Oriel.
        features:
          - {id: window, kind: window, x_mm: 1000, y_mm: 900, to_x_mm: 2000, to_y_mm: 2000, note: of Quillfeather}
        dry_references:
          - {instrument: pins, material: plaster, value: 11, place: the Brambleford hall}
        readings:
          - {x_mm: 500, y_mm: 100, instrument: pins, value: 18, note: beside the letter to Oriel Brambleford}
    air:
      - {temperature_c: 19, humidity_percent: 60, place: Oriel's desk}
    surface_temperatures:
      - {temperature_c: 14, surface: wall, x_mm: 500, y_mm: 100, place: below Oriel's picture}
    samples:
      - {id: core, surface: wall, wet_g: 3.7, dry_g: 3.3, note: kept by Quillfeather}
    timber:
      - {id: joist, item: joist-end, instrument: pins, value: 17, surface: wall, note: in the Brambleford cupboard}
    loggers:
      - {id: shelf, kind: room-air, file: brambleford.csv, place: Oriel's shelf}
    photographs:
      - {file: oriel.jpg, caption: Mrs Brambleford at the wall, alt: Oriel and a stain}
      - {file: bed.jpg, caption: The bed, private: true}
    not_inspected:
      - {what: The cupboard, why: Oriel has lost the key}
    conclusion:
      causes: [ground-rise]
      statement: As I told Mrs Brambleford, the wall is wet.
      reason_for_difference: Quillfeather has seen more.
      signed_by: Tamsin Quillfeather
      signed_on: 2026-03-12
key:
  lesson: What Oriel should learn.
  areas:
    - area: brambleford-room
      truth: [ground-rise]
      grade: synthetic
      telling: [tide-line-seen, vulnerable-occupant]
      junior: residual-salts
      junior_says: Brambleford says salts.
      source: A letter to T. Quillfeather.
"""

LOG = "time,temperature [°C],humidity [%]\n" + "".join(
    f"2026-03-{day:02d} {hour:02d}:00,{18 + day / 10:.1f},{60 + hour}\n"
    for day in range(1, 11)
    for hour in range(0, 24, 3)
)


@pytest.fixture(scope="session")
def rulebook() -> Rulebook:
    """The program's own rule base."""
    return load_rulebook()


@pytest.fixture(scope="session")
def reasoner(rulebook: Rulebook) -> Reasoner:
    """A reasoner over it."""
    return Reasoner(rulebook, "python")


@pytest.fixture(scope="session")
def casebook(rulebook: Rulebook) -> tuple[tuple[Path, Case], ...]:
    """Every worked case with its file."""
    return tuple((path, read_case(path, vocabulary=rulebook)) for path in case_files())


@pytest.fixture
def everything(rulebook: Rulebook, tmp_path: Path) -> tuple[Path, Case]:
    """A case whose every field of text is filled, much of it with what is personal; with its folder's files."""
    from PIL import Image

    folder = tmp_path / "home"
    folder.mkdir()
    path = folder / "case.yaml"
    path.write_text(EVERYTHING, encoding="utf-8")
    (folder / "brambleford.csv").write_text("Logger of Oriel Brambleford, serial 4711\n" + LOG, encoding="utf-8")
    for name in ("oriel.jpg", "bed.jpg"):
        data = Image.Exif()
        data[0x013B] = "Oriel Brambleford"
        Image.new("RGB", (64, 48), "grey").save(folder / name, exif=data)
    assert read_document(path).data
    return path, read_case(path, vocabulary=rulebook)
