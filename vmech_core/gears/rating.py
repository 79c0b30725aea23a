"""The rating of an internal spur pair: root and flank of pinion and ring apart, every factor by its symbol.

Where a result ends in an axis of two, it is pinion, then ring; leading axes are a batch of pairs, faces, forces.
"""


import numpy as np

from vmech_core.base import record, refuse
from vmech_core.gears import factors as f
from vmech_core.gears.geometry import contact_ratio
from vmech_core.gears.loss import pitch_speed
from vmech_core.gears.mesh import iso_mesh_stiffness
from vmech_core.gears.steels import flank_strength, life_factor, root_strength

#: Safety wanted against root and flank failure: usual for industrial gears (common practice, no source).
SAFETY = (1.4, 1.1)
DENSITY = 7850.0  # of a pinion of steel [kg/m3]


@record("carrier_speed", life=3.6e6, viscosity=1e-4, grade=6, flank_roughness=3e-6, root_roughness=10e-6,
        misalignment=0.0, tilt=0.0, dynamic=1.0, mass=None, application=1.0, pinion_rim=np.inf, ring_rim=np.inf)
class ToothDuty:
    """How a mesh runs: everything of a rating but pair, force and steel.

    Attributes
    ----------
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.
    life : float or (...) array [s]
        Time that the teeth shall last at full load; each engagement is counted as one at the peak.
    viscosity : float [m2/s]
        Kinematic viscosity of the oil at 40 C.
    grade : int [1]
        Flank grade of ISO 1328.
    flank_roughness, root_roughness : float [m]
        Rz: mean of both flanks, and in the fillets.
    misalignment : float or (...) array [m]
        Equivalent misalignment F_betay across the face that no load causes: making, bearings' play.
    tilt : float or (...) array [m/N]
        What the tilt of the crank adds to it across the face for each newton of tangential force.
    dynamic : float or (...) array [1]
        Dynamic factor from outside, as from a march; the greater of it and method B counts.
    mass : float or (...) array or None [kg]
        Mass that moves along the line of action at one mesh; None for a solid steel pinion alone.
    application : float [1]
        Application factor K_A; 1, as the force is the real peak.
    pinion_rim, ring_rim : float or (...) array [m]
        Rim thickness below the roots.
    """

    @property
    def engagements(self) -> tuple:
        """Times that a tooth of pinion and of ring is engaged: two and one in each turn of the carrier [1]."""
        turns = np.abs(self.carrier_speed) * self.life / (2.0 * np.pi)
        return 2.0 * turns, turns


@record("root_stress root_strength flank_stress flank_strength factors")
class Rating:
    """Stresses, strengths and every factor between force and safety.

    Attributes
    ----------
    root_stress, root_strength : (..., 2) array [Pa]
        sigma_F, and sigma_FP without safety.
    flank_stress, flank_strength : (..., 2) array [Pa]
        sigma_H, and sigma_HP without safety.
    factors : Mapping [-]
        Symbol to (...) array, or to (..., 2) where the gears differ.
    """

    @property
    def S_F(self) -> np.ndarray:
        """Safety against breaking at the root, (..., 2) [1]."""
        return self.root_strength / self.root_stress

    @property
    def S_H(self) -> np.ndarray:
        """Safety against pitting, on stress, (..., 2) [1]."""
        return self.flank_strength / self.flank_stress

    @property
    def spare(self) -> np.ndarray:
        """Least safety of root and flank of both gears over the one wanted, ``SAFETY``, (...) [1]."""
        return np.minimum(self.S_F.min(axis=-1) / SAFETY[0], self.S_H.min(axis=-1) / SAFETY[1])


