"""The torque that friction leaves at the shaft, from the balance of forces and couples: a second route to its power."""

import numpy as np

from vmech_core.bearings import films, seats
from vmech_core.friction.contacts import CROSSHEAD, YOKE
from vmech_core.machine import hypocycloid, scotch_yoke, slider_crank


def brake_torque(case, friction):
    """Torque at the shaft from the balance of forces and couples, friction included.

    Friction forces on the pistons go through the statics of the mechanism like gas; couples act on crank, carriers and
    rods; loads do work as journals move in their play.

    Parameters
    ----------
    case : Case [-]
        The design.
    friction : Friction [-]
        Of one of the four machines, with one sample.

    Returns
    -------
    (A,) array [N m]
        Over the cycle, without its repeated end.

    Valid: the loads that friction was found from; no friction of friction.
    Source: Newton and Euler, as in the ``rigid_loads`` of each mechanism; a couple M_c on the crank of the
        straight-line drive takes M_c from the carrier's torque, as that crank turns at minus its speed.
    """
    mechanism, drive, loads = _taken(case, friction.machine)
    angle, gas = loads.angle[:-1], loads["gas"][:, :-1]
    way = np.sign(mechanism.motion(drive, angle).velocity)
    torque = mechanism.rigid_loads(drive, angle, gas + way * friction.piston[0])["torque"]
    couple = {name: value[0] for name, value in friction.couples.items()}
    torque = torque + couple["shaft"] - friction.play[0] / drive.speed
    if mechanism is hypocycloid:
        return torque + couple["carrier"] - couple["crank"]
    if mechanism is slider_crank:
        return torque + couple["crank"] - _of_rods(drive, angle, couple["rod"])
    speed = scotch_yoke.across(drive, angle)  # slots push the blocks, and these the pins, across the cylinder lines
    arm = speed / drive.speed
    return torque + couple["crank"] - (arm * np.sign(speed) * friction.slots[0]).sum(axis=0)


def _taken(case, machine):
    """Mechanism, drive and loads that friction of a machine was found from."""
    if machine == YOKE:
        return scotch_yoke, scotch_yoke.from_design(case.design, case.mass), films.thinned(case.yoke_loads)
    return {seats.STRAIGHT: lambda: (hypocycloid, case.drive, case.few),
            seats.ORDINARY: lambda: (slider_crank, case.ordinary, case.few_ordinary),
            CROSSHEAD: lambda: (slider_crank, case.crosshead, case.few_crosshead)}[machine]()


def _of_rods(drive, angle, couple):
    """Torque about the main axis that couples on the rods take."""
    lean, rate, _ = slider_crank.rod_motion(drive, angle)
    lateral = couple / (drive.rod_length * np.cos(lean))  # pair of forces across the cylinder line
    arm = drive.rod_length * np.cos(lean) * rate / drive.speed  # of the one at the pin, about the main axis
    return (lateral * arm).sum(axis=0)
