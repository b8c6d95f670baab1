"""Documents are read by the core schema of YAML 1.2 or as JSON, with lines, and nothing gets past the bounds."""

from __future__ import annotations

import json
import tracemalloc
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine import yaml_reading
from engine.documents import LIMITS, Document, Limits, read_document, readable
from engine.errors import InvalidInput

YAML, JSON = Path("case.yaml"), Path("case.json")
BROKEN = Path(__file__).parents[1] / "broken" / "cases"


def data_of(text: str, path: Path = YAML) -> Any:
    return read_document(path, text=text).data


def faults(text: str, path: Path = YAML) -> list[str]:
    with pytest.raises(InvalidInput) as caught:
        read_document(path, text=text)
    return [f"{problem.line}: {problem.field}: {problem.found}" for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        # Words that YAML 1.1 made booleans, and its numbers to base 60: text in 1.2 (spec 1.2.2, chapter 10.3).
        *[(word, word) for word in ("no", "No", "NO", "yes", "Yes", "on", "On", "off", "y", "n", "tRUE")],
        *[(word, word) for word in ("1:30", "1_000")],
        *[(word, True) for word in ("true", "True", "TRUE")],
        *[(word, False) for word in ("false", "False", "FALSE")],
        *[(word, None) for word in ("null", "Null", "NULL", "~")],
        # Dates have no type of their own in the core schema.
        ("2024-03-05", "2024-03-05"),
        ("2024-03-05 10:00:00", "2024-03-05 10:00:00"),
        ("0", 0),
        ("-19", -19),
        ("012", 12),
        ("0o14", 12),
        ("0x3A", 58),
        ("0b11", "0b11"),
        ("0.", 0.0),
        ("-0.0", -0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -200000.0),
        ("1.2.3", "1.2.3"),
        ("'12'", "12"),
        ('"true"', "true"),
        ("=", "="),
    ],
)  # fmt: skip
def test_plain_scalars_mean_what_the_core_schema_of_yaml_1_2_says(written: str, meant: Any) -> None:
    value = data_of(f"value: {written}")["value"]
    assert value == meant
    assert type(value) is type(meant)


def refusal(path: Path, text: str | None = None) -> InvalidInput | None:
    """The faults told of a document; None when it is read. Any other error fails the test."""
    try:
        read_document(path, text=text)
    except InvalidInput as error:
        return error
    return None


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_byte_order_mark_and_line_ends_change_neither_data_nor_lines(tmp_path: Path, mark: str, end: str) -> None:
    text = mark + end.join(["a: 1", "b:", "  - x", "  - {c: 2}", ""])
    path = tmp_path / "one.yaml"
    path.write_bytes(text.encode("utf-8"))
    document = read_document(path)
    assert document.data == {"a": 1, "b": ["x", {"c": 2}]}
    assert dict(document.lines) == {(): 1, ("a",): 1, ("b",): 2, ("b", 0): 3, ("b", 1): 4, ("b", 1, "c"): 4}


def test_json_parts_have_lines_too() -> None:
    document = read_document(JSON, text='\n{\n "a": 1, "b":\n [true,\n {"c": null}]\n}\n')
    assert document.data == {"a": 1, "b": [True, {"c": None}]}
    expected = {(): 2, ("a",): 3, ("b",): 3, ("b", 0): 4, ("b", 1): 5, ("b", 1, "c"): 5}
    assert dict(document.lines) == expected


def test_the_line_of_a_missing_part_is_that_of_the_part_around_it() -> None:
    document = read_document(YAML, text="a: 1\nb:\n  c:\n    - d: 2\n")
    assert document.line(("b", "c", 0, "missing", 7)) == 4
    assert document.line(("nowhere",)) == 1
    assert Document("made.yaml", {}, {}).line(("a",)) is None


def test_a_path_reads_as_people_write_it() -> None:
    assert readable(("areas", 0, "surfaces", 1, "readings", 3, "value")) == "areas[0].surfaces[1].readings[3].value"


JSON_VALUES = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(-(2**53), 2**53),
        st.floats(allow_nan=False, allow_infinity=False),
        st.text(st.characters(exclude_categories=("Cs",)), max_size=12),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.text(st.characters(exclude_categories=("Cs",)), max_size=6), inner, max_size=4),
    ),
    max_leaves=20,
)


@settings(deadline=None)
@given(value=JSON_VALUES)
def test_json_reads_as_the_standard_library_reads_it(value: Any) -> None:
    text = json.dumps(value)
    assert data_of(text, JSON) == json.loads(text)


@settings(deadline=None)
@given(value=JSON_VALUES.filter(lambda value: value is not None))
def test_what_an_independent_writer_of_json_writes_is_read_as_yaml_too(value: Any) -> None:
    """JSON is a subset of YAML 1.2 (spec 1.2.2, chapter 1.3); pairs of surrogate escapes are JSON's own."""
    text = json.dumps(value)
    assume("\\ud8" not in text and "\\ud9" not in text and "\\uda" not in text and "\\udb" not in text)
    assert data_of(text) == value


@pytest.mark.parametrize("path", [YAML, JSON])
@settings(deadline=None, max_examples=200)
@given(content=st.binary(max_size=200))
def test_arbitrary_bytes_give_data_or_a_told_fault_and_nothing_else(
    tmp_path_factory: pytest.TempPathFactory, path: Path, content: bytes
) -> None:
    file = tmp_path_factory.getbasetemp() / path.name
    file.write_bytes(content)
    told = refusal(file)
    assert told is None or all(problem.found for problem in told.problems)


