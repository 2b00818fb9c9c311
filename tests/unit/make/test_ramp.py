"""The ramp of colours: inside sRGB, even to the eye, falling in lightness; its legend has numbers.

Evenness is measured by going back from the printed colour to CIELAB (CIE 15; IEC 61966-2-1, from memory),
computed here the other way round than in the source.
"""

from itertools import pairwise

import numpy as np

from cagewright.make.ramp import LITTLE, MUCH, lab_to_srgb, legend, ramp


def lab(colour):
    rgb = np.array([int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)])
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    matrix = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    f = np.cbrt(matrix @ linear / np.array([0.95047, 1.0, 1.08883]))
    return np.array([116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])])


def test_both_ends_can_be_printed():
    for end in (LITTLE, MUCH):
        rgb = lab_to_srgb(np.array(end))
        assert rgb.min() >= 0.0
        assert rgb.max() <= 1.0


def test_equal_steps_look_equally_large_and_get_darker():
    colours = [lab(ramp(p / 4.0)) for p in range(5)]
    steps = [float(np.linalg.norm(b - a)) for a, b in pairwise(colours)]
    assert max(steps) / min(steps) < 1.05  # colours are rounded to 256 levels, half a level of about 28
    lightness = [c[0] for c in colours]
    assert lightness == sorted(lightness, reverse=True)
    assert lightness[0] - lightness[-1] > 60.0


def test_beyond_the_ends_stays_at_the_end():
    assert ramp(-1.0) == ramp(0.0)
    assert ramp(7.0) == ramp(1.0)


def test_the_legend_gives_numbers_where_they_belong():
    made = legend((10.0, 0.0), "share", (0.0, 0.5, 1.0), 1.0)
    spots = {label.text: label.at[0] for label in made.labels}
    assert (spots["0"], spots["0.5"], spots["1"]) == (10.0, 40.0, 70.0)
    assert "share" in spots
    inks = [s.look.ink for s in made.strokes if s.look]
    assert (inks[0], inks[-1]) == (ramp(0.025), ramp(0.975))
