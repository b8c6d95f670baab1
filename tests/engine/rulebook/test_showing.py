"""Pages of records: complete in both directions, for every kind of record."""

from __future__ import annotations

import math

import pytest

from engine.errors import InvalidInput
from engine.inference.belief import Observation
from engine.inference.facts import Sureness
from engine.rulebook import load_rulebook
from engine.rulebook.compiling import network
from engine.rulebook.kinds import KINDS
from engine.rulebook.references import references
from engine.rulebook.relations import near_names, referred_to_by, refers_to
from engine.rulebook.showing import listing, show
from engine.rulebook.strengths import strengths


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook(cache=False)


@pytest.fixture(scope="module")
def some(rulebook):
    """A few records of every kind: the first, the last, and one between."""
    return [
        name
        for records in rulebook.kinds.values()
        for name in dict.fromkeys((next(iter(records)), list(records)[len(records) // 2], list(records)[-1]))
    ]


def texts(entries):
    for entry in entries:
        yield entry.text
        yield from texts(entry.under)


def test_records_of_every_kind_have_a_page_with_every_field_that_is_set(rulebook, some):
    assert {rulebook.kind_of(name) for name in some} == set(KINDS)
    for name in some:
        shown = show(rulebook, name)
        text = " ".join(said for section in shown.sections for said in texts(section.entries)).replace("-", " ")
        assert shown.written_at.startswith("rulesets/")
        for value in shown.data["record"].values():
            if isinstance(value, str) and value not in (name, shown.title, "secondary", "from_memory"):
                assert value.replace("-", " ") in text, (name, value)


def test_no_page_shows_a_bare_python_object(rulebook, some):
    for name in some:
        for section in show(rulebook, name).sections:
            for text in texts(section.entries):
                assert "Test(" not in text
                assert "=(" not in text
                assert "None" not in text.split()


def test_what_one_record_refers_to_knows_of_it_and_the_other_way_round(rulebook, some):
    for name in some:
        for relation in refers_to(rulebook, name):
            for other in relation.ids:
                assert any(name in back.ids for back in referred_to_by(rulebook, other)), (name, other)


def test_every_reference_of_the_base_has_words(rulebook):
    targets = {reference.name for reference in references(rulebook)}
    for name in sorted(targets)[::25]:
        assert all(relation.phrase and relation.ids for relation in referred_to_by(rulebook, name))


def test_strengths_are_the_weights_of_evidence_of_the_network_for_one_cause_alone(rulebook):
    """Against the belief network itself: prior even odds on one cause, all others ruled out, one finding."""
    net = network(rulebook)
    priors = dict.fromkeys(rulebook.causes, 0.0)
    for one in [s for s in strengths(rulebook, cause="ground-rise") if s.state == "present"][:12]:
        for state, weight in (("present", one.seen), ("absent", one.unseen)):
            seen = Observation(one.finding, state, Sureness.CERTAIN)
            after = net.weigh({**priors, "ground-rise": 0.5}, (seen,), exact=True).marginals["ground-rise"]
            assert 10 * math.log10(after / (1 - after)) == pytest.approx(weight, abs=1e-6)


def test_an_unknown_id_is_refused_with_the_nearest_names(rulebook):
    with pytest.raises(InvalidInput, match="near it: tide-line"):
        show(rulebook, "tide-lin")
    assert near_names(rulebook, "zzzz") == ()


def test_a_listing_can_be_narrowed_to_a_kind_and_a_topic(rulebook):
    assert len(listing(rulebook)) == len(rulebook.records)
    causes = listing(rulebook, "causes", "salts")
    assert [name for _, name, _ in causes] == [c.id for c in rulebook.causes.values() if c.topic == "salts"]
