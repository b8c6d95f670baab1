"""Two rule bases beside each other: what was added, removed and changed, and nothing that only looks different."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from engine.rulebook import load_rulebook, read_rulebook
from engine.rulebook.comparing_bases import FieldChange, compare_bases


@pytest.fixture
def edit(sound: Path):
    """Change the records of one file of the sound base, as data, and load it."""

    def edited(kind, change):
        path = sound / f"{kind}.yaml"
        records = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)  # words stay words
        change(records)
        path.write_text(yaml.safe_dump(records, sort_keys=True), encoding="utf-8")
        return load_rulebook(folder=sound, cache=False)

    return edited


@pytest.fixture
def before(sound: Path):
    return load_rulebook(folder=sound, cache=False)


def test_the_same_records_in_another_layout_do_not_differ(before, sound):
    words = sound / "cautions.yaml"
    text = words.read_text(encoding="utf-8")
    words.unlink()
    (sound / "cautions").mkdir()
    (sound / "cautions" / "moved.yaml").write_text(f"# moved\n\n{text}", encoding="utf-8")
    assert compare_bases(before, load_rulebook(folder=sound, cache=False)) == ()


def test_a_changed_strength_is_told_by_its_field_with_both_words(before, edit):
    after = edit("findings", lambda records: records[0]["makes"].update(rise="usually"))
    (change,) = compare_bases(before, after)
    assert (change.id, change.what, change.kind) == ("stain", "changed", "finding")
    assert change.fields == (FieldChange("makes.rise", "often", "usually"),)
    assert change.at.endswith("findings.yaml:1")


def test_a_field_that_was_not_set_before_has_nothing_before(before, edit):
    after = edit("findings", lambda records: records[0].update(note="Look twice."))
    (change,) = compare_bases(before, after)
    assert change.fields == (FieldChange("note", None, "Look twice."),)


def test_added_and_removed_records_are_told_the_other_way_round_when_the_bases_change_places(before, write, sound):
    extra = write("extra", sources="- {id: notes, title: Notes, kind: judgement}\n")
    after = load_rulebook([extra], folder=sound, cache=False)
    (added,), (removed,) = compare_bases(before, after), compare_bases(after, before)
    assert (added.id, added.what, added.kind) == ("notes", "added", "source")
    assert (removed.id, removed.what) == ("notes", "removed")


def test_every_change_holds_the_other_way_round(before, edit):
    def change(records):
        records[0]["makes"]["rise"] = "usually"
        records[0]["title"] = "another title"

    after = edit("findings", change)
    forward, backward = compare_bases(before, after)[0].fields, compare_bases(after, before)[0].fields
    assert {(f.field, f.before, f.after) for f in forward} == {(f.field, f.after, f.before) for f in backward}


def test_a_list_that_grew_is_told_as_a_whole(before, edit):
    after = edit("findings", lambda records: records[0]["source"].append({"source": "handbook"}))
    (change,) = compare_bases(before, after)
    (field,) = change.fields
    assert field.field == "source"
    assert len(field.after) == len(field.before) + 1


def test_reference_classes_in_another_order_are_told_for_the_first_that_holds_counts(write, sound):
    plain = "- {id: p1, title: one, when: {age: old}}\n- {id: p2, title: two, when: {age: old}}\n"
    causes = (sound / "causes.yaml").read_text(encoding="utf-8")
    (sound / "causes.yaml").write_text(causes.replace("old-place: ", "p1: 0.1, p2: 0.1, old-place: "), encoding="utf-8")
    one = write("one", reference_classes=plain)
    two = write("two", reference_classes="\n".join(reversed(plain.splitlines())) + "\n")
    first, second = (read_rulebook([folder], folder=sound)[0] for folder in (one, two))
    (change,) = compare_bases(first, second)
    assert change.fields[0].field == "(order)"
    assert change.fields[0].after[:2] == ["p2", "p1"]
