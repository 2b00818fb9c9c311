"""For any row of a rule book: a cage built to pass it, one built to fail it, and one that cannot be told.

Each builder makes its cage from the row's own limit by plain geometry, not by the measures.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from cages import bar, cage, foot, gusset, hoop, line, plate, tube
from scipy.optimize import brentq

from cagewright.check.bench import NOT_MEASURED, Gauged
from cagewright.check.rules import FOOT, LeastSize, Rule
from cagewright.plan.types import BoltsEntry, PersonEntry, Role
from cagewright.shape.types import Cage, Mount, Seating
from cagewright.stock.steels import Steel

Built = Cage | tuple[Cage, Gauged]


@dataclass(frozen=True)
class Cases:
    """What passes, what fails, and what cannot be told; None where there is no such cage."""

    passes: Built
    fails: Built | None
    unknown: Built | None = None


def split(built: Built) -> tuple[Cage, Gauged]:
    return built if isinstance(built, tuple) else (built, NOT_MEASURED)


def limits(rule: Rule) -> tuple[float | None, float | None]:
    """The row's lower and upper bound."""
    low = next((b.value for b in rule.bounds if b.kind in {"at_least", "more_than"}), None)
    high = next((b.value for b in rule.bounds if b.kind in {"at_most", "less_than"}), None)
    return low, high


def good(rule: Rule) -> float:
    """A value that keeps the row's bounds: the limit itself where that is allowed."""
    bound = rule.bounds[0]
    return {"at_least": 1.0, "at_most": 1.0, "more_than": 1.02, "less_than": 0.98}[bound.kind] * bound.value


def bad(rule: Rule, step: float = 0.0) -> float:
    """A value just past the row's first bound; ``step`` away for counts and limits of 0."""
    bound = rule.bounds[0]
    past = step or 0.005 * abs(bound.value)
    return bound.value - past if bound.kind in {"at_least", "more_than"} else bound.value + past


def role_of(rule: Rule) -> Role:
    """The first role the row looks at, with the least of its own geometry."""
    return rule.members[0]


def steel(**changes: object) -> Steel:
    given = {
        "name": "E355 test",
        "yield_strength": 355.0,
        "tensile": 490.0,
        "source": "test",
        "certainty": "read",
    }
    return Steel(**{**given, **changes})  # type: ignore[arg-type]


def post(role: Role, name: str = "m", **changes: object) -> object:
    """A straight upright member."""
    return bar(name, role, (1600, -600, 200), (1600, -600, 1235), **changes)  # type: ignore[arg-type]


# --- tubes ---


def steel_for(size: LeastSize) -> Steel:
    name = {"any": "E355+N", "mild": "E355+N", "4130": "4130+N", "R8": "R8"}[size.steel]
    return steel(name=name, forms=("seamless",))


def tube_size(rule: Rule) -> Cases:
    sizes = rule.sizes
    thin = min(size.wall for size in sizes) * 0.98
    first = sizes[-1]
    strict = [size for size in sizes if size.steel != "any" and not _covered(size, sizes)]
    own = steel(name="own", certainty="shop")
    return Cases(
        cage(post(role_of(rule), size=tube(first.od, first.wall, steel_for(first)))),
        cage(post(role_of(rule), size=tube(100.0, thin, "4130+N"))),
        cage(post(role_of(rule), size=tube(strict[0].od, strict[0].wall, own))) if strict else None,
    )


def _covered(size: LeastSize, sizes: tuple[LeastSize, ...]) -> bool:
    """Whether a size for one steel is large enough for any steel too."""
    return any(s.steel == "any" and size.od >= s.od and size.wall >= s.wall for s in sizes)


def tube_by_weight(rule: Rule) -> Cases:
    light, heavy = rule.table[0], rule.table[-1]
    counted = rule.weight == "with driver"
    driver = PersonEntry(hip=(1210, -330, 265), mass="75 kg") if counted else None
    mass = (light.up_to.value if light.up_to else 0.0) - (75.0 if counted else 0.0)
    thin = min(size.wall for size in light.sizes) * 0.98
    size = light.sizes[0]
    between = (light.up_to.value if light.up_to else 0.0) - 60.0
    assert heavy.sizes[0].wall > size.wall or heavy.sizes[0].od > size.od
    made = (
        cage(post(role_of(rule), size=tube(size.od, size.wall, steel_for(size))), mass=mass, driver=driver),
        cage(post(role_of(rule), size=tube(size.od, thin, "E355+N")), mass=mass, driver=driver),
    )
    unknown = cage(
        post(role_of(rule), size=tube(size.od, size.wall, "E355+N")), mass=between if counted else None
    )
    listed = light.up_to.value if rule.weight == "listed" and light.up_to else None
    return Cases(*(of_class(one, listed) for one in made), unknown)


def of_class(one: Cage, listed: float | None) -> Cage:
    """The cage with a car whose class lists that weight, kg."""
    assert one.car is not None
    return replace(one, car=one.car.model_copy(update={"listed": listed}))


def tube_by_code(rule: Rule) -> Cases:
    (code, sizes), (_, least) = next(iter(rule.codes.items())), list(rule.codes.items())[-1]
    small = tube(least[0].od, least[0].wall, "E355+N")
    note = f"code {code}, on the drawing"
    return Cases(
        cage(post(role_of(rule), size=tube(sizes[0].od, sizes[0].wall, "E355+N"), note=note)),
        cage(post(role_of(rule), size=small, note=note)),
        cage(post(role_of(rule), size=small)),
    )


def diameter(rule: Rule) -> Cases:
    return Cases(*(cage(post(role_of(rule), size=tube(od, 5.0))) for od in (good(rule), bad(rule))))