@pytest.mark.parametrize("path", [YAML, JSON])
@settings(deadline=None, max_examples=300)
@given(text=st.text(st.sampled_from("ab01 :,-[]{}&*!|>'\"%@`#?~<=.\\\n\t\ud800\u2028"), max_size=60))
def test_arbitrary_markup_gives_data_or_a_told_fault_and_nothing_else(path: Path, text: str) -> None:
    told = refusal(path, text)
    assert told is None or all(problem.found for problem in told.problems)


SIZE = LIMITS.size - 16


@pytest.mark.parametrize("suffix", ["yaml", "json"])
@pytest.mark.parametrize(
    "piece",
    ["[", "{", "- ", "? ", "[a: ", "&a ", "*a ", "!", '"', "'", "a ", "a:\n", "- 1:\n", "#", "\n", " ", "\t", "---\n",
     ",", "k", "{a: &a ", "%YAML 1.2\n", '"a":', '{"a":', "[[],", "x: |\n \n", "\\", "<<: *a\n", "é"],
)  # fmt: skip
def test_two_mebibytes_of_any_one_thing_end_in_data_or_a_told_fault(suffix: str, piece: str) -> None:
    text = piece * (SIZE // len(piece.encode()))
    told = refusal(Path(f"much.{suffix}"), text)
    assert told is None or 0 < len(told.problems) <= LIMITS.faults + 1


def test_a_file_of_three_megabytes_is_refused_without_reading_it_all(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(b"a: " + b"x" * 3_000_000)
    with pytest.raises(InvalidInput, match=r"more than 2,097,152 bytes; allowed: at most 2,097,152 bytes"):
        read_document(path)
    with pytest.raises(InvalidInput, match="more than 2,097,152 bytes"):
        read_document(YAML, text="é" * 1_100_000)
    assert data_of("a: " + "x" * 1_000_000)["a"].startswith("xxx")
    assert read_document(YAML, text="a: bcd", limits=Limits(size=6)).data == {"a": "bcd"}
    with pytest.raises(InvalidInput):
        read_document(YAML, text="a: bcde", limits=Limits(size=6))


def test_an_alias_bomb_is_refused_and_costs_no_memory() -> None:
    rows = ["a0: &a0 [lol, lol, lol, lol, lol, lol, lol, lol, lol]"]
    rows += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 11)]
    tracemalloc.start()
    try:
        (found,) = faults("\n".join(rows))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert found.startswith("1: : aliases that blow the document up to ")
    assert peak < 5_000_000


def test_aliases_of_long_text_count_by_its_length() -> None:
    text = "a: &a " + "x" * 100_000 + "\nb: [" + ", ".join(["*a"] * 90) + "]"
    (found,) = faults(text)
    assert "aliases that blow the document up" in found


def test_a_few_aliases_are_read_and_more_than_the_limit_refused() -> None:
    assert data_of("a: &a {x: 1}\nb: *a\n") == {"a": {"x": 1}, "b": {"x": 1}}
    many = "a: &a 1\nb: [" + ", ".join(["*a"] * 101) + "]"
    assert faults(many) == ["2: b[100]: more than 100 aliases"]


def test_nesting_is_allowed_to_the_limit_and_no_deeper_also_through_aliases() -> None:
    assert data_of("[" * 32 + "]" * 32) is not None
    assert data_of("[" * 32 + "]" * 32, JSON) is not None
    assert "nesting deeper than 32 levels" in faults("[" * 33 + "]" * 33)[0]
    assert "nesting deeper than 32 levels" in faults("[" * 34 + "]" * 34, JSON)[0]
    deep = "a: &a " + "[" * 20 + "]" * 20 + "\nb: " + "[" * 20 + "*a" + "]" * 20
    assert "nesting deeper than 32 levels" in faults(deep)[0]


def test_every_fault_of_a_document_is_told_at_once() -> None:
    assert faults("a: .nan\nb: 1\nb: !x 2\nc: *none\nd: 123456789012345678901\n1: x\n") == [
        "1: a: .nan, which is not a finite number",
        "3: b: the name 'b' a second time (first on line 2)",
        "3: b (again 1): the tag '!x'",
        "4: c: the alias *none, which stands for nothing written above",
        "5: d: the whole number 123456789012345678901, too long to be held exactly",
        "6: : the name '1'",
    ]


@pytest.mark.parametrize("number", ["1e999", "-1e999", "9" * 400, "1" + "0" * 5000])
@pytest.mark.parametrize("path", [YAML, JSON])
def test_numbers_that_cannot_be_held_are_refused(path: Path, number: str) -> None:
    assert len(faults(f'{{"a": {number}}}', path)) == 1


def test_a_file_that_is_not_there_or_is_a_folder_is_a_told_fault(tmp_path: Path) -> None:
    with pytest.raises(InvalidInput, match="found no such file"):
        read_document(tmp_path / "none.yaml")
    with pytest.raises(InvalidInput, match=r"found a folder|cannot be opened"):
        read_document(tmp_path)
    with pytest.raises(InvalidInput, match="cannot be opened"):
        read_document(Path("a\0b.yaml"))


@pytest.mark.parametrize("path", sorted(BROKEN.glob("*.yaml")), ids=lambda path: path.name)
def test_the_parser_in_python_and_the_one_in_c_tell_the_same(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def outcome() -> Any:
        try:
            document = read_document(path)
        except InvalidInput as error:
            return str(error)
        return document.data, dict(document.lines)

    first = outcome()
    monkeypatch.setattr(yaml_reading, "_LOADER", yaml.SafeLoader)
    assert outcome() == first
