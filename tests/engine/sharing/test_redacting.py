"""A redacted case holds nothing personal, is sound, and gives the same opinion."""

from __future__ import annotations

import re
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.case import parse_case, write_case
from engine.case.disclosure import disclosures
from engine.case.models import Case, Fact, Photograph
from engine.documents import Document, read_document
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import weigh_with
from engine.rulebook import Rulebook
from engine.sharing.companions import packed
from engine.sharing.redacting import redact, without_private_text
from engine.sharing.scrubbing import Known, outward, scrubbed
from engine.sharing.walking import changed, fields, without

PERSONAL = re.compile(
    r"brambleford|oriel|quillfeather|tamsin|netherwold|high street|high-street|4LP|01632|\+44|@|51\.5|SU 12|778899|4711"
    r"|hospital|lungs|confidence|behind a bed|bed\.jpg",
    re.IGNORECASE,
)
NOBODY = Known.of((), ())


def personal_attributes(rulebook: Rulebook) -> list[str]:
    return [question.id for question in rulebook.questions.values() if question.personal]


def test_the_case_that_is_redacted_here_fills_every_field_that_has_a_mark(everything: tuple[Path, Case]) -> None:
    _, case = everything
    filled = {(field.path[-2] if len(field.path) > 1 else "", field.path[-1]) for field in fields(case)}
    names = {field.path[-1] for field in fields(case)}
    from engine.case import base

    every = {name for model in _models(base.Model) for name in disclosures(model)}
    assert every <= names | {"conclusion", "key"}
    assert len(filled) > 20


def _models(base: type) -> list[type]:
    return [
        model
        for part in base.__subclasses__()
        for model in (part, *_models(part))
        if part.__module__.startswith("engine.case")
    ]


def test_nothing_personal_is_left_and_the_case_is_sound(everything: tuple[Path, Case], rulebook: Rulebook) -> None:
    path, case = everything
    redaction = redact(case, personal_attributes(rulebook), photographs=True)
    pack = packed(redaction.case, path.parent, "sent-files")
    text = write_case(pack.case)
    assert not PERSONAL.search(text), PERSONAL.findall(text)
    assert parse_case(read_document(Path("sent.yaml"), text=text), rulebook) == pack.case
    assert pack.case.dwelling.address == "ZZ9"
    assert "zz9," in str(pack.case.dwelling.note)
    assert pack.case.note is not None
    assert "The gable faces west." in pack.case.note
    assert sorted(pack.files) == ["sent-files/photograph-1.jpg", "sent-files/series-1.csv"]
    for content in pack.files.values():
        assert not re.search(r"oriel|brambleford|4711", content.decode("latin-1"), re.IGNORECASE)


def test_what_was_taken_out_is_told_without_saying_it_again(everything: tuple[Path, Case], rulebook: Rulebook) -> None:
    _, case = everything
    redaction = redact(case, personal_attributes(rulebook))
    told = [f"{one.place}: {one.what}" for one in redaction.taken]
    assert not [line for line in told if PERSONAL.search(line)]
    assert "dwelling.address: the address, but the outward part of the postcode, ZZ9" in told
    assert "dwelling.facts[1]: an answer about health or life (vulnerable-occupant)" in told
    assert "dwelling.facts[3]: a fact marked private (moisture-load)" in told
    assert "areas[0].photographs[0]: a photograph" in told
    assert "areas[0].photographs[1]: a photograph marked private" in told
    assert "note: text marked private" in told
    assert not any(line.startswith("dwelling.facts[1].") for line in told)


def test_every_free_text_that_is_left_is_listed_for_a_person_to_read(everything: tuple[Path, Case]) -> None:
    _, case = everything
    redaction = redact(case)
    left = {one.place: one.text for one in redaction.left}
    assert left["title"] == "Damp at the house of [removed]"
    assert left["commission.interests"] == "None; write to [removed] for more."
    assert "areas[0].facts[0].note" not in left
    assert left["ids of its parts"] == "area-1, core, first, joist, pins, shelf, wall, window"
    for mark in fields(redaction.case):
        if mark.mark.personal == "reviewed":
            assert str(mark.value) in left.values()


def test_redacting_twice_changes_nothing_more(everything: tuple[Path, Case], rulebook: Rulebook) -> None:
    _, case = everything
    once = redact(case, personal_attributes(rulebook))
    twice = redact(once.case, personal_attributes(rulebook))
    assert twice.case == once.case
    assert not twice.taken


def sent_from(path: Path, case: Case, rulebook: Rulebook, folder: Path) -> Case:
    """The case as somebody reads it to whom it was sent, redacted, with its files in a folder of their own."""
    pack = packed(redact(case, personal_attributes(rulebook)).case, path.parent, f"{path.stem}-files")
    for name, content in pack.files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    return parse_case(read_document(Path("sent.yaml"), text=write_case(pack.case)), rulebook)


def evidence(case: Case) -> Case:
    """The case without text: what no redaction may touch."""
    return changed(case, lambda field: "text" if field.required else None).model_copy(update={"key": None})


