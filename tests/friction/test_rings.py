"""Piston rings against a Reynolds solver, a march in time and orders of published measurements.

Source of each expected number stands beside it; ``reynolds`` is the solver of tests/reynolds.py, checked there.
"""

import numpy as np
import pytest
import reynolds
from scipy.integrate import quad, simpson

from vmech_core.base.results import Estimate
from vmech_core.bearings import pads as sliding
from vmech_core.bearings import surfaces
from vmech_core.friction import accessories, rings

BORE, STROKE, SPEED, OIL = 0.063, 0.069, 100.0 * np.pi, 0.012
VOLUME = 0.25 * np.pi * BORE**2 * STROKE
ROUGH = 0.7e-6
PEAKS = float(surfaces.asperity_pressure(3.0, 75e9))  # steel on grey iron, about 75 GPa
TURN = 4.0 * np.pi * np.arange(720) / 720
PISTON = -0.5 * STROKE * SPEED * np.sin(TURN)
#: Gas above the crankcase, a made-up cycle: 40 bar soon after the dead centre of the firing turn.
GAS = 40e5 * np.exp(-((np.angle(np.exp(0.5j * (TURN - 0.3))) * 2.0 / 0.9) ** 2))
SURFACE = (OIL, ROUGH, PEAKS)


def ring(**values):
    """The likely top ring, with other values where given."""
    given = vars(rings.PACK["top"].numbers()) | values
    return rings.Ring(**given)


def friction(pressure=0.0, speed=5.0, surface=SURFACE, boundary=0.12, bore=BORE, **values):
    """Force [N] and power [W] of the likely top ring."""
    return rings.ring_friction(ring(**values), bore, pressure, speed, *surface, boundary)


# --- the film of one face -------------------------------------------------------------------------------------------


def solved(film, height, crown, speed=5.0, viscosity=OIL, nodes=401):
    """Load and drag of the bore over width [N/m], by finite differences: pressure, its slope, streaks behind it."""
    x = np.linspace(-1.0, 1.0, nodes)
    gap = film + crown * x**2
    pressure = reynolds.slider_pressure_2d(gap[:, None] * np.ones((1, 5)), height, 1000.0 * height, speed, 0.0,
                                           viscosity, "reynolds")[:, 2]
    step = height / (nodes - 1)
    last = np.flatnonzero(pressure > 0.0)[-1] + 1
    slope = np.gradient(pressure, step)
    shear = viscosity * speed / gap * np.where(np.arange(nodes) < last, 1.0, gap[last] / gap)
    return simpson(pressure, dx=step), simpson(shear + 0.5 * gap * slope, dx=step)


@pytest.mark.parametrize("ratio", [0.02, 0.4, 1.2, 5.0, 25.0, 150.0])
def test_film_and_drag_against_finite_differences(ratio):
    """The load for which the solver has this film brings the core to this film and this drag; smooth faces."""
    height, crown = 1.2e-3, 4.8e-6
    load, drag = solved(crown / ratio, height, crown)
    film, share = rings.ring_film(height, crown, load, -5.0, OIL, 1e-12, PEAKS)
    assert film == pytest.approx(crown / ratio, rel=3e-3) and share == 0.0
    tension = load / height
    force, power = friction(tension=tension, height=height / BORE, crown=crown / height, surface=(OIL, 1e-12, PEAKS))
    assert force == pytest.approx(np.pi * BORE * drag, rel=4e-3)
    assert power == pytest.approx(5.0 * force)


def test_drag_of_a_strong_crown_in_closed_form():
    """H. M. Martin's cylinder: the film breaks at tan g = 0.4754 (from memory), so that drag sqrt(h0 / 2R) is 4.095
    times viscosity x speed, by hand: 2.014 + 1.627 before, 0.454 behind; shear over the whole face would be pi."""
    steps, _, drags = rings._table()
    assert drags[-1] * 2.0 * np.exp(0.5 * steps[-1]) == pytest.approx(4.095 - 4.0 / np.exp(0.5 * steps[-1]), rel=5e-4)
    assert drags[0] == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize(("tension", "speed"), [(1.5e5, 0.02), (1.5e5, 0.3), (1.5e5, 0.6), (1.2e6, 0.3), (1.2e6, 3.0)])
