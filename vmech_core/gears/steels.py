"""What the flanks and roots of gear steels stand: allowable stress, life curves, and what oil and finish do to them.

By ISO 6336-2, -3 and -5; rows stand in ``data/tooth_materials.csv`` and ``data/tooth_kinds.csv``, each with its status.
"""


import numpy as np

from vmech_core.base import InputError, record, refuse, tables

#: Cycles and factor at which every life curve of ISO 6336 ends (G-16).
LONGEST, LEAST = 1e10, 0.85
_STRESS_CORRECTION = 2.0  # Y_ST of the test gears


@record("name flank_limit root_limit hardness kind")
class ToothSteel:
    """One gear steel in one state of treatment.

    Attributes
    ----------
    name : str [-]
        Material, grade and hardness in words.
    flank_limit : float or (...) array [Pa]
        Allowable stress number for contact, sigma_Hlim.
    root_limit : float or (...) array [Pa]
        Nominal stress number for bending, sigma_Flim, bent one way.
    hardness : float [-]
        Vickers hardness of the surface.
    kind : Mapping [-]
        Row of ``tooth_kinds.csv`` as numbers.
    """

def tooth_steel(material, grade="MQ", hardness=None):
    """A gear steel by the word that a design file uses for it.

    Parameters
    ----------
    material : str [-]
        Material in ``tooth_materials.csv``.
    grade : str [-]
        ``ML``, ``MQ`` or ``ME`` of ISO 6336-5; where a material has no row of it, the next lower one that there is.
    hardness : float or None [-]
        Vickers hardness of the surface; None for the usual one.

    Returns
    -------
    ToothSteel [-]
        Its numbers.

    Raises
    ------
    InputError
        If the table has no such material or grade, or the hardness lies outside its range.

    Valid: steels; the standard's own ranges of hardness.
    Source: ISO 6336-5:2003 Table 1, row by row in the table.

    Examples
    --------
    >>> print(f"{tooth_steel('quenched and tempered steel', 'ME', 300).flank_limit / 1e6:.1f}")
    923.9
    """
    rows = [r for r in tables.rows("tooth_materials") if r["material"] == material]
    if not rows:
        names = sorted({r["material"] for r in tables.rows("tooth_materials")})
        raise InputError("material", material, f"no gear steel of the table: {', '.join(names)}")
    found = [r for r in rows if r["grade"] == grade]
    if not found:
        raise InputError("grade", grade, f"not one of {', '.join(r['grade'] for r in rows)} for {material}")
    row = found[0]
    low, high, hard = (float(row[f"hardness_{key}"]) for key in ("low", "high", "usual"))
    hard = hard if hardness is None else hardness
    refuse(not low <= hard <= high, "hardness", hard, f"outside {low:g} to {high:g}", row["hardness_unit"])
    limits = (1e6 * (float(row[f"{key}_per_hardness"]) * hard + float(row[f"{key}_MPa"]))
              for key in ("contact", "bending"))
    kind = {key: value if key in ("kind", "source", "status") else float(value)
            for key, value in tables.row("tooth_kinds", "kind", row["kind"]).items()}
    return ToothSteel(f"{material}, {grade}, {hard:g} {row['hardness_unit']}", *limits, hard, kind)


def life_factor(steel, part, cycles):
    """Factor Y_NT or Z_NT on the long-life strength for a number of load cycles.

    Parameters
    ----------
    steel : ToothSteel [-]
        The steel.
    part : str [-]
        ``root`` or ``flank``.
    cycles : float or (...) array [1]
        Load cycles.

    Returns
    -------
    (...) array [1]
        Above 1 for a short life, at most the static one; 0.85 at 1e10 cycles.

    Valid: critical service; with the best oil, steel and experience the standard allows 1 beyond its reference cycles.
    Source: ISO 6336-2 and -3, straight lines in logarithmic scales between the points of the table (G-16).
    """
    n, (limit, slope, far) = np.maximum(cycles, 1.0), _curve(steel, part)
    short = np.minimum((limit / n) ** (1.0 / slope), steel.kind[f"{part}_static"])
    return np.where(n < limit, short, (limit / n) ** (1.0 / far))


