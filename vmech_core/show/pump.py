"""Figures on pumps: how even the flow of several cylinders is, and what pressure does to it."""

from itertools import product

import numpy as np

from vmech_core.base.units import show
from vmech_core.pressure.cycles import SAME_CHARGE
from vmech_core.pressure.ripple import SUCTION, WATER, reversals, total_ripple
from vmech_core.show import style

KIND = f"comparison: {SAME_CHARGE['pump']}; same swept and dead volume, same liquid"
#: Line styles of up to four rod ratios; all in the colour of the ordinary crank.
RODS = ("--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)))
CIRCLE = {"marker": "o", "linestyle": "none", "markersize": 7, "color": "black", "fillstyle": "none"}


def ripple_against_pressure(cylinders=(3, 5, 7), dead_volume_ratios=(0.1, 1.0), rod_ratios=(4.0, 5.0, 6.0),
                            highest=40e6, bulk_modulus=WATER):
    """Total flow variation against delivery pressure, one column per number of cylinders, one row per dead volume.

    Parameters
    ----------
    cylinders : sequence of int [1]
        Numbers of evenly phased cylinders, one to three.
    dead_volume_ratios : sequence of float [1]
        Dead volume over swept volume.
    rod_ratios : sequence of float [1]
        Rod ratios of the ordinary cranks, up to four.
    highest : float [Pa]
        Highest absolute delivery pressure.
    bulk_modulus : float or Water [Pa]
        Bulk modulus, or the liquid.

    Returns
    -------
    Figure [-]
        Circles mark where the straight-line drive changes from the smoother to the rougher, or back.
    """
    fig, axes = style.figure(9.6, 1.0 + 2.7 * len(dead_volume_ratios), len(cylinders), len(dead_volume_ratios))
    delivery = SUCTION + (highest - SUCTION) * np.linspace(0.0, 1.0, 161) ** 2
    looks = [style.STRAIGHT, *({**style.ORDINARY, "linestyle": line, "linewidth": 1.5} for line in RODS)]
    words = ["straight line", *(f"rod ratio {ratio:g}" for ratio in rod_ratios)]
    for place, (ax, (dead, count)) in enumerate(zip(axes, product(dead_volume_ratios, cylinders), strict=True)):
        total = total_ripple(rod_ratios, count, delivery, dead, bulk_modulus)
        for values, look, name in zip(total, looks, words, strict=False):
            ax.plot(delivery / 1e6, 100.0 * values, label=name, **look)
        for ordinary in total[1:]:
            changes = reversals(delivery, total[0], ordinary)
            ax.plot(changes / 1e6, 100.0 * np.interp(changes, delivery, total[0]), **CIRCLE)
        left = "" if place % len(cylinders) else "total ripple of mean, $\\Delta q/\\bar q$ [%]"
        title = f"{count} cylinder{'s' * (count > 1)}, $c_d$ = {dead:g}"
        style.label(ax, "delivery pressure, $p_2$ [MPa]", left, title, xlim=(0.0, highest / 1e6))
    axes[0].plot([], [], label="order reverses", **CIRCLE)
    style.legend_above(fig, axes[0], columns=2 + len(rod_ratios))
    liquid = f"water at {bulk_modulus.temperature - 273.15:.3g} °C, isothermal" if hasattr(
        bulk_modulus, "temperature") else f"bulk modulus {show(bulk_modulus / 1e9)} GPa"
    liquid = f"suction {show(SUCTION / 1e6)} MPa, {liquid}"
    return style.below(fig, f"{liquid}; $c_d$: dead over swept volume\n{KIND}")