def rate(pair, face_width, force, steels, duty):
    """Rate a pair, or a batch of pairs, at the greatest force of one mesh.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    face_width : float or (...) array [m]
        Face width.
    force : float or (..., 2) array [N]
        Greatest tangential force at the working pitch circle on either flank; one number for equal ones.
    steels : tuple of ToothSteel [-]
        Pinion, then ring.
    duty : ToothDuty [-]
        How the mesh runs.

    Returns
    -------
    Rating [-]
        All factors.

    Raises
    ------
    InputError
        If the force is not above 0.

    Valid: as the factors; a pair that passes ``check_pair``. The peak is counted at every engagement: see
        ``tooth_lives`` for each tooth's own sum.
    Source: ISO 6336-1, -2 and -3, symbol by symbol in ``factors`` and ``steels``.
    """
    both = np.abs(np.asarray(force, dtype=float))
    both = both if both.ndim else np.stack([both, both])
    peak, light = both.max(axis=-1), both.min(axis=-1)
    refuse(~(peak > 0), "force", peak, "not above 0", "N")
    at_reference = peak * np.cos(pair.pressure_angle) / np.cos(pair.working_angle)
    loads = _loads(pair, face_width, at_reference, peak, duty)
    stress, root = _root_stress(pair, face_width, at_reference, loads, duty)
    able, more = _root_strength(pair, root, light / peak, steels, duty)
    pressed, contact = _flank_stress(pair, face_width, at_reference, loads)
    stands, oil = _flank_strength(pair, steels, duty)
    shown = {"Y_F": root.Y_F, "Y_S": root.Y_S, **stress[1], **more, **contact, **oil}
    return Rating(stress[0], able, pressed, stands, {**loads, **shown})


def allowable_force(pair, face_width, steels, duty, safety=SAFETY, lighter=1.0, most=1e6):
    """Greatest tangential force of one mesh at which root and flank of both gears keep the wanted safety.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    face_width : float or (...) array [m]
        Face width.
    steels : tuple of ToothSteel [-]
        Pinion, then ring.
    duty : ToothDuty [-]
        How the mesh runs.
    safety : tuple of float [1]
        Wanted at root and flank.
    lighter : float or (...) array [1]
        Force on the lighter flank over that on the heavier one.
    most : float [N]
        Where the search ends.

    Returns
    -------
    (...) array [N]
        0 if even a small force, a ten thousandth of ``most``, is too much.

    Valid: as ``rate``; dynamic and face-load factor follow the force.
    Source: ``rate``, halving in the logarithm of the force.
    """
    shape = np.broadcast_shapes(*(np.shape(v) for v in (pair.centre_distance, face_width, lighter, duty.carrier_speed,
                                                        duty.tilt, duty.misalignment)))
    low, high = np.full(shape, np.log(1e-4 * most)), np.full(shape, np.log(most))
    for _ in range(24):
        middle = 0.5 * (low + high)
        force = np.exp(middle)
        found = rate(pair, face_width, np.stack([force, force * lighter], axis=-1), steels, duty)
        holds = (found.S_F.min(axis=-1) >= safety[0]) & (found.S_H.min(axis=-1) >= safety[1])
        low, high = np.where(holds, middle, low), np.where(holds, high, middle)
    return np.where(low > np.log(1.001e-4 * most), np.exp(low), 0.0)


def allowable_pressure(pair, face_width, bore, force_ratio, steels, duty, **wanted):
    """Greatest cylinder pressure above that of the crankcase that the teeth allow.

    For a map give arrays that broadcast: bores as a column, strokes as a row of modules, ``replace(pair, module=...)``.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    face_width : float or (...) array [m]
        Face width.
    bore : float or (...) array [m]
        Bore.
    force_ratio : float [1]
        Peak tangential force of the worse mesh over peak gas force of one piston, from a case at its own load.
    steels : tuple of ToothSteel [-]
        Pinion, then ring.
    duty : ToothDuty [-]
        How the mesh runs.
    wanted : float [-]
        ``safety`` and ``lighter``, as in ``allowable_force``.

    Returns
    -------
    (...) array [Pa]
        Pressure.

    Valid: gas decides, not inertia; form of the trace, masses and plays kept.
    Source: ``allowable_force`` over ratio and piston area.
    """
    found = allowable_force(pair, face_width, steels, duty, **wanted)
    return found / (force_ratio * 0.25 * np.pi * np.square(bore))