def cycles_to_failure(steel, part, ratio):
    """Cycles that a stress may come, the reverse of ``life_factor``, for sums of damage.

    Parameters
    ----------
    steel : ToothSteel [-]
        The steel.
    part : str [-]
        ``root`` or ``flank``.
    ratio : float or (...) array [1]
        Stress over long-life strength.

    Returns
    -------
    (...) array [1]
        The last line goes on beyond 1e10 cycles, so that small stresses count a little.

    Valid: below the static strength; a ratio above it gives fewer cycles than the curve knows.
    Source: as ``life_factor``.
    """
    limit, slope, far = _curve(steel, part)
    ratio = np.clip(ratio, 1e-3, 1e9)
    return limit * np.where(ratio > 1.0, ratio**-slope, ratio**-far)


def _curve(steel, part):
    """Reference cycles, and slopes of the life curve before and after them."""
    kind = steel.kind
    limit = kind[f"{part}_cycles"]
    slope = np.log(limit / kind[f"{part}_static_cycles"]) / np.log(kind[f"{part}_static"])
    return limit, slope, np.log(LONGEST / limit) / -np.log(LEAST)


def root_strength(steel, notch, roughness, module):
    """Root strength of one gear before life and mean stress, and the factors in it.

    Parameters
    ----------
    steel : ToothSteel [-]
        The steel.
    notch : float or (...) array [1]
        Notch parameter q_s, chord over twice the fillet radius.
    roughness : float [m]
        Rz in the fillet.
    module : float or (...) array [m]
        Module.

    Returns
    -------
    (...) array [Pa]
        Strength.
    dict [-]
        Y_ST, Y_delrel, Y_Rrel, Y_X.

    Valid: Rz up to 40 um.
    Source: ISO 6336-3:2006, 11 to 14 (from memory).
    """
    kind, rz, m = steel.kind, np.maximum(roughness * 1e6, 1.0), np.asarray(module) * 1e3
    slip = kind["slip_layer_mm"]
    notched = (1.0 + np.sqrt(0.2 * slip * (1.0 + 2.0 * np.asarray(notch)))) / (1.0 + np.sqrt(1.2 * slip))
    finish = kind["roughness_a"] - kind["roughness_b"] * (rz + 1.0) ** kind["roughness_c"]
    size = np.where(m <= kind["size_from_mm"], 1.0,
                    np.maximum(kind["size_a"] - kind["size_b_per_mm"] * m, kind["size_least"]))
    factors = {"Y_ST": _STRESS_CORRECTION, "Y_delrel": notched, "Y_Rrel": finish, "Y_X": size}
    return steel.root_limit * _STRESS_CORRECTION * notched * finish * size, factors


def flank_strength(steel, other, viscosity, speed, roughness, radius):
    """Flank strength of one gear before life, and the factors in it.

    Parameters
    ----------
    steel, other : ToothSteel [-]
        The steel of this gear and of its mate.
    viscosity : float [m2/s]
        Kinematic viscosity of the oil at 40 C.
    speed : float or (...) array [m/s]
        Pitch-line speed, against the carrier.
    roughness : float [m]
        Mean Rz of both flanks.
    radius : float or (...) array [m]
        Reduced radius of curvature at the pitch point.

    Returns
    -------
    (...) array [Pa]
        Strength.
    dict [-]
        Z_L, Z_v, Z_R, Z_W, Z_X.

    Valid: mineral oil; a load in one rolling direction, and here it alternates from flank to flank, not on a flank.
    Source: ISO 6336-2:2006, 12 to 14 (from memory; G-10 confirms Z_L, Z_v and Z_R).
    """
    limit = np.clip(np.minimum(steel.flank_limit, other.flank_limit) / 1e6, 850.0, 1200.0)
    oil, rough = 0.83 + 0.08 * (limit - 850.0) / 350.0, 0.32 - 0.0002 * limit
    z_l = oil + 4.0 * (1.0 - oil) / (1.2 + 134.0 / (viscosity * 1e6)) ** 2
    z_v = oil + 0.02 + 2.0 * (0.98 - oil) / np.sqrt(0.8 + 32.0 / np.maximum(speed, 1e-3))
    z_r = (3.0 / (roughness * 1e6 * (1e-2 / np.asarray(radius)) ** (1.0 / 3.0))) ** rough
    harder = other.hardness > 1.2 * steel.hardness and steel.hardness < 470.0
    z_w = np.clip(1.2 - (steel.hardness - 130.0) / 1700.0, 1.0, 1.2) if harder else 1.0
    factors = {"Z_L": z_l, "Z_v": z_v, "Z_R": z_r, "Z_W": z_w, "Z_X": 1.0}
    return steel.flank_limit * z_l * z_v * z_r * z_w, factors