def wall(rule: Rule) -> Cases:
    return Cases(*(cage(post(role_of(rule), size=tube(60.0, t))) for t in (good(rule), bad(rule))))


def of_section(figure: Callable[[float, float], float]) -> Callable[[Rule], Cases]:
    """A tube of 3 mm wall whose figure, from outside and inside diameter, is just what is wanted."""

    def build(rule: Rule) -> Cases:
        ods = [brentq(lambda od, v=v: figure(od, od - 6.0) - v, 6.1, 200.0) for v in (good(rule), bad(rule))]
        return Cases(*(cage(post(role_of(rule), size=tube(od, 3.0))) for od in ods))

    return build


def wall_gauged(rule: Rule) -> Cases:
    one = cage(post(role_of(rule), size=tube(38.0, good(rule))))
    read = lambda value: Gauged(readings={"wall": {"m": value}})  # noqa: E731
    return Cases((one, read(good(rule))), (one, read(bad(rule))), one)


def of_steel(**kinds: dict[str, object]) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        def made(kind: str) -> Cage | None:
            return (
                cage(post(role_of(rule), size=tube(45, 2.5, steel(**kinds[kind])))) if kind in kinds else None
            )

        passes = made("passes")
        assert passes is not None
        return Cases(passes, made("fails"), made("unknown"))

    return build


def strength(key: str) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        made = [
            cage(post(role_of(rule), size=tube(45, 2.5, steel(**{key: v})))) for v in (good(rule), bad(rule))
        ]
        blank = cage(post(role_of(rule), size=tube(45, 2.5, steel(yield_strength=None))))
        return Cases(*made, blank if key == "yield_strength" else None)

    return build


def steel_named(rule: Rule) -> Cases:
    word = rule.steels[0]
    return of_steel(
        passes={"source": f"{word} table"}, fails={"source": "EN 10305-1"}, unknown={"certainty": "shop"}
    )(rule)


# --- bends ---


def bent(role: Role, angle: float = 0.5, clr: float = 150.0, name: str = "m", **changes: object) -> object:
    """A member with one bend of ``angle`` rad."""
    end = (1600 + 500 * math.sin(angle), -600, 700 + 500 * math.cos(angle))
    return bar(name, role, (1600, -600, 200), (1600, -600, 700), end, clr=clr, **changes)  # type: ignore[arg-type]


def bend_radius(rule: Rule) -> Cases:
    return Cases(*(cage(bent(role_of(rule), clr=45.0 * k)) for k in (good(rule), bad(rule))))


def bend_angle(rule: Rule) -> Cases:
    return Cases(*(cage(bent(role_of(rule), angle=a)) for a in (good(rule), bad(rule))))


def bends(rule: Rule) -> Cases:
    def zigzag(count: float) -> Cage:
        points = [(1600 + 400 * (i % 2), -600, 200 + 400 * i) for i in range(int(count) + 2)]
        return cage(bar("m", role_of(rule), *points, clr=100.0))

    return Cases(zigzag(good(rule)), zigzag(bad(rule, 1.0)))


def straight(rule: Rule) -> Cases:
    joined = bar("on", rule.joined_to[0], (1600, -800, 200), (1600, 800, 200)) if rule.joined_to else None
    extra = [joined] if joined else []
    return Cases(cage(post(role_of(rule)), *extra), cage(bent(role_of(rule)), *extra))


def one_piece(rule: Rule) -> Cases:
    role = role_of(rule)
    left = bar("left", role, (1600, -600, 200), (1600, -600, 1235), (1600, 0, 1235))
    right = bar("right", role, (1600, 600, 200), (1600, 600, 1235), (1600, 0, 1235))
    return Cases(cage(hoop(role=role)), cage(left, right))


def on_feet(rule: Rule) -> Cases:
    feet = [foot("l", (1600, -600, 200), "main_hoop"), foot("r", (1600, 600, 200), "main_hoop")]
    one = hoop(role=role_of(rule))
    return Cases(cage(one, feet=feet), cage(one, feet=feet[:1]))


def hoop_lean(rule: Rule) -> Cases:
    made = [cage(hoop(role=role_of(rule), lean=a)) for a in (good(rule), bad(rule))]
    return Cases(*made, cage(post(role_of(rule))))


def out_of_plane(rule: Rule) -> Cases:
    feet = ((1600, -600, 200), (1600, 600, 200))
    skew = bar("m", role_of(rule), feet[0], (1400, -600, 1235), (1800, 600, 1235), feet[1])
    return Cases(cage(hoop(role=role_of(rule))), cage(skew))


# --- read on the bench ---


def bench(quantity: str, per: str = "member", whole: bool = False) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        one, name = _bench_cage(rule, per)
        values = (True, False) if not rule.bounds else (good(rule), bad(rule, 1.0 if whole else 0.0))
        read = [(one, Gauged(readings={quantity: {name: value}})) for value in values]
        return Cases(*read, one)

    return build


def _bench_cage(rule: Rule, per: str) -> tuple[Cage, str]:
    if per == "joint":
        main = bar("main", "main rollbar", (1600, -800, 700), (1600, 800, 700))
        return cage(main, bar("m", rule.joints_of[1], (1600, 0, 700), (2000, 0, 700))), "m.start"
    if per == "foot":
        role = rule.feet_of[0]
        return cage(post(role), feet=[foot("f", (1600, -600, 200), "m")]), "f"
    if per == "removable":
        return cage(post(role_of(rule), removable=True)), "m"
    return cage(bent(role_of(rule))), "m"


# --- how members lie ---


def angle(from_vertical: bool) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        def at(a: float) -> Cage:
            a = a if from_vertical else math.pi / 2 - a
            return cage(bar("m", role_of(rule), (1600, -440, 1235), (1600 + 700 * math.tan(a), -440, 535)))

        return Cases(at(good(rule)), at(bad(rule)))

    return build


