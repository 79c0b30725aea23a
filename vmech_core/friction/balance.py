"""The torque that friction leaves at the shaft, from the balance of forces and couples: a second route to its power."""

import numpy as np

from vmech_core.bearings import seats
from vmech_core.machine import hypocycloid, slider_crank


def brake_torque(case, friction):
    """Torque at the shaft from the balance of forces and couples, friction included.

    Friction forces on the pistons go through the statics of the mechanism like gas; couples act on crank, carriers and
    rods; loads do work as journals move in their play.

    Parameters
    ----------
    case : Case [-]
        The design.
    friction : Friction [-]
        Of the straight-line drive or of the ordinary crank, with one sample.

    Returns
    -------
    (A,) array [N m]
        Over the cycle, without its repeated end.

    Valid: the loads that friction was found from; no friction of friction.
    Source: Newton and Euler, as in ``hypocycloid.rigid_loads`` and ``slider_crank.rigid_loads``; a couple M_c on the
        crank takes M_c from the carrier's torque, as the crank turns at minus its speed.
    """
    straight = friction.machine == seats.STRAIGHT
    mechanism, drive = (hypocycloid, case.drive) if straight else (slider_crank, case.ordinary)
    loads = case.few if straight else case.few_ordinary
    angle, gas = loads.angle[:-1], loads["gas"][:, :-1]
    way = np.sign(mechanism.motion(drive, angle).velocity)
    torque = mechanism.rigid_loads(drive, angle, gas + way * friction.piston[0])["torque"]
    couple = {name: value[0] for name, value in friction.couples.items()}
    torque = torque + couple["shaft"] - friction.play[0] / drive.speed
    if straight:
        return torque + couple["carrier"] - couple["crank"]
    return torque + couple["crank"] - _of_rods(drive, angle, couple["rod"])


def _of_rods(drive, angle, couple):
    """Torque about the main axis that couples on the rods take."""
    lean, rate, _ = slider_crank.rod_motion(drive, angle)
    lateral = couple / (drive.rod_length * np.cos(lean))  # pair of forces across the cylinder line
    arm = drive.rod_length * np.cos(lean) * rate / drive.speed  # of the one at the pin, about the main axis
    return (lateral * arm).sum(axis=0)
