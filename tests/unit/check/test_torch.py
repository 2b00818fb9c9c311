"""Torch access: stages, what is in the way, what is said about it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from body_cages import branch, cage, end, foot, line, saw, straight, tee
from cagewright.base.cache import Cache
from cagewright.check.findings import Finding
from cagewright.check.torch import access as asking
from cagewright.check.torch.access import Access, torch_access
from cagewright.check.torch.findings import (
    arcs_words,
    longest_wire,
    thinnest_nozzle,
    torch_findings,
)
from cagewright.check.torch.poses import TORCH, Torch, leans, reachable
from cagewright.check.torch.stages import Stage, whole_stages
from cagewright.check.torch.weld_points import weld_lines
from cagewright.shape.shell import shell_of
from cagewright.shape.types import Cage


def accesses(made: Cage, **more) -> tuple[Access, ...]:
    return torch_access(made, shell_of(made, None), **more)


def only(findings: tuple[Finding, ...]) -> Finding:
    (finding,) = findings
    return finding


def roofed(height: float) -> Cage:
    """The T joint lying under a roof skin: the branch runs across, the skin is level above."""
    main = straight("main", (-600, 0, 1200), (600, 0, 1200), od=45, role="main rollbar")
    twig, joint = branch("branch", "main", up=(0.0, 1.0, 0.0), at_origin=(0.0, 0.0, 1200.0))
    z = 1200.0 + height
    lines = [
        line("cant_rail_left", (-700, -600, z), (700, -600, z)),
        line("cant_rail_right", (-700, 700, z), (700, 700, z)),
        line("floor_low", (0, 0, 0), (700, 0, 0)),
    ]
    return cage(main, twig, joints=(joint,), lines=lines)


# ---- what is in the way


def test_free_air_passes_in_words():
    finding = only(torch_findings(tee(), None))
    assert finding.verdict == "pass"
    assert finding.rule == "torch-access"
    assert finding.book == "body"
    assert finding.measured.said.startswith("100 % can be reached")
    assert finding.where.joints == ("branch.start",)
    assert "shop default, no source" in finding.why
    assert "the body is unknown" in finding.why
    assert finding.advice == ""


def test_a_crotch_too_tight_fails_and_names_a_nozzle_that_fits():
    finding = only(torch_findings(tee(angle=math.radians(30)), None))
    assert finding.verdict == "fail"
    arc = "the crotch, from 175° to 185° round from the heel"
    assert finding.advice.startswith(f"{arc}: the tubes close to 30°")
    wire = longest_wire(math.radians(30), TORCH)
    assert f"{wire:.0f} mm of wire" in finding.advice
    assert accesses(tee(angle=math.radians(30)), torch=Torch(stickout=wire))[0].ever == 1.0
    nozzle = thinnest_nozzle(math.radians(30), TORCH)
    assert accesses(tee(angle=math.radians(30)), torch=Torch(nozzle=nozzle))[0].ever == 1.0
    assert accesses(tee(angle=math.radians(30)), torch=Torch(nozzle=nozzle + 1.0, angles=1))[0].ever < 1.0


def test_a_tube_over_the_weld_is_named():
    lid = straight("lid", (-400, -42, 0), (400, -42, 0), od=38)
    made = tee(more=(lid,))
    (access,) = accesses(made)
    assert access.ever < 1.0
    assert {arc.blocked_by for arc in access.arcs} == {("lid",)}
    finding = only(torch_findings(made, None))
    assert finding.verdict == "fail"
    assert "weld it before lid is tacked in, or move lid" in finding.advice


def test_a_weld_point_inside_another_tube_cannot_be_reached():
    """A second branch beside the first runs over part of its weld line: only the torch's way out is free."""
    other, joint = branch("other", "main", at_origin=(25.0, 0.0, 0.0))
    first = tee()
    made = cage(*first.members, other, joints=(*first.joints, joint))
    access = next(a for a in accesses(made) if a.line.branch == "branch")
    (arc,) = access.arcs
    assert arc.when == "tubes"
    assert arc.blocked_by == ("other",)
    assert math.degrees(arc.start) < 180.0 < math.degrees(arc.stop)


def test_a_thin_rod_over_the_weld_covers_it_though_the_nozzle_would_pass():
    rod = straight("rod", (-400, -19, 12), (400, -19, 12), od=10)
    (access,) = accesses(tee(more=(rod,)))
    (arc,) = access.arcs
    assert arc.blocked_by == ("rod",)
    assert math.degrees(arc.start) < 90.0 < math.degrees(arc.stop)


