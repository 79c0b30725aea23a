"""The march in time beside quasi-statics: peaks of many cycles, and one cycle of a guide."""

import numpy as np

from vmech_core.sharing import flanks
from vmech_core.show import style

#: Cycles from which the middle 90 % of them mean something.
FEWEST = 20


def peaks(march, still, elastic, drive, loads):
    """Distribution of the peaks over cycles, and the guide force of one cycle, beside quasi-statics.

    Parameters
    ----------
    march : March [-]
        Result of a march with both ends lumped.
    still : dict of str to (A,) array [N]
        Channels by quasi-statics, from ``sharing.quasi_static_channels``.
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        Its drive.
    loads : Loads [-]
        The plane loads that were marched.

    Returns
    -------
    Figure [-]
        Left every peak as a dot, the middle 90 % of twenty or more as a bar, quasi-statics as a cross; right the last
        cycle of the first start. Grey: the crank crosses its backlash and equilibrium is not followed.
    """
    fig, (left, right) = style.figure(9.8, 4.2, columns=2)
    kept, spread = march.peak[march.settle :].reshape(-1, len(march.names)) / 1e3, march.summary()
    shift = np.random.default_rng(0).uniform(-0.18, 0.18, len(kept))
    for i, name in enumerate(march.names):
        left.plot(i + shift, kept[:, i], ".", color="#666666", markersize=6, label="one cycle" if i == 0 else None)
        if len(kept) >= FEWEST:
            left.plot([i, i], np.array([spread[name].low, spread[name].high]) / 1e3, color="#000000", linewidth=3,
                      label="middle 90 %" if i == 0 else None)
        left.plot(i, np.abs(still[name]).max() / 1e3, "x", color="#b0307a", markersize=9, markeredgewidth=2.5,
                  label="quasi-static" if i == 0 else None)
    left.set_xticks(range(len(march.names)), march.names, rotation=30)
    left.set_ylabel("peak of a cycle, $F$ [kN]")
    left.set_ylim(bottom=0.0)
    style.legend(left, small=True)
    angle, guide = np.degrees(march.angle), march.names.index("guide 1")
    right.plot(angle, march.trace[:, 0, guide] / 1e3, label="in time", linewidth=0.9, color="black")
    right.plot(np.degrees(loads.angle), still["guide 1"] / 1e3, label="quasi-static", color="#b0307a", linestyle="--")
    shared = type(loads)(loads.angle, {"mesh": still["mesh"]}, loads.model)
    for crossing in flanks.crossings(elastic, drive, shared):
        right.axvspan(np.degrees(crossing.angle), np.degrees(crossing.angle + crossing.turn), color="#dddddd", zorder=0)
    style.over_cycle(right, np.degrees(loads.angle), "guide force, $N_1$ [kN]", "one cycle of guide 1")
    style.legend(right, small=True)
    return fig
