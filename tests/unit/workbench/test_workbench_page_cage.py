"""What the Cage page asks the server for."""

from pathlib import Path

import pytest

from deskside import Bench, changed, raised


def break_it(bench: Bench, folder: Path) -> None:
    """The plan file spoilt by an editor."""
    plan = folder / "plan.yaml"
    plan.write_text(plan.read_text().replace("role: diagonal", "role: diagnal"))
    bench.desk.opened("plan").look()


def test_the_scene_is_whole_and_known_by_its_number(bench: Bench):
    answer = bench.get("/api/plans/plan/scene")
    scene = answer.json()
    assert [m["name"] for m in scene["members"]] == ["main_hoop", "diagonal"]
    assert (scene["number"], scene["stale"], answer.headers["etag"]) == (1, False, '"1"')
    again = bench.get("/api/plans/plan/scene", headers={"if-none-match": '"1"'})
    assert (again.status_code, again.content) == (304, b"")


def test_the_difference_of_an_edit_makes_the_next_scene(bench: Bench):
    before = bench.get("/api/plans/plan/scene").json()
    answer = bench.edit(raised(320)).json()
    after = bench.get("/api/plans/plan/scene").json()
    assert changed(before, answer["changed"]) == after


def test_a_trials_difference_is_of_the_same_scene(bench: Bench):
    before = bench.get("/api/plans/plan/scene").json()
    tried = bench.edit({**raised(320), "trial": True}).json()
    drawn = changed(before, tried["changed"])
    assert [m["places"][0]["value"] for m in drawn["members"]] == [None, 320.0]
    assert tried["figures"]["changes"]["mass"]["value"] < 0.0
    assert tried["findings"] is None


def test_while_the_text_is_wrong_the_last_cage_is_shown_as_such(bench: Bench, folder: Path):
    bench.get("/api/plans/plan/scene")
    break_it(bench, folder)
    scene = bench.get("/api/plans/plan/scene").json()
    assert scene["stale"] is True
    assert len(scene["members"]) == 2
    for path in ("figures", "findings", "cage/choices"):
        answer = bench.get(f"/api/plans/plan/{path}")
        assert answer.status_code == 409
        assert "Mend them first" in answer.json()["error"]


def test_a_plan_that_never_could_be_built_is_an_empty_scene(bench: Bench, folder: Path):
    (folder / "bad.yaml").write_text("cagewright: 1\ntitle: nothing\nunits: in\n", encoding="utf-8")
    scene = bench.get("/api/plans/bad/scene").json()
    assert (scene["members"], scene["stale"], scene["units"], scene["revision"]) == ([], True, "in", None)


def test_figures_and_findings(bench: Bench):
    figures = bench.get("/api/plans/plan/figures").json()
    assert (figures["members"], figures["copes"], figures["changes"]) == (2, 2, None)
    findings = bench.get("/api/plans/plan/findings").json()
    assert findings["rows"] == []  # the plan names no rule book
    assert "Not a certificate" in findings["cautions"][0]


def test_what_can_be_chosen(bench: Bench):
    found = bench.get("/api/plans/plan/cage/choices").json()
    row = next(r for r in found["roles"] if r["role"] == "diagonal")
    assert row == {"role": "diagonal", "count": 1, "tube": "hoop", "name": "diagonal_2"}
    assert found["tubes"][0]["words"] == "45 x 2.5 mm E355+N"
    assert found["tubes"][0]["members"] == 2
    assert "right" in found["names"]["feet"]
    assert "E355+N" in found["steels"]


def test_a_plan_without_a_scan_has_none(bench: Bench):
    answer = bench.get("/api/plans/plan/scan.bin")
    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("a", "b", "axis", "skin"),
    [
        # the hoop's uprights stand 2 x 640 mm apart as planned; 45 mm tube
        ({"point": [0, -640, 500]}, {"point": [0, 640, 500]}, 1280.0, 1280.0),
        ({"point": [0, 0, 1000]}, {"member": "main_hoop"}, 240.0, 217.5),
        ({"foot": "left"}, {"foot": "right"}, 1280.0, 1280.0),
        ({"joint": "diagonal.start"}, {"member": "main_hoop"}, 0.0, -22.5),
        ({"point": ["10 in", 0, 1240]}, {"member": "main_hoop"}, 254.0, 231.5),
    ],
)
def test_distances_between_picks(bench: Bench, a, b, axis, skin):
    found = bench.post("/api/plans/plan/cage/between", {"a": a, "b": b}).json()
    assert found["axis"]["mm"] == pytest.approx(axis, abs=0.01)
    assert found["skin"]["mm"] == pytest.approx(skin, abs=0.01)
    assert found["words"]