def on_role(rule: Rule) -> Role:
    return rule.joints_on[0] if rule.joints_on else "main rollbar"


def included_angle(rule: Rule) -> Cases:
    def at(a: float) -> Cage:
        main = bar("main", on_role(rule), (1600, -600, 200), (1600, -600, 1235))
        end = (1600 + 500 * math.sin(a), -600, 1000 - 500 * math.cos(a))
        return cage(main, bar("m", rule.joints_of[0], (1600, -600, 1000), end))

    return Cases(at(good(rule)), at(bad(rule)))


def angle_to_hoop(rule: Rule) -> Cases:
    def brace(a: float) -> object:
        end = (1600 + 700 * math.sin(a), 0, 1235 - 700 * math.cos(a))
        return bar("m", rule.joints_of[0], (1600, 0, 1235), end)

    made = [cage(hoop(role=on_role(rule)), brace(a)) for a in (good(rule), bad(rule))]
    straight_main = bar("main", on_role(rule), (1600, -600, 1235), (1600, 600, 1235))
    return Cases(*made, cage(straight_main, brace(good(rule))))


def depth_below_top(rule: Rule) -> Cases:
    def at(depth: float) -> Cage:
        z = 1235 + 22.5 - depth
        main = bar("main", on_role(rule), (1600, -600, 200), (1600, -600, 1235))
        return cage(main, bar("m", rule.joints_of[0], (1600, -600, z), (2300, -600, z - 300)))

    return Cases(at(good(rule)), at(bad(rule)))


def end_distance(rule: Rule) -> Cases:
    near, t = rule.near, rule
    assert near is not None
    return (_near_foot if near is FOOT else _near_joint)(rule, t.end)


def _near_foot(rule: Rule, end: str) -> Cases:
    assert end == "lower"

    def at(gap: float, feet: bool = True) -> Cage:
        on = bar("on", (rule.joined_to or ("main rollbar",))[0], (1600, -800, 1235), (1600, 800, 1235))
        stands = [foot("f", (1600, gap, 200), "on")] if feet else []
        return cage(on, bar("m", role_of(rule), (1600, 0, 200), (1600, 500, 1235)), feet=stands)

    return Cases(at(good(rule)), at(bad(rule)), at(0.0, feet=False))


def _near_joint(rule: Rule, end: str) -> Cases:
    near = rule.near
    assert near is not None
    on_role_, off_role = near.on[0], near.joint_of[0]

    def at(gap: float, joints: bool = True) -> Cage:
        parts = [bar("m", role_of(rule), (1600, gap, 1235), (1000, gap, 1235 if end == "each" else 300))]
        for name, x in (("a", 1600.0), ("b", 1000.0)):
            parts.append(bar(f"on_{name}", on_role_, (x, -800, 1235), (x, 800, 1235)))
            if joints:
                parts.append(bar(f"off_{name}", off_role, (x, 0, 1235), (x + 200, 0, 900)))
        return cage(*parts)

    return Cases(at(good(rule)), at(bad(rule)), at(0.0, joints=False))


def legs_apart(rule: Rule) -> Cases:
    made = [cage(hoop(role=role_of(rule), half=(v + 45.0) / 2, clr=50.0)) for v in (good(rule), bad(rule))]
    return Cases(*made)


# --- which members ---


def member_count(rule: Rule) -> Cases:
    def at(count: float) -> Cage:
        on = bar("on", (rule.joined_to or ("main rollbar",))[0], (1600, -800, 1235), (1600, 800, 1235))
        many = [
            bar(f"m{i}", role_of(rule), (1600, 50 * i, 1235), (1600, 50 * i, 300)) for i in range(int(count))
        ]
        return cage(on, *many)

    return Cases(at(good(rule)), at(bad(rule, 1.0)))


def members_per_side(rule: Rule) -> Cases:
    left_hand = PersonEntry(hip=(1210, -330, 265))

    def at(left: float, right: float, driver: PersonEntry | None = left_hand) -> Cage:
        y = {"l": -650.0, "r": 650.0}
        many = [
            bar(f"{side}{i}", role_of(rule), (600, y[side], 300 + 50 * i), (1600, y[side], 300 + 50 * i))
            for side, count in (("l", left), ("r", right))
            for i in range(int(count))
        ]
        return cage(*many, driver=driver)

    most = good(rule)
    unknown = at(most, bad(rule, 1.0), driver=None) if rule.side == "driver" else None
    return Cases(at(most, most), at(bad(rule, 1.0), bad(rule, 1.0)), unknown)


def same_both_sides(rule: Rule) -> Cases:
    left = bar("l", role_of(rule), (600, -650, 300), (1600, -660, 320))
    right = bar("r", role_of(rule), (600, 650, 300), (1600, 660, 320))
    return Cases(cage(left, right), cage(left))


def base_structure(rule: Rule) -> Cases:
    def at(less: int) -> Cage:
        wanted = [role for role, count in rule.structures[0].items() for _ in range(count)]
        return cage(*(post(role, name=f"m{i}") for i, role in enumerate(wanted[less:])))

    return Cases(at(0), at(1))


def rails(joined: tuple[Role, ...]) -> list[object]:
    """Tubes of the first role of ``joined`` across the car at the top and at the bottom of a hoop."""
    heights = (165.0, 1235.0) if joined else ()
    return [bar(f"on{z:.0f}", joined[0], (1600, -800, z), (1600, 800, z)) for z in heights]


def cross(role: Role, joined: tuple[Role, ...] = (), y: float = 0.0) -> list[object]:
    """One of the role through and two halves on it, across the car at x 1600."""
    centre = (1600, y, 700)
    through = bar("m1", role, (1600, y - 400, 165), (1600, y + 400, 1235))
    low = bar("m2", role, (1600, y + 400, 165), centre)
    high = bar("m3", role, centre, (1600, y - 400, 1235))
    return [*rails(joined), through, low, high]


