"""What the cage does under load: beams that bend, yield, buckle and are pressed on.

Lengths mm, forces N, moments N mm, stresses MPa, energies N mm, turns rad.
"""
