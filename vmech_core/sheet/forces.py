"""Numbers of rigid loads: straight-line drive, ordinary crank, both beside each other, other machines, both ends."""

from dataclasses import replace

import numpy as np

from vmech_core.base import CHANNELS, Quantity
from vmech_core.sheet.stages import ORDINARY, STRAIGHT, peak, rms


def _loads(a):
    guess = _is_guess(a, "piston", "piston_rod", "crank")
    teeth = ("mesh", "separating", "pin", "crank_bearing", "torque")
    return {**{f"teeth_{name}": _of_channel(a.loads, name, "guides idle", guess) for name in teeth},
            "guides_guide": _of_channel(a.loads_guides_alone, "guide", "no gear", guess)}


def _ordinary(a):
    guess = _is_guess(a, "ordinary_piston", "ordinary_rod")
    return {f"ordinary_{name}": _of_channel(a.ordinary_loads, name, ORDINARY, guess)
            for name in ("bore", "wrist", "pin", "main", "torque")}


def _comparison(a):
    guess, mesh, bore = _is_guess(a), a.loads["mesh"], a.ordinary_loads["bore"]
    side, tooth = _thrust_and_tooth(a.loads, a.ordinary_loads, guess)
    over = tooth.value / side.value if side.value else np.inf
    means = _mean_torques(a.loads, a.ordinary_loads)
    return {
        "side_thrust": side,
        "tooth_force": tooth,
        "tooth_over_thrust": Quantity(over, "1", "the second over the first", "", guess),
        "side_thrust_rms": rms(bore, f"{ORDINARY}: side thrust, root mean square", guess),
        "tooth_force_rms": rms(mesh, f"{STRAIGHT}: tooth force, root mean square", guess),
        "mean_torque": means[0],
        "ordinary_mean_torque": means[1],
    }


def _own_comparison(a):
    straight = a if a.trace is None and a.has_own else replace(a, trace=a.own_cycle.traces[0])
    loads = straight.loads, a.own_ordinary_loads
    names = ("own_side_thrust", "own_tooth_force", "own_mean_torque", "own_ordinary_mean_torque")
    return dict(zip(names, (*_thrust_and_tooth(*loads, _is_guess(a)), *_mean_torques(*loads)), strict=True))


def _thrust_and_tooth(straight, ordinary, guess):
    return (peak(ordinary["bore"], f"{ORDINARY}: peak side thrust on one bore", guess),
            peak(straight["mesh"], f"{STRAIGHT}, guides idle: peak tooth force", guess))


def _mean_torques(straight, ordinary):
    return [Quantity(float(loads["torque"][:-1].mean()), "N m", f"{words}: mean torque")
            for words, loads in ((STRAIGHT, straight), (ORDINARY, ordinary))]


def _ends(a):
    guess, names = _is_guess(a, "piston", "piston_rod"), ("end 1", "end 2, which drives the load")
    return {f"mesh_end_{k + 1}": peak(a.ends["mesh_end"][k], f"guides idle: peak tooth force at {name}", guess)
            for k, name in enumerate(names)}


def _comparators(a):
    guess, yoke = _is_guess(a), a.yoke_loads["guide_couple"] / a.design.cylinders.si.stroke
    picks = {
        "trunk_bore": ("trunk piston: side thrust on one bore", a.ordinary_loads["bore"]),
        "crosshead_guide": ("crosshead: side thrust on one guide", a.crosshead_loads["guide"]),
        "yoke_pair": ("scotch yoke: couple as two guide forces one stroke apart", yoke),
        "teeth_alone": (f"{STRAIGHT}, guides idle: tooth force, both ends", a.loads["mesh"]),
        "guides_alone": (f"{STRAIGHT}, no gear: force of one guide", a.loads_guides_alone["guide"]),
    }
    return {key: peak(values, f"{words}, peak", guess) for key, (words, values) in picks.items()}


def _of_channel(loads, name, words, guess):
    return peak(loads[name], f"{words}: peak {CHANNELS[name].quantity}", guess, CHANNELS[name].unit)


def _is_guess(case, *parts):
    """Whether a mass of these parts, or of any, is an estimate."""
    return any(case.mass[part].estimated for part in parts or case.mass)
