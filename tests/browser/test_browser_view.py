"""The picture of the cage in the browser: fingers, keys, sections, memory, and no WebGL."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from served import LAPTOP, TABLET, Bench, OpenPage

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]


def ready(page: Any) -> Any:
    """The page once the cage is in the picture."""
    page.wait_for_selector("#panel-tubes tr[data-row]")
    page.wait_for_function("() => window.cagewrightView?.snapshot().members.length > 0")
    return page


def view(page: Any, what: str, *given: Any) -> Any:
    """The answer of the picture; ``what`` is a function of the view and of what is given."""
    return page.evaluate(f"(given) => ({what})(window.cagewrightView, ...given)", list(given))


def middle(page: Any, name: str, off: float = 0.0) -> tuple[float, float]:
    """Where the middle of a straight member shows on the page, so many pixels lower."""
    at = view(
        page,
        """(view, name) => {
            const { axis } = view.scene.members.find((one) => one.name === name);
            return view.where(axis[0].map((value, i) => (value + axis[axis.length - 1][i]) / 2));
        }""",
        name,
    )
    return at["x"], at["y"] + off


def look(page: Any) -> dict[str, Any]:
    return view(page, "(view) => view.snapshot().camera")


class Fingers:
    """Touches of a screen."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.session = page.context.new_cdp_session(page)

    def send(self, kind: str, *points: tuple[float, float]) -> None:
        touches = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def stroke(self, *moments: tuple[tuple[float, float], ...]) -> None:
        self.send("touchStart", *moments[0])
        for moment in moments[1:]:
            self.send("touchMove", *moment)
        self.send("touchEnd")
        self.page.wait_for_timeout(50)


def listen(page: Any) -> None:
    view(page, "(view) => { window.picks = []; view.onPick((pick) => window.picks.push(pick)); }")


def picks(page: Any) -> list[Any]:
    return page.evaluate("() => window.picks")


def test_a_finger_beside_a_tube_picks_it_and_a_mouse_does_not(open_page: OpenPage):
    page = ready(open_page(size=TABLET, has_touch=True))
    listen(page)
    x, y = middle(page, "dash_bar", off=20.0)
    page.mouse.click(x, y)
    assert picks(page) == [None]
    Fingers(page).stroke(((x, y),))
    assert picks(page)[1]["member"] == "dash_bar"


def test_one_finger_turns_and_two_zoom_and_neither_picks(open_page: OpenPage):
    page = ready(open_page(size=TABLET, has_touch=True))
    listen(page)
    x, y = middle(page, "dash_bar")
    before = look(page)
    Fingers(page).stroke(*(((x + 8 * i, y),) for i in range(12)))
    turned = look(page)
    assert turned["azimuth"] != before["azimuth"]
    assert turned["scale"] == before["scale"]
    Fingers(page).stroke(*(((x - 40 - 4 * i, y), (x + 40 + 4 * i, y)) for i in range(11)))
    # 80 pixels apart become 160; each step is seen by itself, and a pixel of the first may be lost
    assert look(page)["scale"] == pytest.approx(2.0 * turned["scale"], rel=0.03)
    assert picks(page) == []


def test_a_drag_may_begin_on_a_mark_and_a_press_is_the_mark_s_own(open_page: OpenPage):
    page = ready(open_page())
    point = view(page, "(view) => view.scene.joints[0].point")
    view(
        page,
        """(view, point) => {
            window.pressed = [];
            view.onMark((key) => window.pressed.push(key));
            const { marks } = view;
            view.marks = () => {}; // the page's own, as findings come in
            marks([{ point, kind: 'wrong', words: 'a test mark', key: 'mine' }]);
            view.draw();
        }""",
        point,
    )
    listen(page)
    box = page.get_by_label("a test mark").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = look(page)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y, steps=6)
    page.mouse.up()
    assert look(page)["azimuth"] != before["azimuth"]
    assert page.evaluate("() => window.pressed") == []
    page.get_by_label("a test mark").click()
    assert page.evaluate("() => window.pressed") == ["mine"]
    assert picks(page) == []


