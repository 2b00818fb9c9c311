"""What of a cage may let go in a push: tubes at their limit strain, joints, open welds, feet in the shell."""

from __future__ import annotations

import numpy as np

from cagewright.frame.assemble import Assembly
from cagewright.frame.foot_welds import FootWeld
from cagewright.frame.gauge import GaugeWindows
from cagewright.frame.idealise import FootPlace, Idealised, JointPlace
from cagewright.frame.joint_use import place_forces
from cagewright.frame.joint_walls import parting
from cagewright.frame.linear import end_forces
from cagewright.frame.model import Flags, Floats, FrameModel, Part
from cagewright.frame.release import Watch
from cagewright.frame.weld_arcs import WeldLine, weld_use


def watches_of(model: Idealised) -> tuple[Watch, ...]:
    """What may let go in a push of the cage; nothing where the builder left tearing out."""
    if not model.choices.tearing:
        return ()
    watches = [tube_watch(model.model)]
    places = [p for p in model.feet if p.hold is not None and (p.springs or p.hinges)]
    if places:
        watches.append(_foot_watch(model, places))
    if model.choices.joints != "report" and model.joints:
        watches.append(joint_watch(model.model))
    welds = [(p, line) for p in (*model.joints, *model.foot_welds) if (line := _line(p)) is not None]
    if welds:
        watches.append(_weld_watch(welds))
    return tuple(watches)


def joint_watch(model: FrameModel) -> Watch:
    """Joints of tubes by how far they are pulled out and turned, against the limits at which they part."""
    tubes, names = model.hinges.tubes, model.hinges.names
    parts = [Part(hinges=(int(row),), name=names[row]) for row in tubes.row]

    def shares(a: Assembly) -> Floats:
        return np.where(a.ties.hinge_hold[tubes.row] > 0.0, parting(tubes, a.ties.hinge_deform), 0.0)

    return Watch(kind="joint", shares=shares, part=lambda _, row: parts[row])


def tube_watch(model: FrameModel) -> Watch:
    """Tubes by their mean strain over the gauge length, against their steel's limit."""
    limit = np.array([m.tear for m in model.materials])[model.material]

    def shares(a: Assembly) -> Floats:
        share = a.strains / limit[a.windows.middle]
        torn: Flags = a.state.hold == 0.0
        return np.where(_holding(a.windows, torn), 0.0, share) if torn.any() else share

    def part(a: Assembly, row: int) -> Part:
        """The most strained element of the window."""
        first, last = int(a.windows.low[row]) // 2, int(a.windows.high[row]) // 2
        worst = first + int(np.argmax(a.skin[first : last + 1].max(axis=1)))
        return Part(elements=(worst,), name=model.names[worst] if model.names else "")

    return Watch(kind="tube", shares=shares, part=part)


def _holding(windows: GaugeWindows, torn: Flags) -> Flags:
    """(w,) windows that reach into an element that is torn."""
    count = np.concatenate([[0], np.cumsum(torn)])
    return np.asarray(count[windows.high // 2 + 1] > count[windows.low // 2], np.bool_)


def _foot_watch(model: Idealised, places: list[FootPlace]) -> Watch:
    """Feet by the force that shears the sheet round their plate, as the feet's table has it."""
    springs, hinges = model.model.springs, model.model.hinges
    s, h = len(springs.node), len(hinges.ends)
    pick = np.zeros((len(places), 3, s + 6 * h))
    for k, p in enumerate(places):
        for row in (r for r in p.springs if springs.dof[r] < 3):
            pick[k, springs.dof[row], row] = 1.0
        for row in p.hinges:
            pick[k, :, s + 6 * row : s + 6 * row + 3] = -hinges.axes[row].T
    tear = np.array([p.hold.tear if p.hold else np.inf for p in places])
    parts = [Part(springs=p.springs, hinges=p.hinges, name=p.foot.name) for p in places]

    def shares(a: Assembly) -> Floats:
        # in the plate's plane and square to it together is the whole force
        force = pick @ np.concatenate([a.ties.spring_force, a.ties.hinge_force.ravel()])
        return np.sqrt((force**2).sum(axis=1)) / tear

    return Watch(kind="foot", shares=shares, part=lambda _, row: parts[row])


def _line(place: JointPlace | FootWeld) -> WeldLine | None:
    return place.line if isinstance(place, FootWeld) else place.weld


def _weld_watch(welds: list[tuple[JointPlace | FootWeld, WeldLine]]) -> Watch:
    """Welds that are not all round by their most used piece."""
    places = [p for p, _ in welds]
    parts = [_weld_part(p) for p in places]

    def shares(a: Assembly) -> Floats:
        forces = place_forces(a.beams.axes, end_forces(a.state.natural)[None], places)[0]
        used = [
            weld_use(line, axial=f[:1], in_plane=f[1:2], out_of_plane=f[2:])[0]
            for (_, line), f in zip(welds, forces, strict=True)
        ]
        return np.array(used)

    return Watch(kind="weld", shares=shares, part=lambda _, row: parts[row])


def _weld_part(place: JointPlace | FootWeld) -> Part:
    """What stops carrying: the joint's hinge, or the tube's last element on its foot."""
    if isinstance(place, FootWeld):
        return Part(name=f"{place.member} on foot {place.foot}", elements=(place.element,))
    return Part(name=place.joint.name, hinges=(place.hinge,))
