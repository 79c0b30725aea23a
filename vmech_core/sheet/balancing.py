"""Numbers of balance: what both machines shake with, what fits to cancel it, and what that costs."""

import numpy as np

from vmech_core import balance
from vmech_core.base import CHANNELS, Quantity
from vmech_core.sheet.stages import ORDINARY, STRAIGHT, peak


def _balance(a):
    found, turn, speed, result = balance.fit(a), np.linspace(0.0, 2.0 * np.pi, 361), float(a.drive.speed), {}
    states = {"drawn": (f"{STRAIGHT}, carriers without counterweights", balance.of_straight(a), a.drive),
              "fitted": (f"{STRAIGHT}, counterweights that fit", found.left, found.drive),
              "ordinary": (f"{ORDINARY} with its counterweights", balance.of_ordinary(a), None)}
    for key, (words, unbalance, drive) in states.items():
        result[f"{key}_force"] = peak(unbalance.force(turn, speed), f"{words}: peak force on the frame", True)
        result[f"{key}_couple"] = peak(unbalance.couple(turn, speed), f"{words}: peak couple", True, "N m")
        for name, value in balance.peaks(a, drive).items() if drive else ():
            result[f"{key}_{name}"] = peak(value, f"{words}: peak {CHANNELS[name].quantity}", True)
    made = balance.workshop(a, found)
    for rotor, name in ((1, "carriers"), (-1, "crank")):
        mass, wanted = sum(b.sector.mass for b in found.bodies if b.room.rotor == rotor), found.wanted[rotor]
        rows = {"wanted": (wanted, "kg m", "moment wanted at each end", "g mm"),
                "found": (found.cancelled[rotor] * wanted, "kg m", "moment that fits", "g mm"),
                "mass": (mass, "kg", "mass of the counterweights", "g"),
                "outside": (found.outside[rotor], "m", "room outside of each ring gear for the rest", "mm"),
                "grade": (made[rotor].grade, "m/s", "finest balance grade by workshop errors", "mm/s")}
        result |= {f"{name}_{key}": Quantity(float(value), unit, f"{name}: {words}", edge, True)
                   for key, (value, unit, words, edge) in rows.items()}
    return result