def single(role: Role, joined: tuple[Role, ...] = (), y: float = 0.0) -> list[object]:
    return [*rails(joined), bar("m1", role, (1600, y, 165), (1600, y, 1235))]


def vee(role: Role, joined: tuple[Role, ...] = (), y: float = 0.0) -> list[object]:
    """Two of the role whose lower ends meet."""
    arms = [bar(f"m{i}", role, (1600, y + 20 * i, 165), (1600, y + 400 * i, 1235)) for i in (-1, 1)]
    return [*rails(joined), *arms]


def layout(rule: Rule) -> Cases:
    made = {"cross": cross, "V": vee, "single": single}[rule.layouts[0]]
    other = single if "single" not in rule.layouts else vee
    return Cases(*(cage(*build(role_of(rule), rule.joined_to)) for build in (made, other)))


def layout_per_side(rule: Rule) -> Cases:
    def at(made: Callable[..., list[object]]) -> Cage:
        sides = [
            bar(f"{side}_{m.name}", m.role, *(tuple(p) for p in _tips(m)))
            for side, y in (("left", -650.0), ("right", 650.0))
            for m in made(role_of(rule), y=y)
        ]
        return cage(*sides)

    return Cases(at(cross), at(single))


def _tips(member: object) -> tuple[np.ndarray, np.ndarray]:
    return member.path.pieces[0].start, member.path.pieces[-1].stop  # type: ignore[attr-defined]


def gussets_per_crossing(rule: Rule) -> Cases:
    def at(count: float) -> Cage:
        many = [gusset(f"g{i}", "m1", "m2", (1600, 0, 700), kind="flat") for i in range(int(count))]
        return cage(*cross(role_of(rule), rule.joined_to), gussets=many)

    return Cases(at(good(rule)), at(bad(rule, 1.0)))


def removable_members(rule: Rule) -> Cases:
    made = [cage(post(role_of(rule), removable=count > 0)) for count in (good(rule), bad(rule, 1.0))]
    return Cases(*made)


def members_of_size(rule: Rule) -> Cases:
    size = rule.sizes[0]

    def at(wall: float, kind: Steel) -> Cage:
        bars = [
            bar(side, role_of(rule), (600, y, 300), (1600, y, 300), size=tube(size.od, wall, kind))
            for side, y in (("l", -650.0), ("r", 650.0))
        ]
        return cage(*bars)

    drawn, own = steel(name="A513-5 1020", forms=("drawn",)), steel(forms=())
    return Cases(at(size.wall, drawn), at(size.wall * 0.98, drawn), at(size.wall, own))


# --- legs of rollbars ---


def leg(role: Role, *points: tuple[float, float, float], **changes: object) -> object:
    return bar("m", role, *points, clr=100.0, **changes)  # type: ignore[arg-type]


def bends_in_leg(rule: Rule) -> Cases:
    def at(count: float) -> Cage:
        n = int(count)
        rise = [(1600, -600 + 40 * (i % 2), 200 + 400 * i) for i in range(n + 2)]
        return cage(leg(role_of(rule), *rise, (1600, 600, rise[-1][2])))

    return Cases(at(good(rule)), at(bad(rule, 1.0)))


def lean_back(rule: Rule) -> Cases:
    def at(a: float) -> Cage:
        return cage(
            leg(role_of(rule), (600, -600, 200), (600 + 600 * math.tan(a), -600, 800), (1300, -600, 1200))
        )

    return Cases(at(good(rule)), at(bad(rule)))


def foot_behind_front(rule: Rule) -> Cases:
    def at(back: float) -> Cage:
        return cage(leg(role_of(rule), (600 + back, -600, 200), (600, -600, 800)))

    return Cases(at(good(rule)), at(bad(rule, 2.0)))


def bends_below_line(rule: Rule) -> Cases:
    def at(low: float, named: bool = True) -> Cage:
        one = leg(role_of(rule), (530, -640, 190), (530, -640, low), (900, -560, 1200))
        pillar = line("pillar", (560, -700, 800), (1000, -600, 1250), note=rule.opening)
        return cage(one, lines=[pillar] if named else ())

    return Cases(at(790.0), at(500.0), at(790.0, named=False))


# --- doors and extents ---


def sill_high(rule: Rule, name: str, z: float) -> Cage:
    """A doorbar at a height, with an opening from 200 to 1200 mm up called as the row wants."""
    edge = [(600, -700, 200), (600, -700, 1200), (1500, -700, 1200), (1500, -700, 200), (600, -700, 200)]
    lines = [line(name, *edge, note=rule.opening)]
    return cage(bar("m", role_of(rule), (400, -650, z), (1700, -650, z)), lines=lines)


def height_in_opening(rule: Rule) -> Cases:
    made = [sill_high(rule, "edge", 200 + 1000 * share) for share in (good(rule), bad(rule))]
    return Cases(*made, cage(bar("m", role_of(rule), (400, -650, 500), (1700, -650, 500))))


def below_body_line(rule: Rule) -> Cases:
    def at(gap: float, named: bool = True) -> Cage:
        z = 900 - 22.5 - gap
        both = [bar(f"m{y}", role_of(rule), (400, y, z), (1700, y, z)) for y in (-650, 650)]
        edges = [line(f"e{y}", (600, y, 900), (1500, y, 950), note=rule.opening) for y in (-700, 700)]
        return cage(*both, lines=edges if named else ())

    return Cases(at(good(rule)), at(bad(rule)), at(0.0, named=False))


