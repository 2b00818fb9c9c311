"""Every check goes over everybody in the car and says whose it is."""

from dataclasses import replace

import numpy as np
import pytest
from cages import bar, cage

from aboard import aboard
from body_cages import line
from cagewright.check.belts.findings import belts_findings
from cagewright.check.belts.mounts import mount_findings
from cagewright.check.body.near_driver import driver_findings
from cagewright.check.practice import practice_findings
from cagewright.check.sight.findings import sight_findings
from cagewright.frame.push_places import G, weight_of
from cagewright.plan.types import CarEntry, PersonEntry
from cagewright.shape.seated import everybody, seated_gaps
from cagewright.shape.types import Belts, Cage, Person
from seated import HARNESS_BAR, HIP, driver, lap_at, mount, seated, six

DRIVER = PersonEntry(hip=(1200, -330, 260), head=(1380, -330, 900), mass="80 kg")
CODRIVER = PersonEntry(hip=(1250, 330, 240), head=(1430, 330, 880), mass="70 kg")


def over(height: float) -> Cage:
    """A bar across the car over both helmets, ``height`` up to its axis."""
    across = bar("roof", "roof reinforcement", (1430, -600, height), (1430, 600, height))
    return replace(cage(across), people=aboard(DRIVER, CODRIVER))


def test_gaps_are_told_of_everybody_with_whose_they_are():
    found = {f.title: f for f in driver_findings(over(1080.0))}
    own, other = (found[f"no tube comes near the {who}'s helmet"] for who in ("driver", "codriver"))
    # a bar of 45 mm: from the codriver's ball 1080 - 880 - 150 - 22.5 mm, by hand
    assert other.measured.value == pytest.approx(27.5)
    assert own.measured.value == pytest.approx(np.hypot(50.0, 180.0) - 172.5)
    assert "codriver's helmet" in other.measured.said
    pads = [f for f in driver_findings(over(1080.0)) if f.rule == "body-padding"]
    assert "codriver's helmet, driver's helmet can reach it" in pads[0].measured.said


def test_one_alone_is_told_of_without_a_name():
    alone = replace(over(1080.0), people=aboard(DRIVER))
    assert "no tube comes near the helmet" in {f.title for f in driver_findings(alone)}
    assert {part.whose for part in everybody(alone)} == {""}
    assert {gap.whose for gap in seated_gaps(over(1080.0), everybody(over(1080.0)))} == {"driver", "codriver"}


def beside(codriver_belts: list, **more) -> Cage:
    """A driver with six belts at good angles, and a codriver with those belts."""
    one = seated(six(), standard="fsae-2024", **more)
    away = (HIP[0], -HIP[1], HIP[2])
    body = driver(hip=away, shoulder=(1400.0, 330.0, 750.0), groin=(1100.0, 330.0, 240.0))
    moved = [
        replace(b, mount=replace(b.mount, name=f"codriver.{b.mount.name}", point=b.mount.point * [1, -1, 1]))
        for b in codriver_belts
    ]
    belts = Belts(standard="fsae-2024", sheet=None, mounts=tuple(moved))
    return replace(one, people=(*one.people, Person(name="codriver", body=body, belts=belts)))


def test_each_harness_is_judged_on_its_own_body():
    found = [f for f in belts_findings(beside(lap_at(30.0))) if f.rule == "lap-angle"]
    by_who = {f.measured.said.startswith("codriver."): f.verdict for f in found}
    assert by_who == {True: "fail", False: "pass"}
    none = replace(beside([]), people=(beside([]).people[0], Person(name="codriver", body=CODRIVER)))
    told = [f for f in belts_findings(none) if f.verdict == "does not apply"]
    assert [f.title for f in told] == ["codriver's harness"]


def test_a_shoulder_mount_is_held_to_the_shoulder_of_who_wears_it():
    """The same mounts: where the codriver's shoulder is 60 mm higher they lie 60 mm further below it."""
    found = beside(six())
    driver_, other = found.people
    belts = replace(other.belts, standard="belt-maker-general")

    def below(up: float) -> float:
        shoulder = (1400.0, 330.0, 750.0 + up)
        body = other.body.model_copy(update={"shoulder": shoulder})
        told = belts_findings(replace(found, people=(driver_, replace(other, body=body, belts=belts))))
        return next(f.measured.value for f in told if f.rule == "below-shoulder")

    assert below(60.0) - below(0.0) == pytest.approx(60.0)


def test_belts_on_one_bar_pull_it_together():
    """Two shoulder belts on a bar, then another person's two beside them: twice the moment."""
    middle = float(HARNESS_BAR.path.length) / 2.0
    pair = [
        mount(f"shoulder_{s}", (1600.0, -325.0 + y, 700.0), member=HARNESS_BAR)
        for s, y in (("left", -50), ("right", 50))
    ]
    assert middle == pytest.approx(325.0)
    alone = seated(pair, standard="fsae-2024")
    both = replace(alone, people=(*alone.people, replace(alone.people[0], name="codriver")))
    said = [
        next(f for f in mount_findings(c) if "between joints" in str(f.measured)).measured.said
        for c in (alone, both)
    ]
    share = [float(text.split(": ")[1].split(" to ")[0]) for text in said]
    assert share[1] == pytest.approx(2.0 * share[0], abs=1.0)


def test_the_loaded_car_weighs_what_sits_in_it():
    one = replace(over(1200.0), car=CarEntry(mass="1000 kg"))
    assert weight_of(one) == pytest.approx(1150.0 * G)
    assert weight_of(replace(one, people=aboard(DRIVER))) == pytest.approx(1080.0 * G)
    assert weight_of(replace(one, people=())) == pytest.approx(1075.0 * G)  # UN R125's 75 kg (read)


def test_sight_is_the_driver_s():
    leg = bar("leg", "lateral half-rollbar", (700, -600, 200), (700, -560, 1200))
    body = line("pillar", (600, -640, 800), (1000, -560, 1200))
    two = replace(cage(leg, lines=[body]), people=aboard(DRIVER, CODRIVER))
    assert sight_findings(two) == sight_findings(replace(two, people=aboard(DRIVER)))


def test_practice_looks_at_everybody_s_belts():
    found = [f for f in practice_findings(beside(six())) if f.rule == "shoulder-height"]
    assert (
        sum("codriver." in f.measured.said for f in found)
        == 2
        == sum("codriver." not in f.measured.said for f in found)
    )
