"""Edits to a plan's text, made as a page asks for them: a text, an edit, a text.

An edit is plain values with the word for its kind under ``do``; ``vocabulary.py`` says what each kind holds::

    {do: "move", member, place: 0.. | "start" | "end", at: [x, y, z] | by: [..] | up | back | across
     | along | part | to: place, leave_point?, one_side?}
    {do: "move-point", point, at | by | up | back | across}
    {do: "move-foot", foot, at | by | up | back | across, leave_point?}
    {do: "add", name?, role, tube?, path: [place, ..], mirror?, in_two?, note?}
    {do: "remove", members: [..], dependents?, one_side?}
    {do: "mirror", member, name?}
    {do: "split", member, along | on, name?}
    {do: "size", members: [..], tube | od, wall, steel, clr, one_side?}
    {do: "rename", member | point | foot | tube | plate: old, name: new}
    {do: "role", members: [..], role}
    {do: "note", member, note}
    {do: "text", text}
"""

from cagewright.workbench.edits.apply import Edited, apply

__all__ = ["Edited", "apply"]