def inside_body_line(rule: Rule) -> Cases:
    def at(gap: float, named: bool = True) -> Cage:
        sign = -1.0 if rule.line == "front" else 1.0
        x = 1600 + sign * (22.5 + gap)
        edge = line("e", (x, -700, 500), (x, 700, 500), note=rule.opening)
        return cage(post(role_of(rule)), lines=[edge] if named else ())

    return Cases(at(good(rule) + 1.0), at(bad(rule, 1.0)), at(0.0, named=False))


def height_apart(rule: Rule) -> Cases:
    def at(gap: float) -> Cage:
        pair = [(f"m{z}", z) for z in (300.0, 300.0 + gap)]
        return cage(*(bar(name, role_of(rule), (600, -650, z), (1600, -650, z)) for name, z in pair))

    return Cases(at(good(rule)), at(bad(rule)))


def door_edge(note: str) -> object:
    """A door 900 mm long and 1000 mm high, square, on the left."""
    edge = [(600, -700, 200), (600, -700, 1200), (1500, -700, 1200), (1500, -700, 200), (600, -700, 200)]
    return line("edge", *edge, note=note)


def screen_edge(note: str) -> object:
    """A windscreen 1200 mm wide and 500 mm high, square, seen from ahead."""
    edge = [(700, -600, 800), (900, -600, 1300), (900, 600, 1300), (700, 600, 800), (700, -600, 800)]
    return line("edge", *edge, note=note)


def reach_in(rule: Rule) -> Cases:
    def at(reach: float, named: bool = True) -> Cage:
        off = reach - 22.5
        tubes = {
            "front": ((600 + off, -650, 100), (600 + off, -650, 1300)),
            "rear": ((1500 - off, -650, 100), (1500 - off, -650, 1300)),
            "top": ((900, -600, 1300 - off), (900, 600, 1300 - off)),
            "sides": ((700, -600 + off, 700), (900, -600 + off, 1400)),
        }
        edge = (screen_edge if rule.edge in {"top", "sides"} else door_edge)(rule.opening)
        return cage(bar("m", role_of(rule), *tubes[rule.edge]), lines=[edge] if named else ())

    return Cases(at(good(rule)), at(bad(rule)), at(0.0, named=False))


def free_in(rule: Rule) -> Cases:
    def at(free: float, named: bool = True) -> Cage:
        # three uprights of 300 mm leave a gap ahead of the first and none behind it
        wide = [600.0 + free + 150.0 + 300.0 * i for i in range(3)]
        tubes = [
            bar(f"m{i}", role_of(rule), (x, -650, 100), (x, -650, 1300), size=tube(300.0, 5.0))
            for i, x in enumerate(wide)
        ]
        return cage(*tubes, lines=[door_edge(rule.opening)] if named else ())

    return Cases(at(good(rule)), at(bad(rule)), at(400.0, named=False))


def passing(role: Role, gap: float = 20.0, long: float = 320.0, end: str = "front") -> Cage:
    """Two bent bars of the left side that pass ``gap`` apart, straight for ``long`` at that end."""
    a, clr = math.radians(20.0), 100.0
    x, sign = (600.0, 1.0) if end == "front" else (1600.0, -1.0)
    kink = x + sign * (long + clr * math.tan(a / 2))
    other = x + sign * 1000.0
    first = [(x, -650, 500), (kink, -650, 500), (other, -650, 500 + abs(other - kink) * math.tan(a))]
    y = -650 + 45.0 + gap
    second = [(x, y, 900), (kink, y, 900), (other, y, 900 - 1.6 * abs(other - kink) * math.tan(a))]
    return cage(bar("m", role, *first, clr=clr), bar("n", role, *second, clr=clr * 0.1))


def straight_to_crossing(rule: Rule) -> Cases:
    return Cases(*(passing(role_of(rule), long=v, end=rule.end) for v in (good(rule), bad(rule, 20.0))))


def gap_at_crossing(rule: Rule) -> Cases:
    return Cases(*(passing(role_of(rule), gap=45.0 * ods) for ods in (good(rule), bad(rule, 0.1))))


def height_over_bottom(rule: Rule) -> Cases:
    def at(height: float) -> Cage:
        pair = [(f"m{z}", z) for z in (300.0, 300.0 + height - 45.0)]
        return cage(*(bar(name, role_of(rule), (600, -650, z), (1600, -650, z)) for name, z in pair))

    return Cases(at(good(rule)), at(bad(rule)))


# --- seats ---


def seated(count: int = 4, bottom: tuple[float, float, float] | None = None) -> Seating:
    mounts = [
        Mount(name=f"s{i}", point=np.array([1200.0 + i, -330.0, 150.0]), member=None, along=0.0, note="")
        for i in range(count)
    ]
    corner = None if bottom is None else np.array(bottom)
    return Seating(mass=None, mounts=tuple(mounts), slots=None, crotch_slot=None, bottom=corner)


def in_seat(seat: Seating, *members: object, lean: float = 0.0) -> Cage:
    driver = PersonEntry(hip=(1210, -330, 265), back_angle=f"{math.degrees(lean)} deg")
    one = cage(*members, driver=driver)  # type: ignore[arg-type]
    return replace(one, people=tuple(replace(person, seat=seat) for person in one.people))


def seat_points(rule: Rule) -> Cases:
    made = [in_seat(seated(int(n))) for n in (good(rule), bad(rule, 1.0))]
    return Cases(*made, in_seat(seated(0)))


def back_angle(rule: Rule) -> Cases:
    return Cases(*(in_seat(seated(), lean=a) for a in (good(rule), bad(rule))))


