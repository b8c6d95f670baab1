"""Digests: the same content gives the same digest, and any change of content another."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
import yaml

from engine.rulebook import load_rulebook


def rewritten(folder: Path, seed: int) -> None:
    """Every file with its records and fields in another order, in another style, with comments, in other files."""
    chance = random.Random(seed)
    for file in sorted(folder.glob("*.yaml")):
        records = yaml.load(file.read_text(encoding="utf-8"), yaml.BaseLoader)
        if file.stem != "reference_classes":
            chance.shuffle(records)
        for number, record in enumerate(records):
            fields = list(record.items())
            chance.shuffle(fields)
            records[number] = dict(fields)
        target = folder / file.stem
        target.mkdir()
        half = len(records) // 2 if file.stem != "reference_classes" else 0
        for name, part in (("b", records[:half]), ("a", records[half:])):
            text = yaml.dump(part, sort_keys=False, default_flow_style=chance.random() < 0.5)
            for quoted in sorted({f"'{number}'" for number in _numbers(part)}):
                text = text.replace(quoted, quoted.strip("'"))
            (target / f"{name}.yaml").write_text(f"# a comment\n{text}", encoding="utf-8")
        file.unlink()


def _numbers(data: object) -> set[str]:
    if isinstance(data, str):
        return {data} if data.replace(".", "", 1).removeprefix("-").isdigit() or data == "true" else set()
    parts = data.values() if isinstance(data, dict) else data
    return {number for part in parts for number in _numbers(part)}  # type: ignore[attr-defined]


@pytest.mark.parametrize("seed", range(5))
def test_order_style_comments_and_files_do_not_change_the_digest(sound: Path, seed: int) -> None:
    before = load_rulebook(folder=sound, cache=False)
    rewritten(sound, seed)
    after = load_rulebook(folder=sound, cache=False)
    assert after.digest == before.digest
    assert after.digests == before.digests


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("rules.yaml", "strength: for", "strength: slightly-for"),
        ("rules.yaml", "because: Old walls have no barrier.", "because: Old walls have none."),
        ("parameters.yaml", "value: 2.5", "value: 2.6"),
        ("causes.yaml", "any-place: 0.1}", "any-place: 0.11}"),
        ("echoes.yaml", "0.8", "0.7"),
    ],
)
def test_any_change_of_content_changes_the_digest_of_its_record_and_of_the_base(
    sound: Path, file: str, old: str, new: str
) -> None:
    before = load_rulebook(folder=sound, cache=False)
    text = (sound / file).read_text(encoding="utf-8")
    (sound / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    after = load_rulebook(folder=sound, cache=False)
    assert after.digest != before.digest
    assert sum(after.digests[name] != before.digests[name] for name in before.digests) == 1


def test_the_order_in_which_classes_of_place_are_tried_counts(sound: Path) -> None:
    (sound / "reference_classes.yaml").write_text(
        "- {id: old-place, title: old, when: {age: old}}\n- {id: new-place, title: new, when: {age: new}}\n"
        "- {id: any-place, title: age not known}\n",
        encoding="utf-8",
    )
    causes = (
        (sound / "causes.yaml").read_text(encoding="utf-8").replace("any-place: 0.1", "any-place: 0.1, new-place: 0.1")
    )
    (sound / "causes.yaml").write_text(causes, encoding="utf-8")
    before = load_rulebook(folder=sound, cache=False)
    lines = (sound / "reference_classes.yaml").read_text(encoding="utf-8").splitlines()
    (sound / "reference_classes.yaml").write_text("\n".join([lines[1], lines[0], lines[2]]), encoding="utf-8")
    after = load_rulebook(folder=sound, cache=False)
    assert after.digests == before.digests
    assert after.digest != before.digest


def test_a_value_written_as_its_default_is_the_same_content(sound: Path) -> None:
    before = load_rulebook(folder=sound, cache=False)
    text = (sound / "rules.yaml").read_text(encoding="utf-8")
    (sound / "rules.yaml").write_text(text.replace("stratum: admission", "stratum: admission\n  priority: 0"), "utf-8")
    assert load_rulebook(folder=sound, cache=False).digest == before.digest
