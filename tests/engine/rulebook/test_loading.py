"""Loading: what a base holds, how further folders change it, where records come from, what is refused."""

from __future__ import annotations

import dataclasses
import pickle
from pathlib import Path

import pytest
from pydantic import ValidationError

from engine.case.vocabulary import Vocabulary
from engine.errors import InvalidInput
from engine.rulebook import load_rulebook
from engine.rulebook.loading import own_folder

LEAK = """
- id: rise
  title: water rising, as this firm sees it
  topic: water
  kind: wetting
  mechanism: capillary
  account: Water climbs.
  plain: Water climbs.
  base_rates: {old-place: 0.5, any-place: 0.4}
  gate: [{rival: leak, checks: [{title: tap run, made_when: {tap-test: known}, step: run-the-tap}]}]
  source: [{source: judgement}]
"""
NEW_CLASS = "- {id: tiled-place, title: tiled, when: {age: new}}\n"


def test_every_kind_is_a_mapping_from_id_to_record_in_id_order(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    for kind, records in book.kinds.items():
        assert all(record.id == name for name, record in records.items())
        if kind != "reference_classes":
            assert list(records) == sorted(records)
    assert list(book.reference_classes) == ["old-place", "any-place"]


def test_attributes_are_the_questions_and_the_measures(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    assert set(book.attributes) == {"age", "stain-seen", "tap-test", "foot-or-crown", "wall-excess", "meter-check"}


def test_words_parameters_titles_and_kinds_are_looked_up_by_name(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    assert book.word("frequency", "usually") == 0.9
    assert book.parameter("high") == book.numbers["high"] == 2.5
    assert book.title("rise") == "water rising in the wall"
    assert (book.kind_of("rise"), book.kind_of("nothing")) == ("causes", None)
    assert book.mechanisms == {"capillary": ("rise",), "plumbing": ("leak",)}


@pytest.mark.parametrize(
    ("look_up", "message"),
    [
        (lambda book: book.parameter("hihg"), "no parameter 'hihg'; did you mean 'high'"),
        (lambda book: book.word("leanign", "for"), "no scale 'leanign'; did you mean 'leaning'"),
        (
            lambda book: book.word("leaning", "slightly"),
            "no word of the scale leaning 'slightly'; did you mean 'slightly",
        ),
        (lambda book: book.title("zzz"), "no record 'zzz'"),
    ],
)
def test_a_name_that_is_not_there_is_told_with_the_nearest(sound: Path, look_up, message: str) -> None:
    with pytest.raises(KeyError, match=message):
        look_up(load_rulebook(folder=sound, cache=False))


def test_a_rule_base_can_be_the_vocabulary_of_a_case(sound: Path) -> None:
    vocabulary: Vocabulary = load_rulebook(folder=sound, cache=False)
    assert vocabulary.questions["age"].words() == ("old", "new")


def test_origin_names_file_and_line_of_every_record(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    assert set(book.origin) == set(book.records)
    for name, origin in book.origin.items():
        file, _, line = origin.rpartition(":")
        written = (sound.parent / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
        assert f"id: {name}" in written


def test_a_further_folder_replaces_records_and_adds_others(sound: Path, write) -> None:
    firm = write("firm", causes=LEAK, words="- {id: own-words, title: own, topic: water, words: [one]}\n")
    book = load_rulebook([firm], folder=sound, cache=False)
    assert book.causes["rise"].base_rates["old-place"] == 0.5
    assert book.origin["rise"] == f"{firm.as_posix()}/causes.yaml:2"
    assert book.overridden == {"rise": "rulesets/causes.yaml:1"}
    assert "own-words" in book.words
    assert len(book.causes) == 2


def test_the_last_folder_wins_and_all_that_was_replaced_is_named(sound: Path, write) -> None:
    first, second = write("first", causes=LEAK), write("second", causes=LEAK.replace("0.5", "0.6"))
    book = load_rulebook([first, second], folder=sound, cache=False)
    assert book.causes["rise"].base_rates["old-place"] == 0.6
    assert book.overridden["rise"] == f"rulesets/causes.yaml:1, {first.as_posix()}/causes.yaml:2"


def test_classes_of_place_of_a_further_folder_are_tried_first(sound: Path, write) -> None:
    causes = (
        (sound / "causes.yaml")
        .read_text(encoding="utf-8")
        .replace("any-place: 0.1", "any-place: 0.1, tiled-place: 0.1")
    )
    firm = write("firm", reference_classes=NEW_CLASS, causes=causes)
    book = load_rulebook([firm], folder=sound, cache=False)
    assert list(book.reference_classes) == ["tiled-place", "old-place", "any-place"]


def test_records_may_lie_in_a_folder_of_their_kind_over_several_files(sound: Path) -> None:
    before = load_rulebook(folder=sound, cache=False)
    (sound / "topics").mkdir()
    (sound / "topics.yaml").rename(sound / "topics" / "all.yaml")
    (sound / "topics" / "none.yaml").write_text("[]\n", encoding="utf-8")
    (sound / "README.md").write_text("Not records.\n", encoding="utf-8")
    (sound / ".hidden.yaml").write_text("Not records.\n", encoding="utf-8")
    assert load_rulebook(folder=sound, cache=False).digest == before.digest


@pytest.mark.parametrize(
    ("name", "found"), [("missing", "no such folder"), ("empty", "no records"), ("file.yaml", "found a file")]
)
def test_a_folder_that_holds_no_records_is_refused(sound: Path, tmp_path: Path, name: str, found: str) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "file.yaml").write_text("[]\n", encoding="utf-8")
    with pytest.raises(InvalidInput, match=found):
        load_rulebook([tmp_path / name], folder=sound, cache=False)


def test_a_file_that_is_not_utf_8_is_refused_with_its_name(sound: Path) -> None:
    (sound / "topics.yaml").write_bytes(b"- {id: water, title: W\xe4sser, account: x}\n")
    with pytest.raises(InvalidInput, match=r"rulesets/topics\.yaml: found bytes that are not UTF-8"):
        load_rulebook(folder=sound, cache=False)


def test_a_byte_order_mark_and_windows_line_ends_change_nothing(sound: Path) -> None:
    before = load_rulebook(folder=sound, cache=False)
    for file in sound.glob("*.yaml"):
        file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes().replace(b"\n", b"\r\n"))
    assert load_rulebook(folder=sound, cache=False) == before


def test_faults_of_all_files_and_of_the_records_together_come_at_once(sound: Path, write) -> None:
    firm = write("firm", causes=LEAK.replace("kind: wetting", "kind: weting").replace("rival: leak", "rival: leek"))
    (sound / "topics.yaml").write_text("- {id: water, title: Water}\n", encoding="utf-8")
    (sound / "echoes.yaml").write_text(
        (sound / "echoes.yaml").read_text(encoding="utf-8").replace("foot-wettest]", "foot-wetest]"), encoding="utf-8"
    )
    with pytest.raises(InvalidInput) as refusal:
        load_rulebook([firm], folder=sound, cache=False)
    fields = {problem.field for problem in refusal.value.problems}
    assert fields == {"rise.kind", "water.account", "wet-foot-group.members[1]"}


def test_a_rule_base_cannot_be_changed(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    with pytest.raises(dataclasses.FrozenInstanceError):
        book.digest = ""
    with pytest.raises(ValidationError):
        book.causes["rise"].title = "another"


def test_a_rule_base_can_be_sent_to_another_process(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    assert book.numbers
    assert book.mechanisms
    assert pickle.loads(pickle.dumps(book)) == book


def test_the_program_s_own_records_lie_beside_its_package() -> None:
    assert (own_folder() / "scales.yaml").is_file()
