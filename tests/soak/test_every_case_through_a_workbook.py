"""Every worked case through the workbook form and back: by hand, with DAMPWRIGHT_SOAK=1."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from engine.case import case_digest, parse_case, read_case, write_case
from engine.case.workbook.writing import write_form
from engine.documents import read_document
from engine.rulebook import load_rulebook

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")
CASEBOOK = sorted((Path(__file__).resolve().parents[2] / "casebook").rglob("*.yaml"))


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


@pytest.mark.parametrize("path", CASEBOOK, ids=lambda path: path.stem)
def test_every_worked_case_keeps_its_digest_through_the_form_and_back_into_a_file(path, tmp_path, rulebook):
    case = read_case(path, vocabulary=rulebook)
    form = tmp_path / "case.xlsx"
    form.write_bytes(write_form(case, rulebook))
    held = read_case(form, vocabulary=rulebook)
    assert case_digest(held) == case_digest(case)
    assert parse_case(read_document(Path("case.yaml"), text=write_case(held)), rulebook) == held
