"""What holds the ring gears and how warm the crowns get."""

import numpy as np

from vmech_core import size
from vmech_core.base.results import MACHINES
from vmech_core.show import style


def held_and_warm(case, factor=1.0, draws=4000):
    """Press fit of a ring gear against the temperature of the block, and temperatures of both crowns.

    Parameters
    ----------
    case : Case [-]
        An engine with a computed cycle.
    factor : float [1]
        On the tooth force, as in ``size.ring_seat``.
    draws : int [1]
        Draws of the causes, as in ``size.piston_heat``.

    Returns
    -------
    Figure [-]
        Left: torque that the fit holds over the peak, likely and most; the least is none at all. Right: share of the
        draws whose crown is no warmer than the temperature below.
    """
    (fig, (left, right)), warm = style.figure(9.8, 4.0, columns=2), np.linspace(20.0, 160.0, 36)
    for material, look in zip(("steel", "grey iron", "aluminium"), style.OTHERS[1:], strict=False):
        _, likely, most = np.transpose([size.ring_seat(case, factor, material, at - 20.0).safety for at in warm])
        left.plot(warm, likely, label=f"block of {material}: likely", **look)
        left.plot(warm, most, label="most", **(look | {"linewidth": 0.8}))
    left.axhline(1.0, **style.QUIET)
    style.label(left, "block and ring gear, $T_b$ [°C]", "torque held over peak, $S_R$ [1]")
    right.axvspan(300.0, 350.0, color="#dddddd", label="usual limit, from memory")
    for name, heated in size.piston_heat(case, draws).items():
        warm = np.sort(heated.crown[3:]) - 273.15
        right.plot(warm, np.linspace(0.0, 100.0, draws), label=MACHINES[name], **style.LOOKS[name])
    style.label(right, "middle of the crown, $T_k$ [°C]", "share of the draws, $F_c$ [%]")
    style.legend(left, small=True), style.legend(right)
    return style.below(fig, f"{style.named(case.design)}; {case.basis}")