def test_two_equal_tubes_end_to_end_share_a_weld_point_and_do_not_block_it():
    """Opposite branches of the main's own size touch in one point at either side: one weld runs over both."""
    main = straight("main", (-1000, 0, 0), (1000, 0, 0), od=38)
    up, one = branch("up", "main", main_od=38.0, od=38.0)
    down, two = branch("down", "main", main_od=38.0, od=38.0, up=(0.0, 0.0, -1.0))
    for access in accesses(cage(main, up, down, joints=(one, two))):
        assert access.ever == 1.0


def test_under_a_low_roof_the_top_is_reached_only_with_the_cage_dropped():
    (access,) = accesses(roofed(70.0))
    assert access.last < 1.0
    assert access.ever == 1.0
    assert {(arc.when, arc.side) for arc in access.arcs} == {("earlier", "the roof side")}
    assert {arc.stage for arc in access.arcs} == {"in the car, dropped 100 mm"}
    finding = only(torch_findings(roofed(70.0), None))
    assert finding.verdict == "pass"
    assert "only in the car, dropped 100 mm: the roof side, from" in finding.measured.said


def test_under_a_lower_roof_the_body_is_cut_there():
    made = roofed(35.0)
    stages = (Stage(name="in place", members=("main", "branch"), body=True, feet=True),)
    (access,) = accesses(made, stages=stages)
    assert {arc.when for arc in access.arcs} == {"body"}
    finding = only(torch_findings(made, None, stages=stages))
    assert finding.verdict == "fail"
    assert "only if the body is cut there near cant_rail" in finding.advice
    assert finding.where.point[2] > 1200.0


def test_a_higher_roof_hides_less():
    def share(height):
        return accesses(roofed(height))[0].last

    assert share(35.0) < share(70.0) < share(400.0) == 1.0


def test_no_weld_is_made_by_wire_put_through_the_roof():
    """Under a skin nearer than the wire is long, a torch on the roof's outside would have room to stand."""
    low, high = (accesses(roofed(h))[0] for h in (27.0, 35.0))  # 8 and 16 mm over the branch
    assert low.last < high.last


def test_a_cage_dropped_from_a_roof_is_one_under_a_higher_roof():
    def share(height, drop):
        stage = Stage(
            name="in place", members=("main", "branch"), body=True, shift=(0.0, 0.0, -drop), feet=True
        )
        return accesses(roofed(height), stages=(stage,))[0].last

    assert share(20.0, 50.0) == share(70.0, 0.0) < 1.0
    assert share(70.0, 30.0) == share(100.0, 0.0)


def standing(height: float) -> Cage:
    """A seat rail's end on a side plate at that height over the lowest plate edge."""
    cut = saw(np.array([0.0, -640.0, 0.0]), np.array([0.0, 1.0, 0.0]))
    rail = straight(
        "rail", (0, -640, 0), (0, 0, 0), od=30, role="seat mount", start=end("start", cut, foot="seat")
    )
    made = foot("seat", (0, -640, 0), normal=(0, 1, 0), plate=(80.0, 60.0, 3.0), members=("rail",))
    sill = line("sill_left", (-900, -700, -height), (900, -700, -height))
    return cage(rail, feet=[made], lines=[sill, line("sill_right", (-900, 700, 0), (900, 700, 0))])


def test_an_assumed_floor_never_fails_a_weld():
    finding = only(torch_findings(standing(0.0), None))
    assert finding.verdict == "look at"
    assert "the assumed floor is in the way" in finding.advice
    assert finding.where.feet == ("seat",)
    assert only(torch_findings(standing(400.0), None)).verdict == "pass"


# ---- stages


def test_with_a_body_the_whole_cage_is_tried_slid_back_and_hung_low_too():
    shifts = [(stage.body, stage.shift, stage.feet) for stage in whole_stages(tee(), body=True)]
    assert shifts == [
        (True, (120.0, 0.0, 0.0), False), (True, (0.0, 0.0, -100.0), False), (True, (0.0, 0.0, 0.0), True),
    ]  # fmt: skip
    (last,) = whole_stages(tee(), body=False)
    assert last.name == "with everything tacked in place"


