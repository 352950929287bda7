"""Our colours stay apart for every eye."""

import itertools

import numpy as np
import pytest

from gapwright.shell.palette import DARK, LIGHT, variables

BODIES = ("store", "spark", "metal", "electrode", "loss", "wanted")

# Machado, Oliveira and Fernandes 2009, full severity; matrices from memory.
BLINDNESS = {
    "none": np.eye(3),
    "protan": np.array([[0.152, 1.053, -0.205], [0.115, 0.786, 0.099], [-0.004, -0.048, 1.052]]),
    "deutan": np.array([[0.367, 0.861, -0.228], [0.280, 0.673, 0.047], [-0.012, 0.043, 0.969]]),
}


def linear(colour):
    parts = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    ratio = to_xyz @ np.clip(rgb, 0, 1) / np.array([0.9505, 1.0, 1.089])
    f = np.where(ratio > 216 / 24389, np.cbrt(ratio), (24389 / 27 * ratio + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def luminance(colour):
    return float(np.array([0.2126, 0.7152, 0.0722]) @ linear(colour))


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("eye", BLINDNESS)
def test_no_two_meanings_look_alike(colours, eye):
    seen = {name: lab(BLINDNESS[eye] @ linear(colours[name])) for name in BODIES}
    for one, other in itertools.combinations(BODIES, 2):
        assert np.linalg.norm(seen[one] - seen[other]) > 15.0, (one, other)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_text_is_readable_on_its_ground(colours):
    for name in ("ink", "quiet", "danger", "care", "note", "metal", "wanted"):
        least = 3.0 if name in ("metal", "care") else 4.5
        assert contrast(colours[name], colours["paper"]) >= least, name


def test_every_colour_is_its_own_so_that_a_drawing_can_be_recoloured():
    assert len(set(LIGHT.values())) == len(LIGHT)
    assert set(LIGHT) == set(DARK)
    assert variables({"metal_soft": "#123456"}) == "--metal-soft:#123456;"