def test_oil_and_peaks_carry_the_load_together(speed, tension):
    """Oil by finite differences, peaks by quadrature of ``asperity_pressure`` over the face; 1 %."""
    height, crown = 1.2e-3, 4.8e-6
    film, share = rings.ring_film(height, crown, tension * height, speed, OIL, ROUGH, PEAKS)
    oil, _ = solved(float(film), height, crown, speed)
    peaks, _ = quad(lambda x: surfaces.asperity_pressure((film + crown * x**2) / ROUGH, 75e9), 0.0, 1.0, epsabs=1e-3)
    assert oil + height * peaks == pytest.approx(tension * height, rel=1e-2)
    assert 0.0 < share < 1.0
    assert share == pytest.approx(height * peaks / (tension * height), abs=1e-2)


def test_peaks_begin_to_touch_at_a_film_ratio_of_4():
    """Zero of Greenwood and Tripp's pressure in the fit of Patir and Cheng (from memory)."""
    for ratio, touch in ((4.1, False), (3.3, True)):
        load, _ = solved(ratio * ROUGH, 1.2e-3, 4.8e-6)
        film, share = rings.ring_film(1.2e-3, 4.8e-6, load, 5.0, OIL, ROUGH, PEAKS)
        assert film / ROUGH == pytest.approx(ratio, rel=5e-3)
        assert bool(share > 0.0) == touch and share < 1e-3


@pytest.mark.parametrize("height", [0.4e-3, 1.2e-3])
def test_at_rest_the_peaks_carry_all(height):
    """Coulomb: boundary x load over the whole circumference and all faces."""
    values = dict(height=height / BORE, tension=2e5, gas=0.5, faces=2.0)
    force, power = friction(1e6, speed=0.0, boundary=0.1, **values)
    assert force == pytest.approx(0.1 * (2e5 + 0.5e6) * height * np.pi * BORE * 2.0, rel=1e-6)
    assert power == 0.0


def test_a_vacuum_leaves_the_tension_alone():
    assert friction(-5e4) == friction(0.0)


# --- trends ---------------------------------------------------------------------------------------------------------


def grows(values):
    return bool(np.all(np.diff(values) > 0.0))


def test_signs_of_the_trends():
    """Stribeck's curve: full films cost more as oil gets thicker and faster, peaks less (known in the trade)."""
    viscosity = np.geomspace(0.005, 0.05, 6)
    full = friction(speed=8.0, surface=(viscosity, ROUGH, PEAKS))[0]
    mixed = friction(2e6, speed=0.02, surface=(viscosity, ROUGH, PEAKS))[0]
    assert grows(full) and grows(-mixed)
    assert grows(friction(speed=np.linspace(3.0, 12.0, 6))[0])
    assert grows(-friction(2e6, speed=np.linspace(0.0, 0.1, 6))[0])
    assert grows(friction(2e6, speed=0.05, surface=(OIL, ROUGH * np.array([0.2, 0.5, 1.0, 2.0]), PEAKS))[0])
    for name, values in (("tension", [1e5, 2e5, 4e5]), ("gas", [0.2, 0.5, 0.8]), ("faces", [1.0, 2.0])):
        assert grows(friction(1e6, **{name: np.array(values)})[0]), name
        assert grows(friction(1e6, speed=0.05, **{name: np.array(values)})[0]), name
    assert grows(friction(speed=0.02, boundary=np.array([0.08, 0.12, 0.15]))[0])
    assert np.ptp(friction(speed=10.0, boundary=np.array([0.08, 0.12, 0.15]))[0]) == 0.0


def test_both_strokes_cost_the_same():
    forward, back = friction(speed=4.0), friction(speed=-4.0)
    assert forward == back and forward[0] > 0.0


def test_all_lengths_scaled_alike():
    """Similarity in Reynolds's equation: sizes, film, roughness and viscosity x speed twice, forces four times."""
    once = friction(1e6, speed=1.0)[0]
    twice = friction(1e6, speed=1.0, bore=2.0 * BORE, surface=(2.0 * OIL, 2.0 * ROUGH, PEAKS))[0]
    assert twice == pytest.approx(4.0 * once, rel=1e-9)


# --- whole cycle ----------------------------------------------------------------------------------------------------


