"""What the cage does under load: beams that bend, twist, yield, tear, buckle and are pressed on.

Lengths mm, forces N, moments N mm, stresses MPa, energies N mm, turns rad.

The model's forces and tangent at any state come from one function, ``assemble.evaluate``;
``assemble.keep_step`` makes that state the one its fibres remember. What lets go on the way is
``release.shed``'s, by watches.
"""
