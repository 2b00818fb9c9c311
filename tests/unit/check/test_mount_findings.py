"""Findings on the strength of belt mounts: what is asked for, and what the bar says."""

import numpy as np
import pytest

from aboard import changed
from cagewright.check.belts.mount_bar import BarSpan, span_of, use_of
from cagewright.check.belts.mounts import mount_findings
from cagewright.check.findings import Finding
from cagewright.shape.types import Joint
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube
from seated import BAR, HARNESS_BAR, mount, seated, shoulder_at, straight


def titled(word: str, findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if word in f.title]


def test_without_belts_or_driver_nothing_is_said_here():
    cage = seated(shoulder_at(5.0), standard="fsae-2024")
    assert mount_findings(changed(cage, belts=None)) == ()
    assert mount_findings(changed(cage, body=None)) == ()


def test_a_standard_without_loads_cannot_tell():
    found = mount_findings(seated(shoulder_at(5.0), standard="nz-speedway-2010"))
    assert [f.verdict for f in found] == ["cannot tell"]
    assert "gives no load" in found[0].why


@pytest.mark.parametrize(
    ("missing", "ask"), [({"bolt": None}, "give the bolt"), ({"tab": None}, "give the tab")]
)
def test_a_missing_part_is_asked_for(missing, ask: str):
    found = mount_findings(
        seated([mount("lap_left", (1270.0, -530.0, 150.0), **missing)], standard="fsae-2024")
    )
    assert any(f.verdict == "cannot tell" and ask in f.advice for f in found)


def test_a_weld_without_a_throat_is_asked_for():
    from seated import TAB

    bare = TAB.model_copy(update={"throat": None})
    found = mount_findings(
        seated([mount("lap_left", (1270.0, -530.0, 150.0), tab=bare)], standard="fsae-2024")
    )
    assert any("throat" in f.advice for f in found)


def test_a_load_from_memory_neither_passes_nor_fails():
    found = mount_findings(seated([mount("lap_left", (1270.0, -530.0, 150.0))], standard="fia-253-6.2-2013"))
    assert {f.verdict for f in found} == {"looks kept"}
    assert {f.book for f in found} == {"fia-253-6.2-2013"}  # not another edition with the same loads
    weak = mount("lap_left", (1270.0, -530.0, 150.0), bolt=None)
    from seated import BOLT

    weak = mount(
        "lap_left", (1270.0, -530.0, 150.0), bolt=BOLT.model_copy(update={"size": "M8", "grade": "8.8"})
    )
    found = mount_findings(seated([weak], standard="fia-253-6.2-2013"))
    assert {f.verdict for f in found} == {"looks broken"}


def test_a_tab_on_a_tube_is_held_by_the_tubes_wall():
    """5 x 350 x 2.5^2 x (1 + 0.25 x 60/38) = 15.25 kN: on a 38 x 2.5 bar the wall is weaker than the tab."""
    on_bar = [mount("shoulder_left", (1600.0, -430.0, 700.0), member=HARNESS_BAR)]
    found = titled("shoulder_left carries", mount_findings(seated(on_bar, standard="fsae-2024")))
    assert found[0].measured is not None
    assert "wall under the tab" in found[0].measured.said
    assert found[0].known == "remembered"


def test_a_wrapped_belt_has_no_tab_to_break():
    on_bar = [
        mount("shoulder_left", (1600.0, -430.0, 700.0), member=HARNESS_BAR, wrap=True, tab=None, bolt=None)
    ]
    found = mount_findings(seated(on_bar, standard="fsae-2024"))
    assert [f.title for f in found] == ["bar carries the pull of shoulder_left"]


def bars() -> tuple:
    brace = straight("brace", "diagonal", (1600.0, -300.0, 200.0), (1600.0, -300.0, 700.0))
    joint = Joint(
        name="brace.end", branch="brace", which="end", mains=("bar",), along=(350.0,),
        point=np.array([1600.0, -300.0, 700.0]),
    )  # fmt: skip
    return (HARNESS_BAR, brace), (joint,)


def test_a_brace_splits_the_bar():
    members, joints = bars()
    cage = seated([], members=members, joints=joints)
    assert (span_of(cage, HARNESS_BAR, 220.0).start, span_of(cage, HARNESS_BAR, 220.0).stop) == (0.0, 350.0)
    assert (span_of(cage, HARNESS_BAR, 420.0).start, span_of(cage, HARNESS_BAR, 420.0).stop) == (350.0, 650.0)
    assert span_of(cage, HARNESS_BAR, 0.0).stop == 350.0
    on_bar = [
        mount(f"shoulder_{s}", (1600.0, y, 700.0), member=HARNESS_BAR, wrap=True)
        for s, y in (("left", -430.0), ("right", -230.0))
    ]
    found = titled(
        "carries the pull",
        mount_findings(seated(on_bar, standard="fsae-2024", members=members, joints=joints)),
    )
    assert {f.title.split(" of ")[1] for f in found} == {"shoulder_left", "shoulder_right"}


def test_between_pinned_and_fixed_cannot_be_told():
    """38 x 2.5 at 350 MPa, Mp 1.104 kN m: 15 kN amid a span falls pinned past 294 mm, fixed past 589."""
    for size, verdict in ((280.0, "pass"), (420.0, "cannot tell"), (620.0, "fail")):
        bar = straight(
            "bar", "harness bar", (1600.0, -430.0 - size / 2, 722.0), (1600.0, -430.0 + size / 2, 722.0)
        )
        on_bar = [mount("shoulder_left", (1600.0, -430.0, 722.0), member=bar, wrap=True)]
        found = mount_findings(seated(on_bar, standard="fsae-2024", members=(bar,)))
        assert [f.verdict for f in found] == [verdict]


def test_a_pull_off_the_span_is_refused():
    span = BarSpan(member="bar", start=0.0, stop=100.0, straight=True)
    with pytest.raises(ValueError, match="on the span"):
        use_of(HARNESS_BAR, span, [200.0], [np.array([1.0, 0.0, 0.0])])


def test_a_steel_without_a_yield_gives_no_answer():
    soft = Steel(name="own", tensile=500.0, source="mill sheet", certainty="shop")
    bar = straight(
        "bar",
        "harness bar",
        (1600.0, -650.0, 700.0),
        (1600.0, 0.0, 700.0),
        tube=round_tube(od=BAR.od, wall=2.5, steel=soft),
    )
    assert (
        use_of(bar, BarSpan(member="bar", start=0.0, stop=650.0, straight=True), [200.0], [np.ones(3)])
        is None
    )


def test_a_pull_along_the_bar_only_stretches_it():
    span = BarSpan(member="bar", start=0.0, stop=650.0, straight=True)
    used = use_of(HARNESS_BAR, span, [200.0], [np.array([0.0, 1000.0, 0.0])])
    assert used is not None
    assert used.collapse == (0.0, 0.0)
    assert used.first_yield[0] == pytest.approx(1000.0 / (np.pi / 4 * (38.0**2 - 33.0**2)) / 350.0)
