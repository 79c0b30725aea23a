"""Pinion and ring meshed numerically, point by point: overlap, contact ratio, transmission error, screens at limits.

Each gear is the half angle of its tooth (or space) over the radius, read off its outline; points of one are looked up
in the other, in the frame of the other. The algorithm knows no line of action, no contact formula and no screen.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from vmech_core.gears.geometry import InternalPair, contact_ratio
from vmech_core.gears.outline import pinion_flank, ring_flank
from vmech_core.gears.screens import margins

FREE = 1e-6  # modules: what is no overlap


def pair_of(pinion_teeth, ring_teeth, degrees=20.0, **fields):
    return InternalPair(0.001, pinion_teeth, ring_teeth, np.radians(degrees), **fields)


def curves(pair, whole=False, points=1500):
    """Radius and half angle of a pinion tooth and of a ring space, radius rising."""
    pinion = pinion_flank(pair, points)
    pinion = abs(pinion), -np.angle(pinion)
    if whole:  # the involute down to its base circle and a radial line below, as a gentler tool might leave it
        base = pair.pinion_base_radius
        roll = np.linspace(0.0, np.sqrt(pair.pinion_tip_radius**2 - base**2), points)
        low = np.linspace(pair.pinion_root_radius, base, points, endpoint=False)
        half = pair.pinion_half_angle - roll / base + np.arctan(roll / base)
        pinion = (np.r_[low, np.hypot(base, roll)], np.r_[np.full(points, pair.pinion_half_angle), half])
        keep = pinion[0] >= pair.pinion_root_radius
        pinion = pinion[0][keep], pinion[1][keep]
    ring = ring_flank(pair, points)
    return pinion, (abs(ring), -np.angle(ring))


def outline(curve, teeth, tip, body):
    """Points of both flanks and of the tips of all teeth (or spaces: the tips lie between them)."""
    radius, half = curve
    land = np.linspace(half[-1], -half[-1], 21) if body else np.linspace(half[0], 2 * np.pi / teeth - half[0], 21)
    one = np.r_[radius * np.exp(-1j * half), radius * np.exp(1j * half), tip * np.exp(1j * land)]
    return one, np.exp(2j * np.pi * np.arange(teeth) / teeth)


def overlap(pair, angle, shift=0.0, whole=False, made=None, turned=0.0):
    """Deepest penetration in modules, along the circle; negative: the smallest gap."""
    (rp, hp), (rr, hr) = made = made or curves(pair, whole)
    z1, z2 = pair.pinion_teeth, pair.ring_teeth
    tooth, turns = outline(made[0], z1, rp[-1], True)
    centre = (pair.centre_distance - shift) * np.exp(1j * angle)
    turn = np.exp(-1j * angle * (z2 - z1) / z1 + 1j * turned)
    there = centre + turn * turns[:, None] * tooth
    radius = abs(there)
    near = radius > rr[0]
    there, radius = there[near], radius[near]
    beside = abs((np.angle(there) + np.pi / z2) % (2 * np.pi / z2) - np.pi / z2)
    deep = np.where(radius > rr[-1], radius - rr[-1], (beside - np.interp(radius, rr, hr)) * radius)
    space, turns = outline(made[1], z2, rr[0], False)
    back = (turns[:, None] * space - centre) / turn
    radius = abs(back)
    near = radius < rp[-1]
    back, radius = back[near], radius[near]
    beside = abs((np.angle(back) + np.pi / z1) % (2 * np.pi / z1) - np.pi / z1)
    other = np.where(radius < rp[0], rp[0] - radius, (np.interp(radius, rp, hp) - beside) * radius)
    return max(deep.max(initial=-np.inf), other.max(initial=-np.inf)) / pair.module


def worst(pair, steps=24, whole=False, **more):
    made = curves(pair, whole)
    return max(overlap(pair, angle, made=made, **more)
               for angle in np.linspace(0, 2 * np.pi / pair.ring_teeth, steps, endpoint=False))


CLEAN = [pair_of(23, 46, ring_addendum=0.8), pair_of(18, 36, 25, ring_addendum=0.8, ring_fillet_radius=0.2),
         pair_of(16, 32, 25, ring_addendum=0.85), pair_of(12, 24, pinion_shift=0.3, ring_shift=0.3, ring_addendum=0.8),
         pair_of(20, 40, pinion_shift=0.2, ring_shift=0.2859, ring_addendum=0.8), pair_of(40, 60, ring_addendum=0.8)]


@pytest.mark.parametrize("pair", CLEAN, ids=lambda p: f"{p.pinion_teeth}/{p.ring_teeth}")
def test_no_overlap_and_no_gap_through_a_full_turn(pair):
    """Made without backlash, the flanks touch at every angle: neither overlap nor transmission error."""
    made = curves(pair)
    found = np.array([overlap(pair, angle, made=made) for angle in np.arange(150) * 2 * np.pi / 149.3])
    assert found.max() < FREE
    assert found.min() > -FREE  # the gap, which is the base radius times the error of transmission
    if pair is CLEAN[0]:
        assert worst(pair, shift=-2e-3 * pair.module) > 1e-4  # the check can fail: moved out by 2 um, teeth overlap
        assert overlap(replace(pair, backlash=2e-5 * pair.module), 0.1) < -5e-6


def test_backlash_is_the_play_of_the_numerical_mesh():
    pair = pair_of(23, 46, ring_addendum=0.8, backlash=60e-6)
    made = curves(pair)
    for side in (1, -1):
        reach = brentq(lambda turn, side=side: overlap(pair, 0.05, made=made, turned=side * turn), 0, 0.02, xtol=1e-10)
        assert 2 * reach * pair.pinion_working_radius == pytest.approx(pair.backlash, rel=1e-3)


def flank_gap(pair, angles, points=20000):
    """Smallest gap of one pair of flanks at each carrier angle, in modules; the ring as a spline over the radius."""
    flank, ring = pinion_flank(pair, points)[-points:], ring_flank(pair, 400)[:400]
    spline = CubicSpline(abs(ring), -np.angle(ring))
    gaps = []
    for angle in angles:
        placed = pair.centre_distance * np.exp(1j * angle) + flank * np.exp(
            -1j * angle * (pair.ring_teeth / pair.pinion_teeth - 1))
        radius = abs(placed)
        reached = (radius >= abs(ring[0])) & (radius <= abs(ring[-1]))
        gap = (np.angle(placed) + spline(radius)) * radius
        gaps.append(gap[reached].min() if reached.any() else np.inf)
    return np.array(gaps) / pair.module


@pytest.mark.parametrize("pair", CLEAN, ids=lambda p: f"{p.pinion_teeth}/{p.ring_teeth}")
def test_contact_ratio_recovered_from_contact(pair):
    pitch = 2 * np.pi / pair.ring_teeth
    coarse = np.linspace(-1.6, 1.6, 65) * pitch
    touching = coarse[flank_gap(pair, coarse) < 1e-8]
    step, ends = coarse[1] - coarse[0], []
    for inside, outside in ((touching.min(), touching.min() - step), (touching.max(), touching.max() + step)):
        for _ in range(14):
            middle = 0.5 * (inside + outside)
            inside, outside = (middle, outside) if flank_gap(pair, [middle])[0] < 1e-8 else (inside, middle)
        ends.append(inside)
    assert (ends[1] - ends[0]) / pitch == pytest.approx(contact_ratio(pair), abs=2e-3)


#: Screen, pair, field that is varied, a bracket of its limit, how far to either side, involutes whole or as cut.
LIMITS = [
    ("pinion fillet clear of ring tip", pair_of(23, 46), "ring_addendum", (0.7, 1.0), 0.02, False),
    ("pinion fillet clear of ring tip", pair_of(18, 36, 25), "ring_addendum", (0.7, 1.0), 0.02, False),
    ("ring fillet clear of pinion tip", pair_of(16, 32, 25, ring_addendum=0.8, ring_dedendum=1.05), "pinion_addendum",
     (0.7, 1.04), 0.05, False),
    ("pinion root clearance", pair_of(30, 60, ring_dedendum=1.4, tool_tip_radius=0.0, pinion_dedendum=1.0),
     "ring_addendum", (0.9, 1.1), 0.02, True),
    ("ring root clearance", pair_of(30, 60, ring_addendum=0.7, ring_dedendum=1.0, ring_fillet_radius=0.0),
     "pinion_addendum", (0.9, 1.1), 0.02, False),
    ("involute interference", pair_of(20, 40), "ring_addendum", (0.6, 1.0), 0.06, True),
    ("trochoid interference", pair_of(50, 57), "pinion_addendum", (0.3, 1.2), 0.05, True),
]


@pytest.mark.parametrize(("screen", "pair", "field", "bracket", "step", "whole"), LIMITS,
                         ids=[f"{entry[0]} {entry[1].pinion_teeth}" for entry in LIMITS])
def test_verdicts_on_both_sides_of_each_limit(screen, pair, field, bracket, step, whole):
    """The varied height is taken a little below and above the value at which the screen changes its sign."""
    limit = brentq(lambda height: margins(replace(pair, **{field: height}))[screen], *bracket)
    less = 0.4 * step if screen.startswith("ring fillet") else 0.1 * step  # see the next test
    below, above = (worst(replace(pair, **{field: limit + side}), 48, whole) for side in (-less, step))
    assert below < 5 * FREE, below
    assert above > 10 * FREE, above


def test_what_the_screen_of_the_ring_fillet_overlooks():
    """The pinion's tip corner dips on toward the root after contact has ended, and the screen looks at contact alone.

    Within 0.02 module of its limit the corner may cut up to 0.003 module into the fillet; the root clearance is then
    below the 0.1 module that check_pair asks for, so that such a pair is shown as failing, for the other reason.
    """
    pair = replace(LIMITS[2][1], pinion_addendum=1.01)
    values = margins(pair)
    assert values["ring fillet clear of pinion tip"] > 0 and 0 < values["ring root clearance"] < 0.1
    assert 1e-3 < worst(pair, 48) < 3e-3


def test_trimming_on_both_sides_of_its_limit():
    """The pinion is drawn in toward the ring's axis; its tip corners pass those of the ring or not."""
    pair = pair_of(40, 57)

    def inserted(height):
        one = replace(pair, pinion_addendum=height)
        return max(worst(one, 8, True, shift=shift) for shift in np.linspace(0, 2.2, 45) * pair.module)

    limit = brentq(lambda height: margins(replace(pair, pinion_addendum=height))["trimming interference"], 0.5, 1.5)
    assert inserted(limit - 0.03) < 1e-4 < 1e-3 < inserted(limit + 0.05)


