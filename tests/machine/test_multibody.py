"""Joint forces and torque of all mechanisms against sympy.physics.mechanics with Lagrange multipliers.

Outside source: sympy.physics.mechanics.LagrangesMethod, a general multibody formulation (see tests/multibody.py).
Agreement asked for: 1e-9 of the peak of each channel, at 24 angles.
"""

import functools
from pathlib import Path

import multibody
import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.machine import hypocycloid, masses, scotch_yoke, slider_crank

ANGLES = np.linspace(0.1, 0.1 + 2.0 * np.pi, 24, endpoint=False)
GAS = np.random.default_rng(7).uniform(-2e3, 12e3, (3, ANGLES.size))
BANKS = {
    "V-twin": np.radians([-45.0, 45.0]),
    "star of three": np.radians([0.0, 120.0, 240.0]),
    "single": np.array([0.3]),
}
MASSES = np.array([0.42, 0.35, 0.51])

straight_line = functools.cache(multibody.straight_line)
slider = functools.cache(multibody.slider)
yoke = functools.cache(multibody.scotch_yoke)


def straight_drive(name, balance):
    bank = BANKS[name]
    mass = MASSES[: len(bank)]
    moment = hypocycloid.crank_moment_for_balance(0.069, bank, mass, balance) + (0.002 - 0.001j) * (balance == 0.7)
    return hypocycloid.HypocycloidDrive(0.069, bank, mass, 314.16, np.radians(21.3), 2.6, moment)


def multiplier_channels(model, guess, parameters):
    """Forces by joint name, (24, size), from the independent solution."""
    rows = [multibody.solve(model, guess(angle), angle / 314.16, parameters(i))[1] for i, angle in enumerate(ANGLES)]
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


def agrees(ours, theirs, peak=None):
    """Agreement to 1e-9 of the peak of the channel; a channel of zeros is measured against the gas force."""
    scale = max(np.abs(theirs).max(), 1.0) if peak is None else peak
    assert np.abs(ours - theirs).max() <= 1e-9 * scale


@pytest.mark.parametrize("balance", [0.0, 0.7, 1.0], ids=["no counterweight", "skewed", "full counterweight"])
@pytest.mark.parametrize("name", ["V-twin", "star of three"])
@pytest.mark.parametrize("guides", ["idle", "alone"])
def test_straight_line_drive(name, balance, guides):
    drive = straight_drive(name, balance)
    count = len(drive.bank_angle)
    ours = hypocycloid.rigid_loads(drive, ANGLES, GAS[:count], guides)
    moment = complex(drive.crank_moment)

    def parameters(i):
        per_cylinder = [
            (drive.bank_angle[k], drive.reciprocating_mass[k], GAS[k, i], ours["guide"][k, i]) for k in range(count)
        ]
        return [
            drive.stroke,
            drive.speed,
            drive.crank_mass,
            moment.real,
            moment.imag,
            ours["separating"][i],
            *np.ravel(per_cylinder),
        ]

    theirs = multiplier_channels(straight_line(count), lambda t: multibody.straight_line_guess(drive, t), parameters)
    for k in range(count):
        agrees(ours["pin"][k], theirs[f"pin{k}"] @ [1, 1j])
    agrees(ours["crank_bearing"], theirs["crank_bearing"] @ [1, 1j])
    agrees(ours["main"], theirs["main"] @ [1, 1j])
    agrees(ours["torque"], theirs["torque"][:, 0])
    agrees(ours["mesh"], -theirs["mesh"][:, 0], peak=np.abs(GAS).max())


def test_one_guide_without_a_gear_carries_what_the_multiplier_says():
    drive = straight_drive("single", 0.7)
    ours = hypocycloid.rigid_loads(drive, ANGLES, GAS[:1], "alone")
    moment = complex(drive.crank_moment)

    def parameters(i):
        return [
            drive.stroke,
            drive.speed,
            drive.crank_mass,
            moment.real,
            moment.imag,
            0.0,
            drive.bank_angle[0],
            drive.reciprocating_mass[0],
            GAS[0, i],
            0.0,
        ]

    model = multibody.straight_line(1, with_gear=False, hold=(0,))
    theirs = multiplier_channels(model, lambda t: multibody.straight_line_guess(drive, t), parameters)
    agrees(ours["guide"][0], -theirs["guide0"][:, 0])
    agrees(ours["torque"], theirs["torque"][:, 0])