def test_a_joint_is_not_welded_before_its_tubes_are_there():
    stages = (
        Stage(name="early", members=("main",), body=False, feet=False),
        Stage(name="late", members=("main", "branch"), body=False, feet=True),
    )
    (access,) = accesses(tee(), stages=stages)
    assert access.shares == (("early", None), ("late", 1.0))


def test_what_is_not_there_yet_is_not_in_the_way():
    lid = straight("lid", (-400, -42, 0), (400, -42, 0), od=38)
    made = tee(more=(lid,))
    stages = (
        Stage(name="before the lid", members=("main", "branch"), body=False, feet=False),
        Stage(name="with the lid", members=("main", "branch", "lid"), body=False, feet=True),
    )
    (access,) = accesses(made, stages=stages)
    assert access.ever == 1.0
    assert access.last < 1.0
    assert {arc.stage for arc in access.arcs} == {"before the lid"}


def test_no_welds_no_findings():
    assert torch_findings(cage(straight("bar", (0, 0, 0), (1, 0, 0))), None) == ()


# ---- words and poses


def test_arcs_are_told_side_by_side():
    (access,) = accesses(roofed(70.0))
    (arc,) = access.arcs[:1]
    other = _moved(arc, 0.2, 0.4)
    assert arcs_words([other, _moved(arc, 0.6, 0.8)]) == (
        "the roof side, from 11° to 23° and from 34° to 46° round from the heel"
    )
    assert arcs_words([_moved(arc, 0.0, 2.0 * math.pi)]) == "all round"


def _moved(arc, start, stop):
    return replace(arc, start=start, stop=stop)


def test_the_straightest_pose_is_tried_first_and_all_within_the_slack():
    tried = leans(TORCH)
    assert tried[0] == (0.0, 0.0)
    assert len(tried) == 25
    assert max(abs(w) for w, _ in tried) == pytest.approx(TORCH.work_slack)
    assert max(abs(t) for _, t in tried) == pytest.approx(TORCH.travel_slack)


def test_points_that_meet_no_main_are_no_weld():
    made = tee()
    cut = made.members[1].ends[0].cut
    on = cut.on.copy()
    on[:18] = -1
    member = made.members[1]
    changed = replace(member, ends=(replace(member.ends[0], cut=replace(cut, on=on)), member.ends[1]))
    (welded,) = weld_lines(cage(made.members[0], changed, joints=made.joints))
    assert len(welded.phi) == 27  # of 36, the first 18 of 72 points left out
    assert float(welded.phi.min()) == pytest.approx(math.radians(90))


def test_a_leaning_foot_is_a_ring_on_its_plate():
    made = standing(0.0)
    (ring,) = weld_lines(made)
    assert ring.points[:, 1] == pytest.approx(np.full(36, -640.0))
    assert float(ring.run.sum()) == pytest.approx(math.pi * 30.0, rel=2e-3)  # chords of 36 points


# ---- asked once


def boxed() -> Cage:
    """Bars that only the torch's handle comes to."""
    spots = [(y, 160) for y in range(-160, 161, 20) if abs(y) > 35]
    spots += [(side, z) for side in (-160, 160) for z in range(-160, 160, 20)]
    bars = [straight(f"bar{i}", (-500, y, z), (500, y, z), od=20) for i, (y, z) in enumerate(spots)]
    return tee(more=tuple(bars))


def test_what_was_asked_before_is_answered_as_if_it_were_not(monkeypatch: pytest.MonkeyPatch):
    lid = tee(more=(straight("lid", (-400, -42, 0), (400, -42, 0), od=38),))
    far = tee(more=(straight("far", (-400, -900, 0), (400, -900, 0), od=38),))
    cages = (tee(), far, boxed(), lid, roofed(70.0), roofed(60.0), tee(angle=1.0))
    asked: list[int] = []

    def counted(points, around, torch):
        asked.append(len(points.at))
        return reachable(points, around, torch)

    monkeypatch.setattr(asking, "reachable", counted)
    told = dict[int, list[tuple]]()
    for most in (0, 1000):
        monkeypatch.setattr(asking, "_REACHED", Cache(most=most))
        told[most] = [(one.shares, one.ever) for made in (*cages, *cages) for one in accesses(made)]
        asked.append(-1)
    assert told[0] == told[1000]
    first, again, _ = "".join("|" if n < 0 else "." for n in asked).split("|")
    assert len(again) < 0.6 * len(first)
    assert told[0][0] == told[0][1]
    assert told[0][0] != told[0][2]