def test_redacting_the_casebook_leaves_all_evidence_that_is_not_personal_as_it_was(
    casebook: tuple[tuple[Path, Case], ...], rulebook: Rulebook
) -> None:
    personal = personal_attributes(rulebook)
    for path, case in casebook:
        kept, _ = without(case, lambda part: isinstance(part, Fact) and part.attribute in personal)
        assert evidence(redact(case, personal).case) == evidence(kept), path.stem


def test_personal_answers_bear_on_advice_alone(rulebook: Rulebook) -> None:
    personal = set(personal_attributes(rulebook))
    assert "vulnerable-occupant" in personal
    for rule in rulebook.rules.values():
        asked = personal & set(re.findall(r"[a-z0-9-]+", rule.model_dump_json(include={"when"})))
        assert not asked or rule.stratum == "advice", f"{rule.id} asks {asked}"
    observed = {
        test for finding in rulebook.findings.values() for test in re.findall(r"[a-z0-9-]+", str(finding.observed_by))
    }
    assert not personal & observed


@pytest.mark.parametrize(
    "name", ["raised-path", "loggers-in-a-dormer", "loggers-and-a-rain-gauge", "cellar-wall-and-washing"]
)
def test_redacted_cases_give_the_same_probabilities(
    name: str, casebook: tuple[tuple[Path, Case], ...], reasoner: Reasoner, rulebook: Rulebook, tmp_path: Path
) -> None:
    path, case = next((path, case) for path, case in casebook if path.stem == name)
    sent = sent_from(path, case, rulebook, tmp_path)
    before, after = (
        weigh_with(reasoner, case, folder=path.parent),
        weigh_with(reasoner, sent, folder=tmp_path),
    )
    for one, other in zip(before.areas, after.areas, strict=True):
        was = {cause.id: cause.probability for cause in one.causes}
        assert was == {cause.id: cause.probability for cause in other.causes}
        assert one.determined == other.determined


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Write to a.b+c@post.example.org today", "Write to [removed] today"),
        ("Ring 01632 960 001 or (01632) 960002.", "Ring [removed] or [removed]."),
        ("Ring +49 30 1234567 at ten", "Ring [removed] at ten"),
        ("In SW1A 1AA near it", "In SW1A near it"),
        ("in m1 1ae", "in m1"),
        ("At 51.50735, -0.12776 there", "At [removed] there"),
        ("At 51°30'26\"N 0°7'39\"W", "At [removed] [removed]"),
        ("Grid TQ 3008 8035 or TQ300803", "Grid [removed] or [removed]"),
        ("a\n(Private) b\nc\n\nd", "a\n\nd"),
        ("kept (private) not kept", "kept"),
    ],
)
def test_what_has_the_form_of_something_personal_goes(text: str, left: str) -> None:
    assert scrubbed(text, NOBODY)[0] == left


@pytest.mark.parametrize(
    "text",
    [
        "225 mm at the back door",
        "drill dust from 30 mm and from 190 mm, 3.734 g wet and 3.346 g dry",
        "read 18.2, 17.9 and 18.1 at 75, 300 and 1200 mm on 2026-03-11 10:30",
        "sample s1 2 mm deep, s2 30mm; R1 3ok",
        "the party wall at 1500 1600 1700 1800 mm",
        "0.5 K, 0.25 K",
        "two courses of slate",
    ],
)
def test_measurements_and_plain_words_stay(text: str) -> None:
    assert scrubbed(text, NOBODY) == (text, {})


def test_names_go_by_each_word_with_a_capital_and_roles_do_not_count_as_names() -> None:
    known = Known.of(["Mrs Jo Li-Wren", "owner", "Tenant of the flat"], ["Flat 2, 7 Rose Lane, Ambleford"])
    text, kinds = scrubbed(
        "Jo said that the Wren nest near 7 rose lane is wet; the Owner and a Tenant saw a rose.", known
    )
    assert text == "[removed] said that the [removed] nest near [removed] is wet; the Owner and a Tenant saw a rose."
    assert kinds == {"a name or address": 3}


def test_the_outward_part_of_a_postcode() -> None:
    assert [outward(text) for text in ("1 A St, EC1A 1BB", "x, w1t3jh, UK", "no code")] == ["EC1A", "W1T", None]


def test_text_marked_private_can_be_taken_out_alone(everything: tuple[Path, Case]) -> None:
    _, case = everything
    plain = without_private_text(case)
    assert plain.note == "Seen with Mrs Brambleford.\n\n  The gable faces west.".replace("\n  ", "\n")
    assert plain.areas[0].facts[0].note is None
    assert plain.dwelling == case.dwelling
    assert evidence(plain) == evidence(case)


@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_any_sound_case_can_be_redacted_stays_sound_and_keeps_its_evidence(
    data: st.DataObject, strategies: ModuleType
) -> None:
    case = parse_case(Document("case.yaml", data.draw(strategies.written_cases()), {}))
    personal = {fact.attribute for fact in case.dwelling.facts[:1]}
    sent = redact(case, personal).case
    assert parse_case(read_document(Path("sent.yaml"), text=write_case(sent))) == sent
    kept, _ = without(case, lambda part: isinstance(part, Fact) and (part.private or part.attribute in personal))
    kept, _ = without(kept, lambda part: isinstance(part, Photograph))
    assert evidence(sent).model_copy(update={"id": case.id}) == evidence(kept)
    assert not [field for field in fields(sent) if field.mark.personal in ("name", "identifier")]