def seat_back(rule: Rule) -> Cases:
    def at(gap: float, bottom: bool = True) -> Cage:
        corner = (1600 - 22.5 - gap, -330.0, 200.0)
        return in_seat(seated(bottom=corner if bottom else None), post(role_of(rule)))

    return Cases(at(good(rule)), at(bad(rule)), at(100.0, bottom=False))


def seat_plate(quantity: str) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        one = in_seat(seated(1))
        read = [(one, Gauged(readings={quantity: {"s0": value}})) for value in (good(rule), bad(rule))]
        return Cases(*read, one)

    return build


# --- feet ---


def on_plate(
    rule: Rule, sides: tuple[float, float], thickness: float = 3.0, bolts: BoltsEntry | None = None,
    contact: float | None = None,
) -> Cage:  # fmt: skip
    stands = foot("f", (1600, -600, 200), "m", plate=(*sides, thickness), bolts=bolts, contact=contact)
    return cage(post(rule.feet_of[0]), feet=[stands])


def plate_sides(sides: Callable[[float], tuple[float, float]]) -> Callable[[Rule], Cases]:
    return lambda rule: Cases(on_plate(rule, sides(good(rule))), on_plate(rule, sides(bad(rule))))


def plate_thickness(rule: Rule) -> Cases:
    three = BoltsEntry(count=3, size=10.0)
    bolts = three if rule.fixing == "bolted" else None
    made = [on_plate(rule, (130, 110), t, bolts) for t in (good(rule), bad(rule))]
    unknown = on_plate(rule, (130, 110), bad(rule)) if rule.fixing == "bolted" else None
    return Cases(*made, unknown)


def bolt_count(rule: Rule) -> Cases:
    made = [
        on_plate(rule, (130, 110), bolts=BoltsEntry(count=int(n), size=8.0))
        for n in (good(rule), bad(rule, 1.0))
    ]
    return Cases(*made, on_plate(rule, (130, 110)))


def bolt_size(rule: Rule) -> Cases:
    made = [on_plate(rule, (130, 110), bolts=BoltsEntry(count=3, size=v)) for v in (good(rule), bad(rule))]
    return Cases(*made, on_plate(rule, (130, 110)))


def bolt_grade(rule: Rule) -> Cases:
    grades = (rule.grades[0], "4.6", "no such grade")
    return Cases(*(on_plate(rule, (130, 110), bolts=BoltsEntry(count=3, size=8.0, grade=g)) for g in grades))


def turned_up(rule: Rule) -> Cases:
    return Cases(on_plate(rule, (130, 110), contact=130 * 110 * 1.2), None, on_plate(rule, (130, 110)))


def mounting_points(rule: Rule) -> Cases:
    def at(count: float) -> Cage:
        feet = [foot(f"f{i}", (1600 + 100 * i, -600, 200), "m") for i in range(int(count))]
        return cage(post(rule.feet_of[0]), feet=feet)

    return Cases(at(good(rule)), at(bad(rule, 1.0)))


# --- gussets and plates ---


def gussets_per_joint(rule: Rule) -> Cases:
    def at(count: float) -> Cage:
        main = bar("main", on_role(rule), (1600, -800, 700), (1600, 800, 700))
        branch = bar("m", rule.joints_of[-1], (1600, 0, 700), (2000, 0, 700))
        many = [gusset(f"g{i}", "main", "m", (1600, 0, 700), kind="flat") for i in range(int(count))]
        return cage(main, branch, gussets=many)

    return Cases(at(good(rule)), at(bad(rule, 1.0)))


def corner_reach(rule: Rule) -> Cases:
    def at(share: float) -> Cage:
        main = bar("main", "main rollbar", (1600, -600, 700), (1600, 400, 700))
        other = bar("other", "backstay", (1600, -600, 700), (2600, -600, 700))
        corner = bar("m", role_of(rule), (1600, -600 + 1000 * share, 700), (1900, -600, 700))
        return cage(main, other, corner)

    return Cases(at(good(rule)), at(bad(rule)))


def gusset_figure(key: str, scale: float) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        pair = (post(rule.members[0], name="a"), post(rule.members[1], name="b"))
        values = [{key: v * scale} for v in (good(rule), bad(rule))]
        return Cases(*(cage(*pair, gussets=[gusset("g", "a", "b", (1600, -600, 700), **v)]) for v in values))

    return build


def gusset_read(quantity: str) -> Callable[[Rule], Cases]:
    def build(rule: Rule) -> Cases:
        pair = (post(rule.members[0], name="a"), post(rule.members[1], name="b"))
        one = cage(*pair, gussets=[gusset("g", "a", "b", (1600, -600, 700))])
        read = [(one, Gauged(readings={quantity: {"g": v * 45.0}})) for v in (good(rule), bad(rule))]
        return Cases(*read, one)

    return build


def plate_figure(rule: Rule) -> Cases:
    made = [cage(post(role_of(rule)), plates=[plate("p", "m", thickness=v)]) for v in (good(rule), bad(rule))]
    return Cases(*made)


# --- helmet ---


def driver_at(x: float, y: float, z: float) -> PersonEntry:
    return PersonEntry(hip=(1210, -330, 265), head=(x, y, z), helmet=300.0)


def helmet_under_line(rule: Rule) -> Cases:
    main = hoop(size=tube(45, 2.5))
    body = " ".join(rule.applies.body) or "saloon"
    if rule.line == "front":
        other = bar(
            "front", "front rollbar", (900, -500, 200), (900, -500, 1235), (900, 500, 1235), (900, 500, 200)
        )
        heads = [(1250, -300, 1235 - 150 - gap) for gap in (good(rule), bad(rule))]
    else:
        other = bar("stay", "backstay", (1600, -440, 1235), (2300, -440, 590))
        along = np.array([700.0, -645.0]) / math.hypot(700, 645)
        middle = np.array([1950.0, (1235 + 590) / 2])
        spots = [middle + (150 + gap) * np.array([along[1], -along[0]]) for gap in (good(rule), bad(rule))]
        heads = [(float(p[0]), -300.0, float(p[1])) for p in spots]
    made = [cage(main, other, driver=driver_at(*head), body=body) for head in heads]
    return Cases(*made, cage(main, other, driver=PersonEntry(hip=(1210, -330, 265)), body=body))


