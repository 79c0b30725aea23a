"""What the frame feels, before and after balancing, against a general multibody library: bodies and joints in space.

Outside source: the library's forces in the two bearings that hold the carriers, a way apart along the axis. Carriers,
crank and rods are bodies of mass points at their places; flywheels about z alone keep both rotors at their speeds, so
that no teeth are needed: they press on the ring and, through the crank, as much the other way on the carriers.
"""

from pathlib import Path

import numpy as np
import pytest

exu = pytest.importorskip("exudyn", reason="the multibody library of tests/requirements.txt is not installed")
from exudyn.itemInterface import MarkerBodyRigid, ObjectJointGeneric, SensorObject  # noqa: E402
from exudyn.rigidBodyUtilities import InertiaMassPoint, RotationMatrixZ  # noqa: E402

from vmech_core import balance, load_design  # noqa: E402
from vmech_core.case import Case  # noqa: E402

DATA = Path(__file__).resolve().parents[2] / "data"
FLYWHEEL, STEPS, SEAT = 1e8, 720, 0.1


def points(moments, places, radius):
    """Mass points that have these moments at a radius."""
    return [(abs(u) / radius, radius * np.exp(1j * np.angle(u)), z) for u, z in zip(moments, places, strict=True)]


def inertia(masses):
    """One body of mass points (mass, place in the plane, place along the axis), with a flywheel about z."""
    whole = sum((InertiaMassPoint(m).Translated([x.real, x.imag, z]) for m, x, z in masses[1:]),
                InertiaMassPoint(masses[0][0]).Translated([masses[0][1].real, masses[0][1].imag, masses[0][2]]))
    spin = np.eye(3)  # turns about z alone: what stands at the two others has no effect
    spin[2, 2] = FLYWHEEL
    whole.inertiaTensor = whole.inertiaTensor + spin
    return whole


def frame(radius, speed, rods, crank, carrier):
    """Force and couple on the ground over one turn; rods: (mass, bank angle, place)."""
    mbs = exu.SystemContainer().AddSystem()
    ground = mbs.CreateGround()
    wheel = mbs.CreateRigidBody(inertia=inertia(carrier), initialAngularVelocity=[0, 0, speed])
    planet = mbs.CreateRigidBody(inertia=inertia(crank), referencePosition=[radius, 0, 0],
                                 initialVelocity=[0, radius * speed, 0], initialAngularVelocity=[0, 0, -speed])


    def hold(one, two, axes):
        marks = [mbs.AddMarker(MarkerBodyRigid(bodyNumber=b, localPosition=list(at))) for b, at in (one, two)]
        return mbs.AddObject(ObjectJointGeneric(markerNumbers=marks, constrainedAxes=[*axes, 0, 0, 0]))

    joints = [hold((ground, (0, 0, z)), (wheel, (0, 0, z)), (1, 1, z < 0)) for z in (-SEAT, SEAT)]
    mbs.CreateRevoluteJoint(itemNumbers=[wheel, planet], position=[radius, 0, 0], axis=[0, 0, 1])
    for mass, bank, z in rods:
        line, pin = np.array([np.cos(bank), np.sin(bank), 0.0]), radius * np.exp(2j * bank)
        at = 2.0 * radius * np.cos(-bank) * line + [0, 0, z]
        rod = mbs.CreateRigidBody(inertia=inertia([(mass, 0j, 0.0)]), referencePosition=at,
                                  referenceRotationMatrix=RotationMatrixZ(bank),
                                  initialVelocity=-2.0 * radius * speed * np.sin(-bank) * line)
        mbs.CreatePrismaticJoint(itemNumbers=[ground, rod], position=at, axis=line)
        hold((rod, (0, 0, 0)), (planet, (pin.real, pin.imag, z)), (1, 0, 0))
    sensors = [mbs.AddSensor(SensorObject(objectNumber=j, storeInternal=True,
                                          outputVariableType=exu.OutputVariableType.ForceLocal)) for j in joints]
    mbs.Assemble()
    s = exu.SimulationSettings()
    s.timeIntegration.numberOfSteps, s.timeIntegration.endTime = 2 * STEPS, 4.0 * np.pi / speed
    s.timeIntegration.newton.relativeTolerance = s.timeIntegration.newton.absoluteTolerance = 1e-10
    s.solutionSettings.sensorsWritePeriod = 2.0 * np.pi / speed / STEPS
    s.timeIntegration.verboseMode, s.solutionSettings.writeSolutionToFile = 0, False
    mbs.SolveDynamic(s)
    low, high = (mbs.GetSensorStoredData(own)[STEPS:, 1:3] @ [1, 1j] for own in sensors)  # the start rings
    return low + high, SEAT * (high - low)


