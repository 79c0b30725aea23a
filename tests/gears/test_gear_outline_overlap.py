"""Interference, contact and tooth shape, checked on polygons with a general-purpose geometry library (shapely).

The true outlines are rolled through one pitch; whatever the screens call free must not overlap, whatever they call
interfering must. Tool shape, fillets and tooth sections are made here by polygon operations, not by the core.
"""

import numpy as np
import pytest

from vmech_core.base.errors import InputError
from vmech_core.gears.geometry import InternalPair, contact_ratio
from vmech_core.gears.outline import pinion_flank, pinion_outline, place_pinion, ring_flank, ring_outline
from vmech_core.gears.screens import check_pair, margins
from vmech_core.gears.strength import pinion_form_factor, ring_form_factor

shapely = pytest.importorskip("shapely", reason="shapely comes with tests/requirements.txt")

#: Penetration, in modules, that the polygons' own chords can produce (measured on clean pairs: up to 4e-5).
CHORDS = 1e-4
#: Penetration, in modules, that the screens may overlook: they test tip corners at one position, not along the way.
OVERLOOKED = 5e-4


def polygon(points):
    return shapely.Polygon(np.c_[points.real, points.imag])


def depth(points, shape, inside):
    """Greatest distance from the edge of those points that are inside (or outside) a polygon."""
    wrong = shapely.contains_xy(shape, points.real, points.imag) == inside
    if not wrong.any():
        return 0.0
    return shapely.distance(shapely.points(points[wrong].real, points[wrong].imag), shape.exterior).max()


def whole_involutes(pair, points):
    """Pinion with its involute down to the base circle and a radial line below it: a stand-in for a gentler tool."""
    base, root = pair.pinion_base_radius, pair.pinion_root_radius
    roll = np.linspace(np.sqrt(max(root**2 - base**2, 0.0)), pair.contact_end, points)
    flank = (base - 1j * roll) * np.exp(1j * (roll / base - pair.pinion_half_angle))  # a taut thread, unwound
    low = np.linspace(root, base, points, endpoint=False) * np.exp(-1j * pair.pinion_half_angle)
    half = np.concatenate([[root * np.exp(-1j * np.pi / pair.pinion_teeth)], low[: points * (root < base)], flank])
    tip = pair.pinion_tip_radius * np.exp(1j * np.angle(flank[-1]) * np.linspace(1, -1, 7)[1:-1])
    tooth = np.concatenate([half, tip, np.conj(half[:0:-1])])
    return (np.exp(2j * np.pi * np.arange(pair.pinion_teeth) / pair.pinion_teeth)[:, None] * tooth).ravel()


def penetration(pair, make=pinion_outline, steps=16, shift=0.0, points=60):
    """Deepest overlap over one pitch, in modules; ``shift`` pulls the pinion toward the ring's axis."""
    pinion, ring = make(pair, points), ring_outline(pair, points)
    hole, blank = polygon(ring), polygon(pinion)
    shapely.prepare(hole)
    shapely.prepare(blank)
    worst = 0.0
    for angle in np.linspace(0, 2 * np.pi / pair.ring_teeth, steps, endpoint=False):
        centre, turned = place_pinion(pair, np.array([0.0, 1.0]), angle) - shift * np.exp(1j * angle)
        turn = turned - centre
        worst = max(worst, depth(centre + pinion * turn, hole, False), depth((ring - centre) / turn, blank, True))
    return worst / pair.module


def pair_of(pinion_teeth, ring_teeth, degrees=20.0, **fields):
    return InternalPair(0.001, pinion_teeth, ring_teeth, np.radians(degrees), **fields)


def failing(pair):
    return [margin.name for margin in check_pair(pair) if not margin.ok]


CLEAN = [
    pair_of(23, 46, ring_addendum=0.8), pair_of(17, 34, pinion_shift=0.05, ring_shift=0.05, ring_addendum=0.75),
    pair_of(16, 32, 25, ring_addendum=0.85), pair_of(15, 30, 25, ring_addendum=0.85),
    pair_of(12, 24, 30, ring_addendum=0.9, ring_dedendum=1.1), pair_of(19, 38, 25, ring_shift=0.5),
    pair_of(12, 24, pinion_shift=0.3, ring_shift=0.3, ring_addendum=0.8), pair_of(40, 80, ring_addendum=0.8),
    pair_of(40, 60, ring_addendum=0.8), pair_of(30, 44, 25, ring_addendum=0.8),
]


