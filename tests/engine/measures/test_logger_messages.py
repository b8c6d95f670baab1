"""What is wrong in a logger's file is quoted at a length that a person can read."""

from __future__ import annotations

import pytest

from engine.errors import InvalidInput
from engine.measures.logger_files import read_logger_file


@pytest.mark.parametrize(
    "row", [f"2025-01-02 05{'x' * 5_000},18", f"2025-02-30{'0' * 5_000},18", f"2025-01-02 05:00,{'x' * 5_000}"]
)
def test_a_very_long_cell_is_cut_in_the_message(tmp_path, row):
    (tmp_path / "air.csv").write_text(f"time,temperature\n2025-01-01 00:00,18\n{row}\n", encoding="utf-8")
    with pytest.raises(InvalidInput) as fault:
        read_logger_file(tmp_path, "air.csv", "room-air")
    assert all(len(problem.sentence()) < 300 for problem in fault.value.problems)
