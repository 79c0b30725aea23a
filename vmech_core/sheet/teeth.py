"""How much pressure the teeth stand by the screen: at which load each root reaches its limit, at the worse end."""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core import gears, pressure
from vmech_core.base.results import Quantity

#: What one gear of one end stands; its fields are what ``failure_pressures`` returns.
Failure = namedtuple("Failure", "gear end load pressure mean_pressure")

def failure_pressures(case):
    """Cylinder pressure at which the root of each gear reaches its limit, the trace scaled as a whole.

    Parameters
    ----------
    case : Case [-]
        The case; all its cylinders get the same trace.

    Returns
    -------
    list of Failure [-]
        Pinion, then ring.

        gear : str [-]
            ``pinion`` or ``ring``.
        end : int [1]
            End of the crank that fails first, 1 or 2, which drives the load.
        load : float [1]
            Factor on the pressure above that in the crankcase; below 1 the screen fails, infinite if none does it.
        pressure : float [Pa]
            Highest cylinder pressure, absolute.
        mean_pressure : float [Pa]
            Indicated mean effective pressure.

    Valid: guides idle, rigid parts, as the bending screen (``gears.bending_margins``); the form of the trace kept.
    Source: the force of each end is linear in the gas pressure (``gears.load_at_limit``).
    """
    with_load, without = case.ends["mesh_end"], replace(case, load=0.0).ends["mesh_end"]
    back, trace, peak = case.design.duty.si.crankcase_pressure, case.gas_trace, float(np.abs(with_load).max())
    mean, found = pressure.indicated_mean_pressure(trace.angle, trace.pressure, case.curves[0]), []
    for margin in case.bending:
        load = gears.load_at_limit(without, with_load, peak * margin.limit / margin.value if margin.value else np.inf)
        end = int(load.argmin())
        least = float(load[end])
        pressures = (back + least * (float(trace.pressure.max()) - back), least * mean)
        found.append(Failure(margin.name.split()[0], end + 1, least,
                             *(pressures if np.isfinite(least) else (np.inf, np.inf))))
    return found


def _teeth(a):
    guess = any(mass.estimated for mass in a.mass.values())
    own, force = a.design.gear_pair.si, float(np.abs(a.ends["mesh_end"]).max())
    stress = gears.contact_stress(a.design.pair, force, own.face_width, own.pinion_youngs_modulus,
                                  own.ring_youngs_modulus)
    result = {}
    for gear, end, _, highest, mean in failure_pressures(a):
        words = f"guides idle: {gear} root at its limit (Lewis, end {end})"
        result |= {
            f"{gear}_failure_pressure": Quantity(highest, "Pa", f"{words}, peak pressure", "bar", guess),
            f"{gear}_failure_mean_pressure": Quantity(mean, "Pa", f"{words}, indicated mean pressure", "bar", guess),
        }
    words = "guides idle: pressure between flanks at the pitch point (Hertz, no limit screened)"
    return result | {"contact_stress": Quantity(float(stress), "Pa", words, "MPa", guess)}