def test_the_keyboard_turns_moves_zooms_and_stands(open_page: OpenPage):
    page = ready(open_page())
    page.evaluate("() => document.querySelector('.view').focus()")
    first = look(page)
    page.keyboard.press("ArrowLeft")
    assert look(page)["azimuth"] > first["azimuth"]
    page.keyboard.press("ArrowUp")
    assert look(page)["elevation"] < first["elevation"]
    page.keyboard.press("+")
    assert look(page)["scale"] > first["scale"]
    page.keyboard.press("Shift+ArrowLeft")
    assert look(page)["target"] != first["target"]
    page.keyboard.press("6")
    assert look(page)["elevation"] == pytest.approx(1.5708, abs=1e-3)
    page.keyboard.press("7")
    assert look(page)["eye"] is not None
    page.keyboard.press("1")
    assert look(page)["eye"] is None


def test_what_a_section_cuts_away_is_not_picked(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    joint = next(j for j in bench.get("/scene")["joints"] if j["branch"] == "dash_bar" and j["point"][1] < 0)
    at = view(
        page,
        "(view, point) => { const { x, y } = view.camera.spot(point); return { x, y }; }",
        joint["point"],
    )
    pick = "(view, at) => view.pickAt(at, 6)"
    assert view(page, pick, at)["joint"] == joint["name"]
    view(page, "(view) => view.section({ axis: 1, at: 0 })")  # seen from the left: the left half goes
    assert (view(page, pick, at) or {}).get("joint") != joint["name"]
    view(page, "(view) => view.section(null)")
    assert view(page, pick, at)["joint"] == joint["name"]


def test_nothing_is_drawn_while_nothing_changes(open_page: OpenPage):
    page = ready(open_page())
    waiting = "() => window.cagewrightView.frame !== 0"
    page.wait_for_function(f"() => !({waiting})()")  # never, were each picture to ask for the next
    assert view(page, "(view) => { view.fit(); return view.frame !== 0; }")
    page.wait_for_function(f"() => !({waiting})()")


CHANGED = """(view, times) => {
    const { members, feet } = structuredClone(view.scene);
    for (let i = 0; i < times; i += 1) {
        const one = structuredClone(members[i % members.length]);
        one.axis = one.axis.map(([x, y, z]) => [x + Math.sin(i) * 5, y, z]);
        const moved = feet.map((foot) => ({ ...foot, thickness: 3 + (i % 2) }));
        const rest = { feet: moved };
        view.change({ number: i, revision: 'x', members: [one], gone: [], order: null, rest });
        view.select({ members: [one.name] });
        view.draw();
    }
    return view.snapshot().stage;
}"""


def test_five_hundred_changes_leave_nothing_in_the_graphics_memory(open_page: OpenPage):
    page = ready(open_page())
    before = view(page, CHANGED, 60)
    after = view(page, CHANGED, 500)
    assert after["kind"] == "webgl"
    for key in ("geometries", "textures", "materials"):
        assert after[key] == before[key], key


LARGE = """(view, tubes, across) => {
    const { members } = view.scene;
    const shift = ([x, y, z], k) => [x + 60 * k, y, z + 30 * k];
    const many = Array.from({ length: tubes }, (_, i) => {
        const [one, k] = [members[i % members.length], Math.floor(i / members.length)];
        const ends = one.ends.map((end) => ({ ...end, origin: shift(end.origin, k) }));
        return { ...one, name: `${one.name}_${k}`, axis: one.axis.map((at) => shift(at, k)), ends };
    });
    const positions = new Float32Array(across * across * 3);
    const index = [];
    for (let i = 0; i < across; i += 1) {
        for (let j = 0; j < across; j += 1) {
            const at = i * across + j;
            const [back, side] = [(2600 * i) / across, 1500 * (j / across - 0.5)];
            positions.set([back, side, 1300 + 90 * Math.sin(i / 9)], 3 * at);
            if (i && j) index.push(at - across - 1, at - 1, at, at - across - 1, at, at - across);
        }
    }
    view.show({ ...view.scene, members: many });
    view.stage.scan({ positions, index: new Uint32Array(index) });
    view.draw();
    return { ...view.snapshot().stage, scan: index.length / 3, shown: view.snapshot().members.length };
}"""


def test_a_large_cage_with_a_large_scan_is_shown_and_picked(open_page: OpenPage, picture: Picture):
    page = ready(open_page())
    large = view(page, LARGE, 160, 320)
    assert large["shown"] == 160
    assert large["scan"] > 200_000
    assert large["triangles"] > large["scan"]
    x, y = middle(page, "dash_bar_0")
    listen(page)
    page.mouse.click(x, y)
    assert picks(page)[0]["member"].startswith("dash_bar")
    picture(page, "view-large")


NO_WEBGL = """() => {
    const real = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
        return /webgl/.test(kind) ? null : real.call(this, kind, ...more);
    };
}"""


def test_without_webgl_the_cage_is_drawn_on_a_plain_canvas(
    open_page: OpenPage, bench: Bench, picture: Picture
):
    page = open_page(at=None)
    page.add_init_script(f"({NO_WEBGL})()")
    page.goto(f"{bench.base}/plans/{bench.id()}/cage")
    ready(page)
    assert view(page, "(view) => view.snapshot().stage.kind") == "flat"
    x, y = middle(page, "dash_bar")
    page.mouse.click(x, y)
    page.wait_for_selector("tr[data-row='dash_bar'][aria-selected='true']")
    picture(page, "view-flat")
    inked = page.evaluate(
        """() => {
            const canvas = document.querySelector('.view canvas');
            const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
            let dark = 0;
            for (let i = 0; i < data.length; i += 4)
                dark += data[i + 3] === 255 && data[i] + data[i + 1] + data[i + 2] < 200;
            return dark;
        }"""
    )
    assert inked > 1000


@pytest.mark.parametrize(("scale", "least"), [(0.25, 15), (0.03, 3)], ids=["near", "too far for all"])
def test_labels_do_not_lie_on_one_another(open_page: OpenPage, scale: float, least: int):
    page = ready(open_page())
    view(page, "(view) => { view.marks([]); view.show_parts({ names: true }); }")
    view(page, "(view, scale) => { view.camera.set({ scale }); view.draw(); }", scale)
    boxes = page.evaluate(
        "() => [...document.querySelectorAll('.view-labels .label')]"
        ".map((one) => one.getBoundingClientRect().toJSON())"
    )
    assert len(boxes) >= least
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            apart = a["right"] <= b["left"] + 0.5 or b["right"] <= a["left"] + 0.5
            assert apart or a["bottom"] <= b["top"] + 0.5 or b["bottom"] <= a["top"] + 0.5


@pytest.mark.parametrize("size", [LAPTOP, TABLET], ids=["laptop", "tablet"])
def test_the_whole_cage_is_in_every_standard_view(
    open_page: OpenPage, picture: Picture, size: tuple[int, int]
):
    page = ready(open_page(size=size))
    inside = """(view) => view.scene.members.flatMap((one) => one.axis).every((point) => {
        const { x, y } = view.camera.spot(point);
        return x > 0 && y > 0 && x < view.camera.wide && y < view.camera.high;
    })"""
    for name in ("three-quarter", "left", "right", "front", "rear", "above"):
        view(page, "(view, name) => { view.stand(name); view.draw(); }", name)
        assert view(page, inside), name
        picture(page, f"view-{size[0]}-{name}")


def test_on_paper_the_picture_is_a_plain_copy_that_goes_again(open_page: OpenPage):
    page = ready(open_page())
    count = "() => document.querySelectorAll('.view canvas').length"
    assert page.evaluate(count) == 1
    page.evaluate("() => dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(count) == 2
    dark = page.evaluate(
        """() => {
            const copy = document.querySelectorAll('.view canvas')[1];
            const { data } = copy.getContext('2d').getImageData(0, 0, copy.width, copy.height);
            let dark = 0;
            for (let i = 0; i < data.length; i += 4)
                dark += data[i + 3] === 255 && data[i] + data[i + 1] + data[i + 2] < 200;
            return dark;
        }"""
    )
    assert dark > 1000
    page.evaluate("() => dispatchEvent(new Event('afterprint'))")
    assert page.evaluate(count) == 1