@pytest.mark.parametrize("pair", CLEAN, ids=lambda p: f"{p.pinion_teeth}/{p.ring_teeth}")
def test_a_pair_that_passes_every_screen_does_not_overlap(pair):
    assert failing(pair) == []
    assert penetration(pair) < CHORDS


def test_random_pairs_that_pass_every_screen_do_not_overlap():
    rng, met = np.random.default_rng(11), 0
    while met < 25:
        teeth, shift = int(rng.integers(9, 40)), rng.uniform(-0.3, 0.6)
        ring = 2 * teeth if rng.random() < 0.6 else teeth + int(rng.integers(8, 30))
        fields = (np.radians(rng.uniform(15, 30)), shift, shift + rng.uniform(-0.4, 0.6), rng.uniform(0.7, 1.1),
                  rng.uniform(0.5, 1.0), rng.uniform(1.0, 1.3), rng.uniform(1.0, 1.3))
        try:
            pair = InternalPair(0.001, teeth, ring, *fields)
        except InputError:
            continue
        if not failing(pair):
            met += 1
            assert penetration(pair, steps=8, points=40) < OVERLOOKED, pair


def test_full_depth_23_46_is_free_of_involute_interference_but_not_of_a_rack_cut_fillet():
    """The published limit speaks of the involute alone: with an involute down to the base circle the pair is clean.

    The fillet that a rack leaves stands where the full-depth ring tooth wants to go.
    """
    pair = pair_of(23, 46)
    assert failing(pair) == ["pinion fillet clear of ring tip"]
    assert penetration(pair, whole_involutes) < CHORDS
    assert 0.01 < penetration(pair) < 0.05


@pytest.mark.parametrize(("teeth", "least"), [(20, 1e-3), (17, 1e-2)])
def test_involute_interference_of_full_depth_pairs_is_an_overlap(teeth, least):
    pair = pair_of(teeth, 2 * teeth)
    assert "involute interference" in failing(pair)
    assert penetration(pair, whole_involutes) > least
    assert penetration(pair) > least


@pytest.mark.parametrize("height", [1.0, 0.95, 0.9, 0.86, 0.8, 0.7])
def test_fillet_screen_changes_sign_with_the_overlap(height):
    pair = pair_of(23, 46, ring_addendum=height)
    assert (margins(pair)["pinion fillet clear of ring tip"] < 0) == (penetration(pair) > CHORDS)


@pytest.mark.parametrize("depth_of_ring", [1.25, 1.15, 1.05, 0.95])
def test_ring_fillet_screen_changes_sign_with_the_overlap(depth_of_ring):
    pair = pair_of(16, 32, 25, ring_addendum=0.8, pinion_addendum=0.85, ring_dedendum=depth_of_ring,
                   ring_fillet_radius=0.4)
    free = min(margins(pair)["ring fillet clear of pinion tip"], margins(pair)["ring root clearance"] - 0.1) >= 0
    assert free == (penetration(pair) < CHORDS)


@pytest.mark.parametrize("difference", [6, 7, 8, 9, 10, 12])
def test_trochoid_screen_changes_sign_with_the_overlap(difference):
    """Small tooth differences at 50 pinion teeth leave trochoid interference alone: the involute screen holds."""
    pair = pair_of(50, 50 + difference)
    values = margins(pair)
    assert values["involute interference"] > 0
    assert (values["trochoid interference"] < 0) == (penetration(pair, whole_involutes, steps=48) > CHORDS)


@pytest.mark.parametrize("pair", [pair_of(50, 60), pair_of(40, 54), pair_of(23, 46, ring_addendum=0.8),
                                  pair_of(12, 24, pinion_shift=0.3, ring_shift=0.1, ring_addendum=0.75),
                                  pair_of(12, 24, pinion_shift=0.3, ring_shift=0.3, ring_addendum=0.8),
                                  pair_of(40, 57), pair_of(40, 70)],
                         ids=lambda p: f"{p.pinion_teeth}/{p.ring_teeth}")