def ordinary_drive(name, layout, balance, offset):
    bank = BANKS[name]
    mass = MASSES[: len(bank)]
    split = -4.0 * np.pi / len(bank) * np.arange(len(bank)) + bank - bank[0]
    pins, moment = split if layout == "split" else 0.0 * bank, -balance * (0.02 + 0.003j)
    inertia = 0.0006 + 0.001 * mass
    return slider_crank.SliderCrank(
        crank_radius=0.0345, rod_length=0.121, bank_angle=bank, crankpin_angle=pins, piston_mass=mass,
        rod_mass=0.8 * mass, rod_cg=0.31, rod_inertia=inertia, speed=314.16, wrist_pin_offset=offset,
        crank_moment=moment)


def slider_channels(drive, model):
    """Multipliers of the ordinary drive, with a trunk piston or a crosshead as the model has it."""
    moment = complex(drive.crank_moment)
    machine = [drive.crank_radius, drive.rod_length, drive.rod_cg, drive.wrist_pin_offset, drive.speed]
    own = np.stack([drive.bank_angle, drive.crankpin_angle, drive.piston_mass, drive.rod_mass, drive.rod_inertia], 1)

    def parameters(i):
        return [*machine, moment.real, moment.imag, *np.column_stack([own, GAS[: len(own), i]]).ravel()]

    return multiplier_channels(model, lambda t: multibody.slider_guess(drive, t), parameters)


@pytest.mark.parametrize("offset", [0.0, 0.0012], ids=["centred", "offset wrist pin"])
@pytest.mark.parametrize("balance", [0.0, 1.0], ids=["no counterweight", "counterweight"])
@pytest.mark.parametrize(("name", "layout"), [("V-twin", "common"), ("star of three", "common"), ("V-twin", "split")])
def test_slider_crank(name, layout, balance, offset):
    drive = ordinary_drive(name, layout, balance, offset)
    count, bank = len(drive.bank_angle), drive.bank_angle
    ours = slider_crank.rigid_loads(drive, ANGLES, GAS[:count])
    theirs = slider_channels(drive, slider(count))
    for k in range(count):
        agrees(ours["pin"][k], theirs[f"pin{k}"] @ [1, 1j])
        agrees(ours["wrist"][k] * np.exp(1j * bank[k]), -theirs[f"wrist{k}"] @ [1, 1j])
        agrees(ours["bore"][k], -theirs[f"bore{k}"][:, 0])
    agrees(ours["main"], theirs["main"] @ [1, 1j])
    agrees(ours["torque"], theirs["torque"][:, 0])


@pytest.mark.parametrize("offset", [0.0, 0.0012], ids=["centred", "offset wrist pin"])
def test_crosshead_guide_carries_the_side_thrust_and_the_bore_nothing(offset):
    """The bore is free to carry a share in the multibody model, and its multiplier comes out as zero."""
    drive = ordinary_drive("V-twin", "common", 1.0, offset)
    bank = drive.bank_angle
    ours = slider_crank.rigid_loads(drive, ANGLES, GAS[:2], "crosshead")
    theirs = slider_channels(drive, slider(2, crosshead=True))
    for k in range(2):
        agrees(ours["guide"][k], -theirs[f"guide{k}"][:, 0])
        agrees(ours["bore"][k], -theirs[f"bore{k}"][:, 0], peak=np.abs(theirs[f"guide{k}"]).max())
        agrees(ours["pin"][k], theirs[f"pin{k}"] @ [1, 1j])
        agrees(ours["wrist"][k] * np.exp(1j * bank[k]), -theirs[f"wrist{k}"] @ [1, 1j])
    assert np.abs(ours["guide"]).max() > 500.0
    agrees(ours["main"], theirs["main"] @ [1, 1j])
    agrees(ours["torque"], theirs["torque"][:, 0])


