"""Profiles, samples, climate, evidence and change hold the case's own numbers and can be read without sight."""

from __future__ import annotations

from pathlib import Path
from statistics import median

import psychrolib
import pytest

from engine.case import read_case
from engine.measures.loggers import read_loggers
from engine.opinion import weigh_with
from engine.opinion.reasoner import Reasoner
from engine.reporting.figures import figures_of
from engine.reporting.figures.climate import climate_figure
from engine.reporting.figures.models import ClimateSpot, ClimateStrip
from engine.reporting.figures.weights import evidence_figure, evidence_weights

ROOT = Path(__file__).resolve().parents[4]


def test_a_profile_runs_up_one_column_and_its_levels_are_those_of_the_map(figures):
    (profile,) = figures("raised-path", "height-profile")
    maps = {f.data.mode: f.data for f in figures("raised-path", "wall-map") if f.data.surface == "garden-wall"}
    for course in profile.data.courses:
        marks = maps[course.mode].marks
        assert len(course.points) == len(marks)
        column = [(m.height_mm, m.excess) for m in marks if m.x_mm == course.column_mm]
        assert dict(course.line) == pytest.approx(dict(column))
        assert list(course.line) == sorted(course.line)


def test_a_profile_names_the_heights_that_matter(figures):
    (profile,) = figures("raised-path", "height-profile")
    heights = {one.words: one.height_mm for one in profile.data.heights}
    assert heights == {"skirting": 50, "ground outside": 20, "damp-proof course": -40}


def test_samples_are_moisture_contents_of_dry_mass(worked, figures):
    """Moisture content by mass, (wet − dry)/dry: BS EN ISO 12570, from memory."""
    taken = {s.id: s for area in worked("raised-path").case.areas for s in area.samples}
    (profile,) = figures("raised-path", "sample-profile")
    assert {point.sample for point in profile.data.points} == set(taken)
    for point in profile.data.points:
        sample = taken[point.sample]
        assert point.found_percent == pytest.approx(100 * (sample.wet_g - sample.dry_g) / sample.dry_g)
        assert point.hygroscopic_percent == pytest.approx(100 * (sample.conditioned_g - sample.dry_g) / sample.dry_g)


def test_the_dew_point_of_a_spot_is_that_of_the_room_air(figures):
    """Against psychrolib 2.x (ASHRAE Handbook of Fundamentals 2017, chapter 1)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    (strip,) = figures("raised-path", "climate-strip")
    for spot in strip.data.spots:
        wanted = psychrolib.GetTDewPointFromRelHum(spot.air_c, spot.humidity_percent / 100)
        assert spot.dew_point_c == pytest.approx(wanted, abs=0.05)


def test_a_surface_below_the_dew_point_is_said_to_be_below_it():
    spot = ClimateSpot("1 May 2025", "north wall", 9.0, 0.5, 20.0, 60.0, 12.0, False)
    figure = climate_figure(ClimateStrip((spot,), (), None, 0.0), "room")
    assert "9 °C, 3 K below the dew point of the room air, 12 °C" in figure.alt
    assert figure.table.rows[0][-1] == "−3"


def test_a_logged_strip_keeps_the_extremes_of_every_series(worked, figures):
    found = worked("loggers-in-a-let-terrace")
    for area in found.case.areas:
        logged = {one.logger.id: one.record for one in read_loggers(area, found.folder, 1.0).series}
        (figure,) = (f for f in found.figures[area.id] if f.kind == "climate-strip")
        assert {course.logger for course in figure.data.courses} == set(logged)
        for course in figure.data.courses:
            if course.quantity in ("temperature", "humidity"):
                values = logged[course.logger].columns[course.quantity]
                assert min(span.least for span in course.spans) == values.min()
                assert max(span.greatest for span in course.spans) == values.max()
                assert all(span.least <= span.mean + 1e-9 <= span.greatest + 2e-9 for span in course.spans)


def test_evidence_is_the_opinions_own_for_first_against_last(worked):
    (area,) = worked("raised-path").opinion.areas
    (found,) = evidence_weights(area)
    cause = next(cause for cause in area.causes if cause.id == found.cause)
    assert found.cause in area.leading
    weights = [weight.decibans for weight in found.weights]
    assert weights == sorted((r.decibans for r in cause.reasons if abs(r.decibans) >= 0.5), reverse=True)
    assert "do not add up" in evidence_figure(found, area.id).table.caption


def test_a_change_is_after_less_before_and_its_median_the_measured_one(worked, figures):
    (figure,) = figures("flood-drying-over-a-year", "visit-change")
    changes = [place.after - place.before for place in figure.data.places]
    assert median(changes) == pytest.approx(figure.data.median_change)
    assert (figure.data.earlier, figure.data.later) == ("22 July 2025", "23 September 2025")
    levels = [level for _, _, level in figure.data.course]
    assert levels == sorted(levels, reverse=True)
    assert len(levels) == 3


def test_figures_can_be_read_without_sight_in_every_seventh_case_of_the_casebook(book):
    """Every figure has a sentence, a table of its own width, and an id of its own."""
    reasoner, seen = Reasoner(book, "python"), set()
    for path in sorted((ROOT / "casebook").glob("*/*.yaml"))[::7]:
        case = read_case(path, vocabulary=book)
        opinion = weigh_with(reasoner, case, folder=path.parent)
        ids = []
        for area in case.areas:
            for figure in figures_of(case, area.id, opinion, book, path.parent):
                seen.add(figure.kind)
                ids.append(figure.id)
                assert len(figure.alt) > 60, figure.id
                assert figure.alt.rstrip().endswith("."), figure.id
                assert figure.table.rows, figure.id
                assert {len(row) for row in figure.table.rows} == {len(figure.table.header)}, figure.id
                assert set(figure.table.figures) <= set(range(len(figure.table.header)))
        assert len(set(ids)) == len(ids)
    assert {"wall-map", "height-profile", "climate-strip", "evidence-weights"} <= seen
