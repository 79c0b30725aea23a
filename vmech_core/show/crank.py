"""The two cranks: how they bend, and how safe they are where."""

import numpy as np

from vmech_core.base.results import MACHINES
from vmech_core.show import style

#: Look of each model of ``size.safeties``.
MARKS = {"shaft": "o", "web": "s"}


def bent(chains, angles, times=200.0):
    """Both cranks under the loads of one angle each, bent and at rest.

    Parameters
    ----------
    chains : tuple of Chain [-]
        Planet crank and ordinary crank.
    angles : tuple of int [1]
        Which of their angles.
    times : float [1]
        By which the bending is drawn larger.

    Returns
    -------
    Figure [-]
        A column for each; above in the plane of the throw of pin 1, below across it. Grey at rest.
    """
    fig, axes = style.figure(9.8, 4.6, columns=2, rows=2)
    reach = 1.1 * max(np.abs(one.node[:, :2]).max() + 0.5 * one.bar[one.bar[:, 1] == 0.0].max() for one in chains)
    for i, (chain, k, (name, words)) in enumerate(zip(chains, angles, MACHINES.items(), strict=True)):
        moved, first = chain.bent()[0][:, :, k], chain.node[chain.at["pin 1"], :2]
        ways = first / np.hypot(*first), np.array([-first[1], first[0]]) / np.hypot(*first)
        for ax, way, symbol in zip(axes[i::2], ways, "xy", strict=True):
            rest, lean = chain.node[:, :2] @ way, moved[:, :2] @ way
            for e, (wide, thick) in enumerate(chain.bar):
                ax.plot(1e3 * chain.node[e:e + 2, 2], 1e3 * rest[e:e + 2], color="#cccccc",
                        solid_capstyle="butt",
                        linewidth=270.0 / np.ptp(chain.node[:, 2]) * thick or 57.0 / reach * wide)
            ax.plot(1e3 * chain.node[:, 2], 1e3 * (rest + times * lean), marker=".", **style.LOOKS[name])
            ax.set_ylim(-1e3 * reach, 1e3 * reach)
            style.label(ax, "along the crank, $z_a$ [mm]", f"${symbol}$ [mm]")
            ax.set_title(f"{words}, bending {times:g} times", fontsize=style.FONT)
    return fig


def safety(found, wanted=1.5):
    """Safety against fatigue along both cranks.

    Parameters
    ----------
    found : tuple of list of Safety [-]
        From ``size.safeties``, planet crank and ordinary crank.
    wanted : float [1]
        Drawn as a line.

    Returns
    -------
    Figure [-]
        Round marks: fillets as shoulders of a shaft, oil holes; square: fillets by the bending of their web.
    """
    fig, (ax,) = style.figure(8.4, 3.8)
    for listed, (name, words) in zip(found, MACHINES.items(), strict=True):
        for model, mark in MARKS.items():
            own = [(1e3 * one.place, one.criteria.goodman) for one in listed if one.model == model]
            ax.plot(*np.transpose(own), **style.LOOKS[name] | {"linestyle": ""}, marker=mark, label=f"{words}: {model}",
                    markerfacecolor="white" if name == "ordinary" else None)
    ax.axhline(wanted, label="wanted", **style.LIMIT)
    ax.set_yscale("log")
    ax.set_yticks(ticks := (1, 1.5, 2, 3, 5, 10, 20), map(str, ticks)), ax.minorticks_off()
    style.label(ax, "along the crank, $z_a$ [mm]", "safety against fatigue, $S_D$ [1]")
    style.legend(ax, beside=True, small=True)
    return fig
