"""How evenly both machines turn: torque over the cycle, the flywheel that each needs, firing, changes of flank."""

import numpy as np

from vmech_core import balance
from vmech_core.base import Quantity
from vmech_core.machine import hypocycloid, masses, slider_crank
from vmech_core.sheet.stages import BOTH, ORDINARY

#: Coefficient of speed fluctuation that a machine usually may have [1]. Engine: 1/200, common practice for a generator
#: driven directly, for which textbooks give 1/100 to 1/500; pump: 0.03 to 0.05; compressor: as with a belt (R. S.
#: Khurmi and J. K. Gupta, Machine Design, table 22.2, from memory). A hand-cranked model: own choice.
USUAL = {"engine": 0.005, "pump": 0.04, "compressor": 0.03, "hand_model": 0.2}
#: Outer diameter of the rim over the stroke (own choice, the same for both machines).
RIM = 4.0


def _torque(a):
    wanted, speed, stroke = a.design.duty.speed_fluctuation, a.design.duty.si.speed, a.design.cylinders.si.stroke
    wanted = USUAL[a.design.design.machine] if wanted == "usual" else wanted
    result = {"wanted_fluctuation": Quantity(wanted, "1", "wanted coefficient of speed fluctuation")}
    if a.has_own:
        own = float(balance.fluctuation(a.angle, a.own_ordinary_loads["torque"]).energy)
        result["own_ordinary_energy"] = Quantity(own, "J", f"{ORDINARY}, own cycle: energy fluctuation", "", True)
    both = (hypocycloid, a.drive, a.loads), (slider_crank, a.ordinary, a.ordinary_loads)
    for (key, words), (machine, drive, loads) in zip(BOTH, both, strict=True):
        found, gaps = balance.fluctuation(a.angle, loads["torque"]), machine.firing_angles(a.design, drive)
        inertia = float(balance.inertia_needed(found.energy, speed, wanted))
        rim = balance.flywheel(inertia, RIM * stroke, speed)
        result |= {f"{key}{name}": Quantity(float(value), unit, f"{words}: {label}", edge, guess)
                   for name, value, unit, label, edge, guess in (
            ("mean_torque", found.mean, "N m", "mean torque", "", False),
            ("peak_torque", np.abs(loads["torque"]).max(), "N m", "peak torque", "", True),
            ("energy", found.energy, "J", "energy fluctuation", "", True),
            ("inertia", inertia, "kg m2", "moment of inertia of all that turns, for that evenness", "", True),
            ("rim_mass", rim.mass, "kg", f"steel rim, {RIM:g} strokes wide, that gives it alone", "", True),
            ("longest_gap", balance.intervals(gaps, a.angle[-1]).max(), "rad", "longest gap in firing", "deg", False))}
    still, crank = balance.reversals(a.loads["mesh"]), masses.crank_inertia(a.design, a.mass).likely
    few = result["inertia"].value / np.geomspace(1.0, 0.5 / min(wanted, 0.4), 61 * bool(still))[:, None]
    changes = balance.reversals(balance.with_flywheel(a.drive, a.loads, few, crank).mesh)
    return result | {
        "rim_stress": Quantity(rim.rim_stress, "Pa", "such a rim as a free ring: hoop stress", "MPa"),
        "flank_changes": Quantity(int(still), "1", "changes of flank in a cycle, guides idle, at even speed"),
        "flank_inertia": Quantity(float(few[changes != still].max(initial=0.0)), "kg m2",
                                  "greatest inertia with another number (0: none below a fluctuation 0.5)", "", True)}
