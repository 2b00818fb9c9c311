"""Readings taken from a scan against what a tape reads on the same shell, and sections with known answers."""

import numpy as np
import pytest

from bodies import BODIES, mesh, points, survey
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.draft.scanned import corner_of, filled, half_at, roof_at, section_at
from cagewright.shape.mesh import mesh_of
from cagewright.stock.shop import NO_SHOP
from saloon import box

BOX = mesh_of(*box((1000.0, 1400.0, 900.0)))
FACET = 6.0
"""A corner of 140 mm radius in facets is deepest at one of their ends: up to this far along it, mm."""


def test_a_section_of_a_box_is_its_rectangle():
    cut = section_at(BOX, 100.0)
    assert half_at(cut, 0.0, -1) == pytest.approx(700.0)
    assert half_at(cut, 0.0, 1) == pytest.approx(700.0)
    assert roof_at(cut, 300.0) == pytest.approx(450.0)
    assert corner_of(cut, 1) == pytest.approx((700.0, 450.0))
    assert len(section_at(BOX, 600.0)) == 0
    assert roof_at(section_at(BOX, 600.0), 0.0) is None


def bare(body, file):
    """Only what a section has to be told: stations and heights, and what no section shows."""
    told = ("hoop_station", "sill_height", "front_foot", "turret", "door", "dash", "hip", "floor_height")
    kept = {name: file.readings[name] for name in told}
    where = points(body)
    kept["waist"] = {"left": (None, body.waist[1])}
    kept |= {name: {"left": (where[name][0], None, None)} for name in ("pillar_base", "pillar_top")}
    return file.model_copy(update={"readings": kept})


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_a_scan_reads_as_a_tape_does(body):
    whole = survey(body)
    read, taken = filled(bare(body, whole), mesh_of(*mesh(body, 60_000)))
    assert {"sill_side left", "waist right", "cant_rail left", "roof_height centre", "rail_mid right"} <= set(
        taken
    )
    for name in taken:
        reading, part = (*name.split(" "), "")[:2]
        got, wanted = read.readings[reading][part], whole.readings[reading][part]
        assert got == pytest.approx(wanted, abs=FACET), name


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_a_draft_from_a_scan_is_the_draft_from_the_tape(body):
    whole = survey(body)
    read, _ = filled(bare(body, whole), mesh_of(*mesh(body, 60_000)))
    taped, scanned = (draft(file, Limits(), NO_SHOP).hoop.left.places for file in (whole, read))
    assert scanned[:3] == pytest.approx(taped[:3], abs=FACET)


def test_what_was_read_on_the_car_is_kept():
    body = BODIES["saloon"]
    whole = survey(body)
    changed = {**whole.readings, "waist": {"left": (640.0, 700.0), "right": (641.0, 700.0)}}
    read, taken = filled(whole.model_copy(update={"readings": changed}), mesh_of(*mesh(body, 20_000)))
    assert read.readings["waist"] == changed["waist"]
    assert not any(name.startswith("waist") for name in taken)


def test_without_a_station_nothing_is_taken_at_the_hoop():
    body = BODIES["saloon"]
    gone = {k: v for k, v in bare(body, survey(body)).readings.items() if k != "hoop_station"}
    _, taken = filled(survey(body).model_copy(update={"readings": gone}), mesh_of(*mesh(body, 20_000)))
    assert not any(name.startswith(("cant_rail", "roof_height")) for name in taken)
    assert np.any([name.startswith("pillar_mid") for name in taken])


def test_each_side_has_its_own_half_width():
    aside = section_at(mesh_of(*box((1000.0, 1400.0, 900.0), middle=(0.0, 100.0, 0.0))), 100.0)
    assert half_at(aside, 0.0, -1) == pytest.approx(600.0)
    assert half_at(aside, 0.0, 1) == pytest.approx(800.0)
