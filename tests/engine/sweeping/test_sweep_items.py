"""What a sweep takes in: files, folders, workbooks and streams, in a stated order."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from engine.documents import LIMITS
from engine.errors import InvalidInput
from engine.sweeping.items import STDIN, Item, check_paths, count_items, items


@pytest.fixture
def folder(tmp_path):
    for name in ("b.yaml", "a.json", "sub/c.yml", "Z.YAML", "form.xlsx", ".hidden.yaml", "notes.txt", "b.yaml.journal"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("x", encoding="utf-8")
    return tmp_path


def test_a_folder_gives_its_cases_by_name_files_before_folders(folder):
    names = [Path(item.name).relative_to(folder).as_posix() for item in items([folder])]
    assert names == ["Z.YAML", "a.json", "b.yaml", "form.xlsx", "sub/c.yml"]
    assert count_items([folder]) == 5


def test_the_output_of_the_sweep_is_none_of_its_cases(folder):
    apart = frozenset({(folder / "form.xlsx").resolve()})
    assert "form.xlsx" not in {Path(item.name).name for item in items([folder], None, apart)}
    assert count_items([folder], apart) == 4


def test_paths_keep_the_order_in_which_they_are_given(folder):
    given = [folder / "sub" / "c.yml", folder / "a.json"]
    assert [item.name for item in items(given)] == [str(path) for path in given]


def test_lines_keep_their_numbers_and_empty_ones_are_passed_over():
    stream = io.BytesIO(b'\xef\xbb\xbf{"a": 1}\r\n\n   \n{"b": 2}\n{"c": 3}')
    found = list(items([STDIN], stream))
    assert found == [
        Item("standard input", 1, '{"a": 1}'),
        Item("standard input", 4, '{"b": 2}'),
        Item("standard input", 5, '{"c": 3}'),
    ]


def test_a_line_that_is_no_utf_8_is_one_fault_and_the_next_is_read():
    first, second = items([STDIN], io.BytesIO(b'{"a": "\xff"}\n{}\n'))
    assert (
        first.fault.sentence()
        == "standard input:1: found the byte 0xFF, which is not UTF-8; allowed: text encoded as UTF-8"
    )
    assert second == Item("standard input", 2, "{}")


@pytest.mark.parametrize("end", [b"\n{}\n", b""])
def test_a_line_that_is_too_long_is_one_fault_and_is_never_held(end):
    class Endless(io.RawIOBase):
        """A hundred mebibytes of one line."""

        left = 100 * 1024 * 1024

        def readinto(self, room):
            size = min(len(room), self.left)
            room[:size] = b"x" * size
            self.left -= size
            if not size and not self.ended:
                self.ended = True
                room[: len(end)] = end
                return len(end)
            return size

        ended = False

        def readable(self):
            return True

    import tracemalloc

    tracemalloc.start()
    found = list(items([STDIN], io.BufferedReader(Endless())))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found[0].fault.found == f"a line of more than {LIMITS.size:,} bytes"
    assert found[1:] == ([Item("standard input", 2, "{}")] if end else [])
    assert peak < 10 * LIMITS.size


def test_a_line_as_long_as_a_case_may_be_is_taken():
    text = "x" * (LIMITS.size - 1)
    assert [item.text for item in items([STDIN], io.BytesIO(text.encode() + b"\n"))] == [text]


def test_every_path_that_cannot_be_swept_is_told_at_once(tmp_path):
    (tmp_path / "empty").mkdir()
    (tmp_path / "notes.txt").write_text("x", encoding="utf-8")
    with pytest.raises(InvalidInput) as fault:
        check_paths([tmp_path / "none.yaml", tmp_path / "empty", tmp_path / "notes.txt", STDIN])
    found = {Path(problem.file).name: problem.found for problem in fault.value.problems}
    assert found == {
        "none.yaml": "no such file or folder",
        "empty": "a folder without a case in it",
        "notes.txt": "a file whose name ends in .txt",
    }


def test_a_stream_that_can_be_read_twice_is_counted_and_one_that_cannot_is_not(tmp_path):
    stream = tmp_path / "cases.jsonl"
    stream.write_bytes(b"{}\n\n{}\n{}")
    assert count_items([stream]) == 3
    assert count_items([stream, STDIN]) is None
