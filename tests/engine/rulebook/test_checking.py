"""The report of a check: faults apart from remarks, counts, text; and who refers to whom."""

from __future__ import annotations

from pathlib import Path

from engine.rulebook import load_rulebook, read_rulebook
from engine.rulebook.checking import check_rulebook, report_text
from engine.rulebook.references import Reference, references


def test_the_report_counts_records_retired_rules_and_fields_left_open(sound: Path) -> None:
    text = (sound / "rules.yaml").read_text(encoding="utf-8")
    text = text.replace("misleads: When the reference itself was wet.", "misleads: not_assessed")
    (sound / "rules.yaml").write_text(text.replace("status: tested", "status: retired", 1), encoding="utf-8")
    counts = check_rulebook(load_rulebook(folder=sound, cache=False)).counts
    assert (counts["rules"], counts["causes"], counts["reference classes"]) == (5, 2, 2)
    assert (counts["rules that are retired"], counts["fields not assessed"]) == (1, 1)


def test_a_base_taken_from_the_cache_gives_the_same_report_as_one_read_anew(sound: Path, write) -> None:
    firm = write(
        "firm",
        cautions="- {id: own, title: own, topic: water, rank: 1, text: x, defer_to: y,\n"
        "   source: [{source: judgement}]}\n",
    )
    anew, _ = read_rulebook([firm], folder=sound)
    assert load_rulebook([firm], folder=sound) == anew
    kept = load_rulebook([firm], folder=sound)
    assert anew.places
    assert not kept.places
    assert check_rulebook(kept) == check_rulebook(anew)
    assert [remark.field for remark in check_rulebook(kept).remarks] == ["own"]


def test_the_text_lists_faults_then_remarks_then_counts(sound: Path, write) -> None:
    firm = write("firm", topics="- {id: water, title: Water}\n")
    text = report_text(sound, [firm])
    first, second, *_ = text.splitlines()
    assert first.startswith(f"{firm.as_posix()}/topics.yaml:1: water.account: found nothing")
    assert second == "1 faults"
    assert text.splitlines()[-1].strip() == "0 fields not assessed"


def test_records_that_cannot_be_read_make_no_further_faults_where_others_name_them(sound: Path, write) -> None:
    firm = write("firm", causes="- {id: rise, title: 3}\n")
    rulebook, problems = read_rulebook([firm], folder=sound)
    assert {problem.field.partition(".")[0] for problem in problems} == {"rise"}
    assert check_rulebook(rulebook).faults == ()


def test_every_reference_of_a_sound_base_leads_to_a_record_of_the_right_kind(sound: Path) -> None:
    book = load_rulebook(folder=sound, cache=False)
    found = set(references(book))
    assert all(book.kind_of(reference.name) in (reference.kinds or book.kinds) for reference in found)
    assert {
        Reference("old-leans-to-rise", ("conclude", 0, "leaning"), "rise", ("causes",)),
        Reference("leak-is-mended", ("when", "belief.leak"), "leak", ("causes",)),
        Reference("rise", ("gate", 0, "checks", 0, "step"), "run-the-tap", ("steps",)),
        Reference("old-place", ("when", "age"), "age", ("questions", "measures", "findings")),
        Reference("wet-foot-group", ("members", 1), "foot-wettest", ("findings",)),
        Reference("mend-the-pipe", ("after", 0), "run-the-tap", ("steps",)),
    } <= found