def test_trimming_screen_tells_whether_the_pinion_goes_in_sideways(pair):
    inward = np.linspace(0, 2.4 * pair.module, 13)
    worst = max(penetration(pair, whole_involutes, steps=6, shift=shift, points=40) for shift in inward)
    assert (margins(pair)["trimming interference"] < 0) == (worst > CHORDS)


@pytest.mark.parametrize("pair", CLEAN[:4], ids=lambda p: f"{p.pinion_teeth}/{p.ring_teeth}")
def test_contact_ratio_counted_on_rolled_outlines(pair):
    """A flank is in contact over contact ratio times 2 pi / ring teeth of carrier angle."""
    flank, space = pinion_flank(pair, 600)[-600:], ring_flank(pair, 600)[:600]
    ring_line = shapely.LineString(np.c_[space.real, space.imag])
    angles = np.linspace(-1.6, 1.6, 161) * 2 * np.pi / pair.ring_teeth
    rolled = place_pinion(pair, flank, angles)
    gaps = shapely.distance(shapely.linestrings(np.stack([rolled.real, rolled.imag], axis=-1)), ring_line)
    touching = angles[gaps < 2e-6 * pair.module]
    counted = (touching.max() - touching.min() + angles[1] - angles[0]) * pair.ring_teeth / (2 * np.pi)
    assert len(touching) == pytest.approx((touching.max() - touching.min()) / (angles[1] - angles[0]) + 1)
    assert counted == pytest.approx(contact_ratio(pair), abs=0.03)


def test_backlash_opens_the_mesh_by_its_amount():
    """Turned by half the backlash at the working pitch circle, either way, the flanks touch; beyond it they cut in."""
    pair = pair_of(23, 46, ring_addendum=0.8, backlash=40e-6)
    hole, pinion = polygon(ring_outline(pair, 200)), pinion_outline(pair, 200)
    for side in (1, -1):
        for part, touches in ((0.9, False), (1.1, True)):
            angle = side * part * pair.backlash / 2 / pair.pinion_working_radius
            turned = pair.centre_distance + pinion * np.exp(1j * angle)
            assert (depth(turned, hole, False) > 1e-7) == touches


@pytest.mark.parametrize("pair", [pair_of(23, 46), pair_of(12, 24), pair_of(16, 32, 25), pair_of(12, 24, 30),
                                  pair_of(14, 28, pinion_shift=0.3, ring_shift=0.3),
                                  pair_of(9, 18, backlash=30e-6)],
                         ids=["plain", "undercut", "25 deg", "30 deg", "shifted", "undercut with backlash"])
def test_pinion_outline_is_what_a_rounded_rack_cuts(pair):
    """Cut a disc with a rack tooth, rounded by opening the polygon, at many positions: the same tooth space is left."""
    m, angle = pair.module, pair.pressure_angle
    widening = pair.backlash / 4 * pair.pinion_radius / pair.pinion_working_radius
    deep, high = m * pair.pinion_dedendum, 4 * m
    wide = np.array([np.pi * m / 4 + widening - deep * np.tan(angle), np.pi * m / 4 + widening + high * np.tan(angle)])
    tooth = shapely.Polygon([(-deep, -wide[0]), (-deep, wide[0]), (high, wide[1]), (high, -wide[1])])
    tooth = tooth.buffer(-pair.rack_radius, quad_segs=64).buffer(pair.rack_radius, quad_segs=64)
    tool = np.array(tooth.exterior.coords) @ [1, 1j] + pair.pinion_radius + m * pair.pinion_shift
    slides = np.linspace(-4, 4, 501)[:, None] * m
    swept = (tool + 1j * slides) * np.exp(-1j * slides / pair.pinion_radius)
    cut = shapely.union_all([polygon(one) for one in swept])
    disc = shapely.Point(0, 0).buffer(pair.pinion_tip_radius, quad_segs=2000)
    left = disc.difference(cut)
    lower = pinion_flank(pair, 200)
    mine = lower[abs(lower) < pair.pinion_tip_radius * (1 - 1e-9)] * np.exp(1j * np.pi / pair.pinion_teeth)
    gaps = shapely.distance(shapely.points(mine.real, mine.imag), left.boundary)
    assert gaps.max() < 5e-4 * m
    tip = shapely.Point(0, 0).buffer((1 - 1e-5) * pair.pinion_tip_radius, quad_segs=2000).exterior
    thickness = tip.length / pair.pinion_teeth - tip.intersection(cut).length
    assert margins(pair)["pinion tip thickness"] * m == pytest.approx(thickness, abs=2e-3 * m)