@pytest.mark.parametrize("balance", [0.0, 1.0], ids=["no counterweight", "counterweight"])
@pytest.mark.parametrize(("name", "pins"), [("V-twin", [0.0, 0.0]), ("star of three", [0.0, 2.2, -0.7])])
def test_scotch_yoke(name, pins, balance):
    """Slot force, couple of the guides and no net side force, with pins at any phase."""
    bank = BANKS[name]
    count, pins, moment = len(bank), np.array(pins), -balance * (0.02 + 0.003j)
    drive = scotch_yoke.ScotchYoke(0.069, bank, pins, MASSES[:count], 314.16, moment)
    ours = scotch_yoke.rigid_loads(drive, ANGLES, GAS[:count])

    def parameters(i):
        own = np.column_stack([bank, pins, drive.reciprocating_mass, GAS[:count, i]])
        return [0.5 * drive.stroke, drive.speed, moment.real, moment.imag, *own.ravel()]

    theirs = multiplier_channels(yoke(count), lambda t: multibody.scotch_yoke_guess(drive, t), parameters)
    peak = np.abs(ours["pin"]).max()
    for k in range(count):
        along = np.exp(1j * bank[k])
        agrees(ours["rod"][k], -theirs[f"slot{k}"][:, 0])
        agrees(ours["pin"][k], theirs[f"slot{k}"][:, 0] * along)
        agrees(ours["guide_couple"][k], -theirs[f"turn{k}"][:, 0])
        agrees(0.0, theirs[f"guide{k}"][:, 0], peak=peak)
    agrees(ours["main"], theirs["main"] @ [1, 1j])
    agrees(ours["torque"], theirs["torque"][:, 0])


#: A V-twin whose second cylinder has the heavier piston and rod [kg].
UNEQUAL = {"masses.piston_g": [320, 350], "masses.piston_rod_g": [410, 520]}
MOVING = np.array([0.730, 0.870])


def unequal_twin():
    engine = load_design(Path(__file__).resolve().parents[2] / "data" / "first_sketch.toml")
    return engine.changed(**UNEQUAL, **{"ordinary_crank.reciprocating_balance_fraction": 0.5,
                                        "ordinary_crank.crankpin_layout": "split"})


def test_unequal_rods_of_a_design_reach_the_straight_line_drive():
    """The bodies of the multibody model get the masses as they are written here, not as the drive has them."""
    design = unequal_twin()
    drive = hypocycloid.from_design(design, masses.of_design(design))
    bank, stroke = np.radians(design.cylinders.bank_angle_deg), 1e-3 * design.cylinders.stroke_mm
    moment = -design.crank.counterweight_fraction * 0.25 * stroke * (MOVING * np.exp(2j * bank)).sum()
    ours = hypocycloid.rigid_loads(drive, ANGLES, GAS[:2])
    omega = design.duty.speed_rpm * np.pi / 30.0

    def parameters(i):
        each = [(bank[k], MOVING[k], GAS[k, i], 0.0) for k in range(2)]
        return [stroke, omega, drive.crank_mass, moment.real, moment.imag, ours["separating"][i], *np.ravel(each)]

    model, rows = straight_line(2), []
    for i, angle in enumerate(ANGLES):
        guess = multibody.straight_line_guess(drive, angle)
        rows.append(multibody.solve(model, guess, angle / omega, parameters(i))[1])
    for k in range(2):
        agrees(ours["pin"][k], np.array([row[f"pin{k}"] for row in rows]) @ [1, 1j])
    agrees(ours["main"], np.array([row["main"] for row in rows]) @ [1, 1j])
    agrees(ours["torque"], np.array([row["torque"] for row in rows])[:, 0])


def test_unequal_rods_of_a_design_reach_the_other_drives_and_the_sheet():
    """By hand: what a yoke or a crosshead adds is the same for both, and each pin's counterweight has its own mass."""
    design = unequal_twin()
    mass = masses.of_design(design)
    yoke, head = scotch_yoke.from_design(design, mass), slider_crank.from_design(design, mass, crosshead=True)
    np.testing.assert_allclose(np.diff(yoke.reciprocating_mass), 0.140, rtol=1e-12)
    bore = design.cylinders.si.bore
    skirt = masses.trunk_piston(bore).likely - masses.crown_piston(bore).likely
    np.testing.assert_allclose(head.piston_mass - skirt, MOVING, rtol=1e-12)
    own, rod = design.ordinary_crank, mass["ordinary_rod"].likely
    each = own.rotating_balance_fraction * (1.0 - own.rod_cg_fraction) * rod
    each += 0.5 * (head.piston_mass + own.rod_cg_fraction * rod)
    expected = -head.crank_radius * (each[0] * np.exp(1j * head.crankpin_angle[0])
                                     + each[1] * np.exp(1j * head.crankpin_angle[1]))
    np.testing.assert_allclose(head.crank_moment, expected, rtol=1e-12)
    stage = assess(design).stage("mass")
    assert stage["piston_rod"].value == pytest.approx(0.465) and "mean of the cylinders" in stage["piston_rod"].label
    assert not stage["piston"].estimated and "mean" not in stage["crank"].label