def helmet_to_tube(rule: Rule) -> Cases:
    made = [
        cage(post(role_of(rule)), driver=driver_at(1600 - 22.5 - 150 - gap, -600, 900))
        for gap in (good(rule), bad(rule))
    ]
    return Cases(*made, cage(post(role_of(rule))))


def helmet_inside(rule: Rule) -> Cases:
    def box(depth: float | None) -> Cage:
        xs, ys, zs = (600.0, 1900.0), (-700.0, 700.0), (200.0, 1400.0)
        edges = [((x, y, zs[0]), (x, y, zs[1])) for x in xs for y in ys]
        edges += [((x, ys[0], z), (x, ys[1], z)) for x in xs for z in zs]
        edges += [((xs[0], y, z), (xs[1], y, z)) for y in ys for z in zs]
        head = None if depth is None else driver_at(1250, -700 + 22.5 + 150 + depth, 800)
        return cage(*(bar(f"m{i}", "cage reinforcement", *edge) for i, edge in enumerate(edges)), driver=head)

    return Cases(box(good(rule)), box(bad(rule)), box(None))


def above_helmet(rule: Rule) -> Cases:
    made = [
        cage(hoop(role=role_of(rule)), driver=driver_at(1400, -300, 1235 - 22.5 - 150 - v))
        for v in (good(rule), bad(rule))
    ]
    return Cases(*made, cage(hoop(role=role_of(rule))))


def width_at_shoulder(rule: Rule) -> Cases:
    def at(half: float) -> Cage:
        return cage(hoop(role=role_of(rule), half=half), driver=PersonEntry(hip=(1210, -330, 265)))

    inside, outside = (good(rule) + 45.0) / 2, (bad(rule) - 45.0) / 2
    return Cases(at(inside), at(outside), at(good(rule) / 2))


# --- functions of their own ---


def doorbars_crossed(rule: Rule) -> Cases:
    through = bar("a", "doorbar", (600, -650, 300), (1600, -650, 700))
    low = bar("b", "doorbar", (600, -650, 700), (1100, -650, 500))
    high = bar("c", "doorbar", (1100, -650, 500), (1600, -650, 300))
    halves = [
        bar("d", "doorbar", (600, -650, 300), (1100, -650, 500)),
        bar("e", "doorbar", (1100, -650, 500), (1600, -650, 700))
    ]  # fmt: skip
    return Cases(cage(through, low, high), cage(*halves, low, high))


def bend_support(rule: Rule) -> Cases:
    bow = bar("bow", "doorbar", (600, -600, 500), (1100, -800, 500), (1600, -600, 500), clr=150.0)
    apex = float(
        bow.path.pieces[1].centre[1] - 150.0
    )  # the middle of the bend, where it is furthest off its chord
    good_one = bar("prop", "cage reinforcement", (1100, apex, 500), (1100, -200, 500))
    steep = bar("prop", "cage reinforcement", (1100, apex, 500), (1100, apex, 100))
    return Cases(cage(bow, good_one), cage(bow, steep))


def template(rule: Rule) -> Cases:
    main = hoop()
    front = bar(
        "front", "front rollbar", (900, -500, 200), (900, -500, 1235), (900, 500, 1235), (900, 500, 200)
    )

    def at(gap: float) -> Cage:
        lean = 0.3
        hip_z = 1235 - 150 - gap - 770 * math.cos(lean)
        return cage(main, front, driver=PersonEntry(hip=(1100, -300, hip_z), back_angle=math.degrees(lean)))

    return Cases(at(50.0), at(49.0), cage(main, front))


def pillars(rule: Rule) -> Cases:
    legs = [bar(f"leg{y}", "lateral half-rollbar", (530, y, 200), (530, y, 900)) for y in (-600, 600)]
    braces = [bar(f"p{y}", role_of(rule), (530, y, 250), (900, y, 1100)) for y in (-600, 600)]
    deep = Gauged(readings={"pillar dimension A": {"leg-600": 201.0, "leg600": 150.0}})
    return Cases(cage(*legs, *braces), (cage(*legs), deep), cage(*legs))


def backstay_diagonals(rule: Rule) -> Cases:
    stays = [bar(f"s{y}", "backstay", (1600, y, 1235), (2300, y, 590)) for y in (-440, 440)]
    return Cases(cage(*stays, bar("d", role_of(rule), (1600, -440, 1235), (2300, 440, 590))), cage(*stays))


FUNCTIONS: dict[str, Callable[[Rule], Cases]] = {
    "fia 253 doorbars crossed": doorbars_crossed,
    "fia 253 pillars": pillars,
    "fia 253 backstay diagonals": backstay_diagonals,
    "fsae f.5.2.3 support": bend_support,
    "fsae f.5.6.4 template": template,
}


def square(area: float) -> tuple[float, float]:
    return math.sqrt(area), math.sqrt(area)