def _loads(pair, face_width, force, peak, duty):
    """Load factors."""
    stiffness = iso_mesh_stiffness(pair)
    ratio = contact_ratio(pair)
    single = stiffness / (0.75 * np.minimum(ratio, 2.0) + 0.25)
    given = f.tolerances(pair.module, 2.0 * pair.ring_radius, face_width, duty.grade)
    ran = 1.0 - 0.075  # running in of hard flanks, at most 3 um
    deviations = [np.maximum(ran * given[key] * factor, given[key] * factor - 3e-6)
                  for key, factor in (("f_pt", np.cos(pair.pressure_angle)), ("f_falpha", 1.0))]
    mass = duty.mass
    if mass is None:
        mass = 0.5 * np.pi * pair.pinion_radius**4 * face_width * DENSITY / pair.pinion_base_radius**2
    loaded = force * duty.application
    by_method = f.dynamic(pair, face_width, loaded, stiffness, single, mass, duty.carrier_speed, deviations)
    k_v = np.maximum(by_method.K_v, duty.dynamic)
    out = duty.misalignment + duty.tilt * peak
    k_h = f.face_load(out, 0.85 * stiffness, loaded * k_v / face_width)
    heights = f.gears(pair.pinion_tip_radius - pair.pinion_root_radius, pair.ring_root_radius - pair.ring_tip_radius)
    k_f = k_h ** f.face_exponent(face_width, heights.max(axis=-1))
    across = 1.0 if duty.grade <= 6 else {7: 1.1, 8: 1.2}.get(duty.grade)
    if across is None:
        across = np.maximum(1.2, 3.0 / (4.0 - np.minimum(ratio, 2.0)))
    return {"K_A": duty.application, "K_v": k_v, "K_v_B": by_method.K_v, "K_v_given": duty.dynamic, "N": by_method.N,
            "K_Hbeta": k_h, "K_Fbeta": k_f, "K_Halpha": across, "K_Falpha": across, "F_betay": out,
            "c_gamma": stiffness, "eps_alpha": ratio}


def _root_stress(pair, face_width, force, loads, duty):
    root = f.root(pair)
    rims = f.rim(pair, duty.pinion_rim, duty.ring_rim)
    deep = f.deep_tooth(loads["eps_alpha"], duty.grade)
    line = force / (face_width * pair.module) * deep * _product(loads, "K_A", "K_v", "K_Fbeta", "K_Falpha")
    return (np.asarray(line)[..., None] * root.Y_F * root.Y_S * rims, {"Y_B": rims, "Y_DT": deep}), root


def _root_strength(pair, root, lighter, steels, duty):
    notch, able, factors = root.thickness / (2.0 * root.radius), [], []
    for k, steel in enumerate(steels):
        strength, own = root_strength(steel, notch[..., k], duty.root_roughness, pair.module)
        own |= {"Y_NT": life_factor(steel, "root", duty.engagements[k]),
                "Y_M": f.mean_stress(lighter, steel.kind["mean_stress_likely"])}
        able.append(strength * own["Y_NT"] * own["Y_M"])
        factors.append(own)
    return f.gears(*able), _merged(factors)


def _flank_stress(pair, face_width, force, loads):
    found = f.contact(pair)
    ratio = -np.divide(pair.ring_teeth, pair.pinion_teeth)
    product = found["Z_H"] * found["Z_E"] * found["Z_eps"]
    nominal = _nominal(product, force, 2.0 * pair.pinion_radius, face_width, ratio)
    stress = nominal * np.sqrt(_product(loads, "K_A", "K_v", "K_Hbeta", "K_Halpha"))
    return f.gears(found["Z_B"], found["Z_D"]) * np.asarray(stress)[..., None], {**found, "sigma_H0": nominal}


def _nominal(product, force, diameter, face_width, ratio):
    """Nominal contact stress sigma_H0 of ISO 6336-2 (G-08); ratio of teeth negative for a ring."""
    return product * np.sqrt(force / (diameter * face_width) * (ratio + 1.0) / ratio)


def _flank_strength(pair, steels, duty):
    speed = pitch_speed(pair, duty.carrier_speed)
    radius = f.curvature(pair, pair.pinion_working_radius * np.sin(pair.working_angle))
    able, factors = [], []
    for k, (steel, other) in enumerate(zip(steels, steels[::-1], strict=True)):
        strength, own = flank_strength(steel, other, duty.viscosity, speed, duty.flank_roughness, radius)
        own |= {"Z_NT": life_factor(steel, "flank", duty.engagements[k])}
        able.append(strength * own["Z_NT"])
        factors.append(own)
    return f.gears(*able), _merged(factors)


def _product(factors, *names):
    return np.prod(np.broadcast_arrays(*(factors[name] for name in names)), axis=0)


def _merged(factors):
    return {key: f.gears(factors[0][key], factors[1][key]) for key in factors[0]}