@pytest.mark.parametrize("teeth", [12, 15])
def test_undercut_on_both_sides_of_its_limit(teeth):
    """A rounded rack tooth is rolled past the blank, point by point; undercut if it takes some of the involute."""
    def taken(shift):
        pair = pair_of(teeth, 2 * teeth, pinion_shift=shift, ring_shift=shift)
        m, reference, base, tan = pair.module, pair.pinion_radius, pair.pinion_base_radius, np.tan(pair.pressure_angle)
        deep = reference - pair.pinion_root_radius
        around = np.linspace(np.pi / 2 + pair.pressure_angle, np.pi, 400)
        foot = pair.rack_radius
        aside = np.pi * m / 4 - (m * pair.pinion_dedendum - foot) * tan - foot / np.cos(pair.pressure_angle)
        rack = reference - deep + foot + 1j * aside + foot * np.exp(1j * around)
        slide = np.linspace(-3 * m, 3 * m, 4001)[:, None]
        cut = (rack + 1j * slide) * np.exp(-1j * (slide / reference)) * np.exp(-1j * np.pi / teeth)
        radius = abs(cut)
        roll = np.sqrt(np.maximum(radius**2 - base**2, 0))
        left = pair.pinion_half_angle - roll / base + np.arctan(roll / base)
        inside = (radius > base * (1 + 1e-9)) & (radius < pair.pinion_tip_radius)
        return ((left + np.angle(cut)) * radius)[inside].max() / m

    limit = brentq(lambda x: margins(pair_of(teeth, 2 * teeth, pinion_shift=x, ring_shift=x))["pinion undercut"], 0, 1)
    assert taken(limit + 0.01) < FREE < 10 * FREE < taken(limit - 0.08)
