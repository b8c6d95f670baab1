"""How long masonry and screeds take to dry: bands from rules of thumb, for planning and not for proof."""

from __future__ import annotations

from dataclasses import dataclass

from engine.measures.ranges import above, within


@dataclass(frozen=True, slots=True)
class DryingTime:
    """A rule-of-thumb drying time and the band around it, all in the same unit of time."""

    typical: float
    shortest: float
    longest: float


def masonry_drying(thickness_mm: float, faces: int, months_per_25_mm: float, band: float) -> DryingTime:
    """Months for masonry to dry once its source has stopped: thickness to one face in steps of 25 mm.

    Thickness 10 to 1000 mm; ``faces`` 1 or 2, of which two halve the way; ``band`` (1 to 10) divides and
    multiplies. Traditional rule, usually ascribed to BRE Digest 163 (1974, from memory); good drying conditions.
    """
    within("thickness", thickness_mm, 10, 1000, "mm")
    within("drying faces", float(faces), 1, 2, "")
    above("months for 25 mm", months_per_25_mm, 0, 24, "months")
    within("band", band, 1, 10, "")
    typical = thickness_mm / faces / 25 * months_per_25_mm
    return DryingTime(typical, typical / band, typical * band)


def screed_drying(thickness_mm: float, band: float) -> DryingTime:
    """Days for a cement screed to dry from above: one day per mm to 50 mm and two per mm beyond.

    Thickness 10 to 200 mm. BS 8203 (from memory) gives a day per mm to 50 mm and says only that it is slower beyond;
    the two days are common practice without a source. A covering waits for 75 % under a sealed hygrometer, not for
    the calendar.
    """
    within("thickness", thickness_mm, 10, 200, "mm")
    within("band", band, 1, 10, "")
    typical = min(thickness_mm, 50.0) + 2 * max(thickness_mm - 50.0, 0.0)
    return DryingTime(typical, typical / band, typical * band)