@pytest.mark.parametrize("pair", CLEAN[:6], ids=lambda p: f"{p.pinion_teeth}/{p.ring_teeth}")
def test_ring_tip_thickness_is_what_the_tip_circle_meets_of_the_teeth(pair):
    circle = shapely.Point(0, 0).buffer((1 + 1e-5) * pair.ring_tip_radius, quad_segs=4000).exterior
    thickness = circle.difference(polygon(ring_outline(pair, 200))).length / pair.ring_teeth
    assert margins(pair)["ring tip thickness"] * pair.module == pytest.approx(thickness, abs=2e-3 * pair.module)


def test_ring_fillet_is_the_space_opened_by_its_radius():
    """A sharp-cornered space, eroded and grown by the fillet radius, has the fillet that the core draws."""
    pair = pair_of(16, 32, 25, ring_addendum=0.8)
    sharp = InternalPair(0.001, 16, 32, np.radians(25), ring_addendum=0.8, ring_fillet_radius=0.0)
    half = ring_flank(sharp, 400)
    arc = sharp.ring_root_radius * np.exp(1j * np.linspace(np.angle(half[-2]), -np.angle(half[-2]), 200))
    space = polygon(np.concatenate([[0.7 * half[0]], half[:-1], arc, np.conj(half[-2::-1]), [0.7 * np.conj(half[0])]]))
    opened = space.buffer(-pair.ring_fillet, quad_segs=64).buffer(pair.ring_fillet, quad_segs=64)
    mine = ring_flank(pair, 100)[50:]
    gaps = shapely.distance(shapely.points(mine.real, mine.imag), opened.exterior)
    assert gaps.max() < 2e-4 * pair.module


def section_form_factor(outline, corner, normal, outward, module):
    """Least t^2 / (6 h m) over sections across the tooth, h below the point where the load meets its middle."""
    vertex = corner.real - corner.imag * normal.real / normal.imag
    below = np.linspace(0.8, 2.6, 361) * module
    place = vertex - outward * below
    half = np.full_like(place, 1.55 * module)  # long enough for the tooth, too short for the next one
    lines = shapely.linestrings(np.stack([np.c_[place, -half], np.c_[place, half]], axis=1))
    widths = shapely.length(shapely.intersection(polygon(outline), lines))
    return np.min(np.where(widths > 0, widths, np.inf) ** 2 / (6 * below * module))


@pytest.mark.parametrize("pair", [pair_of(23, 46), pair_of(16, 32, 25, ring_addendum=0.85)], ids=["20 deg", "25 deg"])
def test_form_factors_against_sections_of_the_polygons(pair):
    """Same definition, other route: the load is normal to the polygon's last edge, the sections are cut by shapely."""
    pinion = pinion_flank(pair, 800)
    edge = pinion[-1] - pinion[-2]
    tooth = np.concatenate([pinion, np.conj(pinion[::-1])])
    found = section_form_factor(tooth, pinion[-1], 1j * edge, 1, pair.module)
    assert pinion_form_factor(pair) == pytest.approx(found, rel=3e-3)
    ring = np.conj(ring_flank(pair, 800) * np.exp(1j * np.pi / pair.ring_teeth))
    edge = ring[1] - ring[0]
    rim = 1.1 * ring[-1]
    tooth = np.concatenate([ring, [rim, np.conj(rim)], np.conj(ring[::-1])])
    found = section_form_factor(tooth, ring[0], 1j * edge, -1, pair.module)
    assert ring_form_factor(pair) == pytest.approx(found, rel=3e-3)