@pytest.mark.parametrize("pick", [{"member": "x"}, {"point": [1, 2]}, {"point": "a"}, {}, None, {"foot": 3}])
def test_picks_that_are_not_there(bench: Bench, pick):
    answer = bench.post("/api/plans/plan/cage/between", {"a": pick, "b": {"foot": "left"}})
    assert answer.status_code == 400
    assert answer.json()["error"]


def test_a_dragged_place_rests_where_the_edit_would_put_it(bench: Bench):
    asked = {"member": "diagonal", "place": 1, "at": [30, 700, 350]}
    found = bench.post("/api/plans/plan/cage/nearest", asked).json()
    assert (found["on"], found["side"], found["measure"]) == ("main_hoop", "right", "up")
    assert found["value"] == pytest.approx(350.0, abs=0.05)
    edited = bench.edit({"move": {"members": "diagonal", "places": 1, "at": asked["at"]}}).json()
    place = next(m for m in edited["changed"]["members"] if m["name"] == "diagonal")["places"][0]
    assert place["value"] == found["value"]
    assert place["at"] == pytest.approx(found["at"], abs=0.06)


@pytest.mark.parametrize(
    "asked",
    [
        {"member": "diagonal", "place": 9, "at": [0, 0, 0]},
        {"member": "no", "place": 1, "at": [0, 0, 0]},
        {"member": "diagonal", "place": "x", "at": [0, 0, 0]},
        {"member": "diagonal", "place": 0, "at": [0, 0, 0]},
        {"member": "diagonal", "place": 1},
        {"on": "no", "at": [0, 0, 0]},
    ],
)
def test_places_that_are_not_there(bench: Bench, asked):
    assert bench.post("/api/plans/plan/cage/nearest", asked).status_code == 400


def test_a_place_on_nothing_stays_where_it_is_let_go(bench: Bench):
    found = bench.post("/api/plans/plan/cage/nearest", {"member": "main_hoop", "place": 3, "at": [1, 2, 3]})
    assert found.json()["kind"] == "coordinates"
    assert found.json()["at"] == [1.0, 2.0, 3.0]


LOOSE = {"add": {"members": {"loose": {"role": "cage reinforcement", "path": [[0, 0, 600], [0, 200, 700]]}}}}
"""A bar whose ends hang in the open."""


def test_a_cage_with_a_blemish_is_kept_and_seen_and_papers_wait(bench: Bench):
    tried = bench.edit({**LOOSE, "trial": True}).json()
    assert {p["code"] for p in tried["blemishes"]} == {"free-end"}
    made = bench.edit(LOOSE).json()
    assert made["state"]["shown"] is True
    assert made["state"]["problems"][0]["point"]
    assert made["figures"]["members"] == 3
    scene = bench.get("/api/plans/plan/scene").json()
    assert scene["stale"] is False
    assert "loose" in [m["name"] for m in scene["members"]]
    assert bench.get("/api/plans/plan/findings").status_code == 200
    assert bench.post("/api/plans/plan/work", {"kind": "checks"}).status_code == 409
    assert bench.edit(raised(320), number=2).status_code == 200, "it is gone on from there"


def test_a_mistake_that_leaves_nothing_to_show_is_refused(bench: Bench):
    answer = bench.edit({"move": {"members": "diagonal", "places": 1, "up": 5000}})
    assert answer.status_code == 422
    assert bench.state()["number"] == 1


def test_pieces_welds_and_bend_axes_are_numbered(bench: Bench):
    found = bench.get("/api/plans/plan/cage/numbers").json()
    assert [(p["number"], p["words"]) for p in found["pieces"]] == [(1, "main hoop"), (2, "diagonal")]
    assert [w["number"] for w in found["welds"]] == list(range(1, len(found["welds"]) + 1))
    assert len(found["bends"]) == 4
    axis = found["bends"][
        1
    ]  # the hoop stands square across the car, so its bends turn about the car's length
    assert axis["start"][1:] == pytest.approx(axis["stop"][1:])
    assert abs(axis["start"][0] - axis["stop"][0]) == pytest.approx(180.0)