def marched(kind, gas, piston, slower):
    """Mean power [W] and least film [m] of a ring by ``sliding``, which has squeeze: one wide flat pad, far from the
    face on its other side."""
    height = kind.height * BORE
    load = height * np.pi * BORE * (kind.tension + kind.gas * np.maximum(gas, 0.0))
    values = (height, np.pi * BORE, 0.0, 3e-5, kind.crown * height, OIL)
    pads = sliding.Pads(*(np.array([v]) for v in values), load[None], piston[None],
                        *(np.array([v]) for v in (4.0 * np.pi / SPEED * slower, ROUGH, PEAKS)))
    film = sliding.slide(pads, tolerance=1e-3)
    assert film.periodic.all()
    far = OIL * np.abs(piston) * height * np.pi * BORE / (3e-5 * (1.0 + np.abs(film.offset[0])))  # other side, about
    force, _ = sliding.friction(pads, film)
    return float(np.mean((force[0] - far) * np.abs(piston))), float(sliding.film_thickness(pads, film).min())


@pytest.mark.parametrize(
    ("which", "slower", "most"), [("likely", 1.0, 1.04), ("likely", 5.0, 1.04), ("high", 1.0, 1.12)]
)
@pytest.mark.parametrize("name", rings.PACK)
def test_what_leaving_out_squeeze_costs(name, which, slower, most):
    """Of the mean power between -2 and 4 %, 12 % at the worst: ``sliding`` has squeeze, and its other law of drag."""
    kind, piston = rings.PACK[name].numbers(lambda estimate: getattr(estimate, which)), PISTON / slower
    own = rings.ring_friction(kind, BORE, GAS, piston, *SURFACE)[1].mean() / kind.faces
    other, least = marched(kind, GAS, piston, slower)
    height = kind.height * BORE
    load = height * (kind.tension + kind.gas * GAS)
    film, _ = rings.ring_film(height, kind.crown * height, load, piston, *SURFACE)
    assert 0.98 < own / other < most
    assert film.min() < 1.001 * least


def total(which, gas=GAS, piston=PISTON):
    """Mean friction pressure [bar] of all rings with all coefficients at one end of their ranges."""
    kinds = (ring.numbers(lambda estimate: getattr(estimate, which)) for ring in rings.PACK.values())
    power = sum(rings.ring_friction(kind, BORE, gas, piston, *SURFACE)[1].mean() for kind in kinds)
    return accessories.friction_pressure(power, VOLUME, SPEED, 2) / 1e5


def test_size_of_the_whole_pack():
    """0.1 to 0.4 bar for three rings at 3,000 rpm: order of published measurements, from memory."""
    low, likely, high = (total(which) for which in ("low", "likely", "high"))
    assert 0.1 < low < likely < high < 0.4


def test_springs_and_gas_of_the_pack():
    """Tangential force, pressure x height x bore / 2: at 63 mm bore 4 to 10 N, oil ring 15 to 35 N (from memory).

    Gas presses the top ring most and the oil ring, which is vented, not at all.
    """
    kinds = {name: face.numbers() for name, face in rings.PACK.items()}
    pull = {name: kind.tension * kind.faces * kind.height * BORE**2 / 2.0 for name, kind in kinds.items()}
    assert 4.0 < pull["top"] < 10.0 and 4.0 < pull["second"] < 10.0 and 15.0 < pull["oil"] < 35.0
    more = [np.diff([rings.ring_friction(kinds[name], BORE, p, 0.0, *SURFACE)[0] for p in (0.0, 2e6)])[0]
            for name in ("top", "second", "oil")]
    assert more[0] > 3.0 * more[1] > 0.0 and more[2] == pytest.approx(0.0, abs=1e-9)


def test_samples_in_one_call():
    """A batch of samples by angles is the same as one after the other; the cycle is returned angle by angle."""
    picks = np.random.default_rng(3).random(5)
    several = rings.PACK["top"].numbers(lambda e: (e.low + picks * (e.high - e.low))[:, None])
    batch = rings.ring_friction(several, BORE, GAS, PISTON, *SURFACE)[0]
    one = rings.PACK["top"].numbers(lambda e: e.low + picks[3] * (e.high - e.low))
    assert batch.shape == (5, 720)
    assert batch[3] == pytest.approx(rings.ring_friction(one, BORE, GAS, PISTON, *SURFACE)[0], rel=1e-12)


COEFFICIENTS = {f"{kind} {name}": value for kind, face in rings.PACK.items() for name, value in vars(face).items()
                if isinstance(value, Estimate)}


def test_every_coefficient_has_a_range_and_says_where_it_comes_from():
    assert len(COEFFICIENTS) == 11
    for name, part in COEFFICIENTS.items():
        assert part.low < part.likely < part.high and part.estimated, name
        assert "from memory" in part.basis or "common practice, no source" in part.basis, name