ANGLE = np.linspace(0.0, 2.0 * np.pi, STEPS + 1)


def agrees(unbalance, speed, theirs, scale=None):
    """Force and couple to 1e-3 of what there is."""
    for name, found in zip(("force", "couple"), theirs, strict=True):
        own = getattr(unbalance, name)(ANGLE, speed)
        most = np.abs(getattr(scale or unbalance, name)(ANGLE, speed)).max()
        assert np.abs(own - found).max() < 1e-3 * most


def test_random_layout():
    """Three cylinders anywhere with unequal masses, masses anywhere on crank and carriers."""
    rng = np.random.default_rng(3)
    mass, bank, place = rng.uniform(0.2, 1.0, 3), rng.uniform(-3.0, 3.0, 3), rng.uniform(-0.05, 0.05, 3)
    radius, speed = 0.02, 150.0
    moment = 0.01 * rng.normal(size=(2, 2)) * np.exp(1j * rng.uniform(0.0, 6.0, (2, 2)))
    at = rng.uniform(-0.1, 0.1, (2, 2))
    crank, carrier = (points(*own, radius) for own in zip(moment, at, strict=True))
    theirs = frame(radius, speed, list(zip(mass, bank, place, strict=True)), [(2.0, 0j, 0.0), *crank],
                   [(1.0, 0j, 0.0), *carrier])
    orbits = balance.rotating([2.0 * radius, *np.abs(moment[0])], np.array([0.0, *at[0]]))
    ours = balance.reciprocating(mass, bank, 0.0, place, [2.0 * radius]) + balance.rotating(moment[0], at[0], -1)
    agrees(ours + orbits + balance.rotating(moment[1], at[1]), speed, theirs)


def test_sized_engine_before_and_after():
    """The V-twin bare, and with bodies for all of it: what was 5.8 kN falls below a thousandth."""
    case = Case(load_design(DATA / "v_twin_generator.toml").changed("counterweights.outside_mm", 25), 181)
    d, speed, place = case.drive, float(case.drive.speed), case.design.cylinders.si.axial_position
    whole, found, radius = balance.of_straight(case, bare=True), balance.fit(case), 0.25 * case.drive.stroke
    assert found.cancelled == pytest.approx({1: 1.0, -1: 1.0})
    rods = balance.reciprocating(-d.reciprocating_mass, d.bank_angle, 0.0, place, [2.0 * radius])
    own = points(-(whole + rods).in_planes(-1, [-0.03, 0.03]), [-0.03, 0.03], radius)
    middle = (whole + rods).only(1).moment.sum().real / radius - sum(point[0] for point in own)
    crank, carrier = [(middle, 0j, 0.0), *own], [(1.0, 0j, 0.0)]
    lines = list(zip(d.reciprocating_mass, d.bank_angle, place, strict=True))
    agrees(whole, speed, frame(radius, speed, lines, crank, carrier))
    for body in found.bodies:
        arm = body.sector.moment / body.sector.mass * np.exp(1j * body.angle)
        (crank if body.room.rotor < 0 else carrier).append((body.sector.mass, arm, body.place))
    agrees(found.left, speed, frame(radius, speed, lines, crank, carrier), whole)
