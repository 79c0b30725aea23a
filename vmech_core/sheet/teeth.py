"""How much pressure the teeth stand by the screen: at which load each root reaches its limit, at the worse end."""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core import gears, pressure
from vmech_core.base.results import Quantity

#: What one gear of one end stands; its fields are what ``failure_pressures`` returns.
Failure = namedtuple("Failure", "gear end load pressure mean_pressure")

#: The mesh of the worse end as a rating wants it; its fields are what ``tooth_loads`` returns.
ToothLoads = namedtuple("ToothLoads", "end angle force peaks steels duty misalignment")


def tooth_loads(case, web="likely", seats=True, shared=True, grade="MQ"):
    """Force, steels and duty of the mesh that carries more, for ``gears.rate`` and ``gears.tooth_lives``.

    Parameters
    ----------
    case : Case [-]
        The case.
    web : str [-]
        ``low``, ``likely`` or ``high`` stiffness of the crank in bending: the bracket of ``crank_bending``.
    seats : bool [-]
        Whether plays and springs of the crank's and the carriers' bearings tilt the crank as well.
    shared : bool [-]
        Side load shared with the guides, and the dynamic factor of the march where there is one; False for idle guides.
    grade : str [-]
        Of both steels, as in ``gears.tooth_steel``.

    Returns
    -------
    ToothLoads [-]
        end : int [1]
            1 or 2.
        angle, force : (A,) array [-]
            Carrier angle [rad] and tangential force [N] on the pinion.
        peaks : (2,) array [N]
            Greatest force on either flank.
        steels : tuple of ToothSteel [-]
            Pinion, then ring.
        duty : ToothDuty [-]
            Tilt at the greatest force, taken as growing with the force.
        misalignment : (A,) array [m]
            Across the face, with its sign; its range over the cycle.

    Raises
    ------
    InputError
        If a gear is of no gear steel of the table.

    Valid: as ``machine.ends.mesh_tilts``; roughness of ``ToothDuty``; each end turns half of the crank.
    Source: the case; ``turning_mass``, ``time_factors``.
    """
    own, ends = case.design.gear_pair, case.few if shared else case.ends
    steels = tuple(gears.tooth_steel(name, grade) for name in (own.pinion_material, own.ring_material))
    loads, force = ends if shared else case.loads, ends["mesh_end"]
    end = int(np.abs(force).max(axis=1).argmax())
    elastic, bending = case.dry_elastic, getattr(crank_bending(case.design), web) * case.axis.bearing_span**3 / 48.0
    soft = {"clearance": elastic.bearing_clearance, "stiffness": elastic.bearing} if seats else {}
    out = mesh_tilts(case.axis, case.drive, loads, ends, bending, **soft)[end] * own.si.face_width
    force, at = force[end], np.abs(force[end]).argmax()
    machine = case.design.design.machine
    mass = turning_mass(case.drive, case.mass["crank"].likely).likely / (2.0 * np.cos(case.drive.pressure_angle) ** 2)
    duty = gears.ToothDuty(
        case.design.duty.si.speed, case.design.duty.si.life, bearings.oils.oil(case.design.lubricant.grade).nu_40,
        own.accuracy_grade, tilt=np.abs(out[at] / force[at]), mass=mass,
        dynamic=time_factors(machine)["mesh"].likely if shared and machine in MARCHED else 1.0)
    return ToothLoads(end + 1, ends.angle, force, np.array([force.max(), -force.min()]).clip(0.0), steels, duty, out)


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