CASES: dict[str, Callable[[Rule], Cases]] = {
    "tube size": tube_size,
    "tube size by weight": tube_by_weight,
    "tube size by code": tube_by_code,
    "outside diameter": diameter,
    "wall": wall,
    "wall gauged": wall_gauged,
    "section area": of_section(lambda od, bore: math.pi / 4 * (od**2 - bore**2)),
    "section inertia": of_section(lambda od, bore: math.pi / 64 * (od**4 - bore**4)),
    "yield strength": strength("yield_strength"),
    "tensile strength": strength("tensile"),
    "seamless": of_steel(
        passes={"forms": ("seamless",)},
        fails={"name": "A513-5 1020", "forms": ("drawn",)},
        unknown={"forms": ()},
    ),
    "not electric-welded": of_steel(
        passes={"forms": ("drawn",)}, fails={"forms": ("welded",)}, unknown={"forms": ("seamless", "welded")}
    ),
    "unalloyed": of_steel(
        passes={"name": "E355+N"}, fails={"name": "4130+N"}, unknown={"name": "own", "certainty": "shop"}
    ),
    "steel named": steel_named,
    "bend radius": bend_radius,
    "bend angle": bend_angle,
    "bends": bends,
    "straight": straight,
    "one piece": one_piece,
    "both ends on feet": on_feet,
    "hoop lean": hoop_lean,
    "hoop out of plane": out_of_plane,
    "ovality": bench("ovality"),
    "straightness": bench("straightness"),
    "inspection hole": bench("inspection hole"),
    "welds all round": bench("welds all round", "joint"),
    "welds without cracks": bench("welds without cracks", "joint"),
    "undercut": bench("undercut", "joint"),
    "padding thickness": bench("padding thickness"),
    "cover plate": bench("cover plate"),
    "foot gussets": bench("foot gussets", "foot", whole=True),
    "edge distance": bench("edge distance", "foot"),
    "lug thickness": bench("lug thickness", "removable"),
    "lug width": bench("lug width", "removable"),
    "pin size": bench("pin size", "removable"),
    "sleeve length": bench("sleeve length", "removable"),
    "sleeve wall": bench("sleeve wall", "removable"),
    "proof travel": bench("proof travel"),
    "carbon": bench("carbon"),
    "manganese": bench("manganese"),
    "other elements": bench("other elements"),
    "angle from vertical": angle(True),
    "angle from horizontal": angle(False),
    "included angle": included_angle,
    "angle to hoop": angle_to_hoop,
    "depth below top": depth_below_top,
    "end distance": end_distance,
    "legs apart": legs_apart,
    "member count": member_count,
    "members per side": members_per_side,
    "same both sides": same_both_sides,
    "base structure": base_structure,
    "height in opening": height_in_opening,
    "below body line": below_body_line,
    "inside body line": inside_body_line,
    "height apart": height_apart,
    "foot contact area": lambda r: Cases(
        *(on_plate(r, (100.0, 100.0), contact=v) for v in (good(r), bad(r)))
    ),
    "foot plate area": plate_sides(square),
    "foot plate longest side": plate_sides(lambda v: (v / 2, v)),
    "foot plate shortest side": plate_sides(lambda v: (v, v * 1.5)),
    "foot plate area over OD": plate_sides(lambda v: square(v * 45.0)),
    "foot plate shortest side in ODs": plate_sides(lambda v: (v * 45.0, v * 60.0)),
    "foot plate thickness": plate_thickness,
    "foot bolts": bolt_count,
    "foot bolt size": bolt_size,
    "foot bolt grade": bolt_grade,
    "foot turned up": turned_up,
    "mounting points": mounting_points,
    "gussets per joint": gussets_per_joint,
    "gusset thickness": gusset_figure("thickness", 1.0),
    "corner reach": corner_reach,
    "gusset leg": gusset_figure("leg", 45.0),
    "plate thickness": plate_figure,
    "helmet under line": helmet_under_line,
    "helmet to tube": helmet_to_tube,
    "helmet inside cage": helmet_inside,
    "above helmet": above_helmet,
    "width at shoulder": width_at_shoulder,
    "removable members": removable_members,
    "members of size per side": members_of_size,
    "height over bottom": height_over_bottom,
    "layout": layout,
    "layout per side": layout_per_side,
    "gussets per crossing": gussets_per_crossing,
    "gusset hole": gusset_read("gusset hole"),
    "gusset cut-out": gusset_read("gusset cut-out"),
    "bends in leg": bends_in_leg,
    "leg lean back": lean_back,
    "foot behind front": foot_behind_front,
    "bends below line": bends_below_line,
    "reach into opening": reach_in,
    "free in opening": free_in,
    "straight to crossing": straight_to_crossing,
    "gap at crossing": gap_at_crossing,
    "seat points": seat_points,
    "back angle": back_angle,
    "seat back to tube": seat_back,
    "seat plate area": seat_plate("seat plate area"),
    "seat plate thickness": seat_plate("seat plate thickness"),
    "clause": lambda rule: FUNCTIONS[rule.function](rule),
}
"""How to build the cages for a row, by its measure."""

NEVER_FAILS = {"foot turned up"}
"""Measures whose 'no' cannot be known from a plan."""
ALWAYS_KNOWN = {
    "outside diameter", "wall", "section area", "section inertia", "tensile strength", "bend radius",
    "bend angle", "bends", "straight", "one piece", "both ends on feet", "hoop out of plane",
    "angle from vertical", "angle from horizontal", "included angle", "depth below top", "legs apart",
    "member count", "same both sides", "base structure", "height apart", "foot contact area",
    "foot plate area", "foot plate longest side", "foot plate shortest side", "foot plate area over OD",
    "foot plate shortest side in ODs", "mounting points", "gussets per joint", "gusset thickness",
    "gusset leg", "corner reach", "plate thickness", "removable members", "height over bottom",
    "layout", "layout per side", "gussets per crossing", "bends in leg",
    "leg lean back", "foot behind front", "straight to crossing", "gap at crossing", "back angle",
}  # fmt: skip
"""Measures that a resolved cage always answers."""
SOMETIMES_KNOWN = {"tube size", "members per side", "foot plate thickness", "clause"}
"""Measures that some rows always answer and others not."""
