"""Figures of motion and loads of both mechanisms over one cycle."""

import numpy as np

from vmech_core.base.results import MACHINES
from vmech_core.show import style


def side_forces(case, kind):
    """Side thrust of the ordinary engine beside the two limits of the straight-line drive, over one cycle.

    Parameters
    ----------
    case : Case [-]
        An assessed design.
    kind : str [-]
        Kind of comparison, printed on the figure.

    Returns
    -------
    Figure [-]
        Left: what the bores of the ordinary engine feel. Right, on the same scale: what teeth or guides feel.
    """
    fig, (left, right) = style.figure(9.6, 3.8, columns=2)
    angle = np.degrees(case.angle)
    for k, thrust in enumerate(case.ordinary_loads["bore"]):
        left.plot(angle, thrust / 1e3, alpha=1.0 - 0.45 * k, label=f"bore {k + 1}", **style.ORDINARY)
    right.plot(angle, case.loads["mesh"] / 1e3, label="guides idle: teeth, $F_t$", **style.force("mesh"))
    guide = case.loads_guides_alone["guide"][0] / 1e3
    right.plot(angle, np.where(np.isfinite(guide), guide, np.nan), label="no gear: guide 1, $N_1$", **style.LIMIT)
    top = 1.15 * np.abs(case.loads["mesh"]).max() / 1e3
    for ax, words in ((left, "ordinary crank: side thrust"), (right, "straight-line drive: the two limits")):
        style.over_cycle(ax, angle, "lateral or tooth force, $N$, $F_t$ [kN]", words, ylim=(-top, top))
        style.legend(ax, loc="lower right")
    return _kind(fig, case, kind)


def pistons(case, kind):
    """Acceleration of one piston with both mechanisms over one turn.

    Parameters
    ----------
    case : Case [-]
        An assessed design.
    kind : str [-]
        Kind of comparison, printed on the figure.

    Returns
    -------
    Figure [-]
        Outward acceleration against angle after the outer dead centre.
    """
    fig, (ax,) = style.figure(8.6, 3.6)
    tops = (case.motion, case.design.cylinders.si.bank_angle[0]), (case.ordinary_motion, case.ordinary_top[0])
    for (motion, first), words, look in zip(tops, MACHINES.values(), style.LOOKS.values(), strict=True):
        after = np.degrees(np.mod(motion.angle - first, 2.0 * np.pi))
        order = np.argsort(after, kind="stable")
        ax.plot(after[order], motion.acceleration[0][order] / 1e3, label=words, **look)
    style.label(ax, style.AFTER, "outward acceleration, $\\ddot x$ [km/s$^2$]", xlim=(0, 360), xticks=range(0, 361, 60))
    style.legend(ax, loc="upper right")
    return _kind(fig, case, kind)


def _kind(fig, case, kind):
    return style.below(fig, f"{style.named(case.design, sizes=True)}\ncomparison: {kind}; {case.load_case}")
