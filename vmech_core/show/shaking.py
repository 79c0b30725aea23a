"""How smooth are they? Paths of the shaking force and couple, counterweights as bodies, their price, both live."""

import numpy as np
from matplotlib.patches import Rectangle
from matplotlib.transforms import Affine2D

from vmech_core import balance
from vmech_core.base import MACHINES, peak
from vmech_core.case import Case
from vmech_core.show import drawing, style, view

TURN = np.linspace(0.0, 2.0 * np.pi, 361)
#: Kind, SI over the unit shown, symbol, unit, how far the axes reach.
AXES = (("force", 1e3, "F", "kN", 8.0), ("couple", 1.0, "M", "N m", 60.0))
#: What may cancel orders of the ordinary crank besides its counterweights: words to orders.
SHAFTS = {"none": (), "one at -1": (-1,), "two at ±2": (-2, 2), "-1 and ±2": (-1, -2, 2)}
NAMES = ("ordinary", "straight")
#: How much larger the movement on the springs is drawn.
LARGER = 10.0


def curves(case, states):
    """Paths of the force on the frame and of its couple over one turn, and the movement on springs against speed.

    Parameters
    ----------
    case : Case [-]
        The case, for its size and speed.
    states : dict of str to tuple [-]
        Words to unbalance and id of the machine; all but the first of a machine are drawn thin.

    Returns
    -------
    Figure [-]
        Above the paths, couples in the direction of the forces that make them; below the greatest movement of the
        middle of the axis and the greatest lean, as ``balance.on_springs`` has them.
    """
    fig, axes = style.figure(9.4, 8.0, columns=2, rows=2)
    rpm, seen = np.linspace(200.0, 1.2 * case.design.duty.speed_rpm, 240), []
    for words, (unbalance, machine) in states.items():
        look = {**style.LOOKS[machine], "label": words, "linewidth": 1.0 if machine in seen else 2.2}
        for i, moved in enumerate(balance.on_springs(case, unbalance, rpm * np.pi / 30.0)):
            path = getattr(unbalance, AXES[i][0])(TURN, float(case.drive.speed)) / AXES[i][1]
            axes[i].plot(path.real, path.imag, **look)
            axes[2 + i].plot(rpm, 1e3 * peak(moved), **look)
        seen.append(machine)
    _axes(axes[:2])
    for ax, words in zip(axes[2:], ("movement, $y_s$ [mm]", "lean, $\\beta_s$ [mrad]"), strict=True):
        style.label(ax, "speed, $n_s$ [rev/min]", f"greatest {words}", xlim=rpm[[0, -1]], ylim=(1e-3, 30.0),
                    yscale="log")
    style.legend(axes[2], small=True, loc="lower right")
    return style.below(fig, f"{style.named(case.design, sizes=True)}, masses estimated")


def _axes(axes):
    """Room for the force and the couple of an engine without counterweights, upward as in the machine."""
    for ax, (kind, _, symbol, unit, far) in zip(axes, AXES, strict=True):
        ax.set(aspect="equal", xlim=(-far, far), ylim=(-far, far))
        style.label(ax, f"{kind} across, ${symbol}_x$ [{unit}]", f"{kind} upward, ${symbol}_y$ [{unit}]")


def bodies(case, weights):
    """Counterweights of one end: along the axis, and seen along it at carrier angle 0.

    Parameters
    ----------
    case : Case [-]
        The case.
    weights : Weights [-]
        From ``balance.fit``.

    Returns
    -------
    Figure [-]
        Left radii against places along the axis, each about the axis of its own rotor, the ring gear in grey; right
        all of them, with the pitch circles of pinion and ring.
    """
    fig, (along, front) = style.figure(9.4, 4.2, columns=2)
    radius, far, span = 0.25 * case.drive.stroke, 70.0, 1e3 * case.design.crank.si.mesh_span
    for circle in (2.0 * radius * drawing.CIRCLE, radius + radius * drawing.CIRCLE):
        front.plot(*drawing.mm(circle), **style.QUIET)
    for body, look in zip((b for b in weights.bodies if b.place > 0.0), style.OTHERS, strict=False):
        s, fill = body.sector, {"facecolor": look["color"], "alpha": 0.6}
        along.add_patch(Rectangle((1e3 * (body.place - 0.5 * s.thickness), 1e3 * s.inner), 1e3 * s.thickness,
                                  1e3 * (s.outer - s.inner), label=body.room.words, **fill))
        front.fill(*drawing.mm(_outline(body, radius, 0.0)), **fill)
    wide = 500.0 * case.design.gear_pair.si.face_width
    along.axvspan(0.5 * span - wide, 0.5 * span + wide, color="#dddddd", label="ring gear and pinion")
    along.set(xlim=(0.0, 0.5 * span + 3.0 * wide), ylim=(0.0, 1.8 * far))
    style.label(along, "place along the axis, $z_a$ [mm]", "radius, $r_w$ [mm]")
    style.label(front, "place, $x$ [mm]", "place, $y$ [mm]", aspect="equal", xlim=(-far, far), ylim=(-far, far))
    style.legend(along, loc="upper left", small=True)
    return style.below(fig, f"{style.named(case.design)}; at the other end the same, the crank's turned by half a turn")


def _outline(body, radius, angle):
    """Closed outline of a counterweight in the machine."""
    edge = np.linspace(-1.0, 1.0, 25) * body.sector.half_angle + body.angle + body.room.rotor * angle
    arc, middle = np.exp(1j * edge), radius * np.exp(1j * angle) * (body.room.rotor < 0)
    return middle + np.concatenate([body.sector.outer * arc, body.sector.inner * arc[::-1]])


def price(cases):
    """Peaks of the more loaded end against the share of the rods that the crank cancels.

    Parameters
    ----------
    cases : dict of str to Case [-]
        Words to case.

    Returns
    -------
    Figure [-]
        Tooth force, force of the crank on its carrier, of the carrier on the block without and with full weights.
    """
    fig, axes = style.figure(9.8, 3.4, columns=3)
    share, names = np.linspace(0.0, 1.0, 21), ("tooth force, $F_{t,i}$", "crank on carrier, $F_{c,i}$",
                                               "carrier on block, $F_{m,i}$")
    for (words, case), look in zip(cases.items(), style.OTHERS[::2], strict=False):
        for carriers, line in ((0.0, {}), (1.0, {"linewidth": 0.9})):
            found = balance.peaks(case, balance.shares(case, share, carriers + 0.0 * share))
            for ax, values in zip(axes, found.values(), strict=True):
                ax.plot(share, values / 1e3, label=words + ", carriers balanced" * bool(line), **{**look, **line})
    for ax, words in zip(axes, names, strict=True):
        ax.set(xlim=(0, 1), ylim=(0, None))
        style.label(ax, "share of the rods cancelled on the crank, $f_c$ [1]", f"peak of one end, {words} [kN]")
    style.legend(axes[0], small=True, loc="lower left")
    return style.below(fig, "rigid parts, guides idle, own full-load cycle")


class ShakingScene(style.Scene):
    """Both engines on their springs at the same angle, with the paths of force and couple beneath.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.

    Parameters
    ----------
    design : Design [-]
        An engine.
    """

    def __init__(self, design):
        self._a = Case(design, 361)
        self.figure, axes = style.mosaic(9.8, 7.4, [["left", "right"], ["force", "couple"]], height_ratios=[1.2, 1.0])
        self._views = [view.MachineView(axes[k], design, (self._a.ordinary, self._a.drive)[k]) for k in (0, 1)]
        view.same_scale(self._views)
        self._weights = [axes[1].fill([], [], facecolor=style.CRANK if b.room.rotor < 0 else "#777777", alpha=0.45,
                                      zorder=7)[0] for b in balance.fit(self._a).bodies if b.place > 0.0]
        self._shift, moving = [Affine2D(), Affine2D()], []
        for ax, shift, name in zip(axes, self._shift, NAMES, strict=False):
            ax.set_title(MACHINES[name], fontsize=style.FONT + 1, loc="left")
            ax.set_ylim(ax.get_ylim()[0] - 25.0)
            moving += (parts := [*ax.lines, *ax.patches])
            for artist in parts:
                artist.set_transform(shift + ax.transData)
        _axes(axes[2:])
        self._paths = [self._curves(ax, TURN, [(MACHINES[n], style.LOOKS[n]) for n in NAMES]) for ax in axes[2:]]
        style.legend(axes[2], loc="upper left", small=True)
        self._cursor, self._text = view.Cursor([], sum(self._paths, [])), style.Readout(axes[3], 0.02, 0.99)
        self._ready([*moving, *sum(self._paths, []), *self._cursor.artists, self._text],
                    f"{style.named(design)}; movement on soft springs drawn {LARGER:g} times; masses estimated")

    def _change(self, speed_rpm, carriers, half, shafts):
        """Fit the counterweights anew, draw both paths and write the numbers.

        Parameters
        ----------
        speed_rpm : float [rpm]
            Speed of both.
        carriers : float [1]
            Share of what the carriers should cancel; the crank has what it needs.
        half : float [1]
            Share of the reciprocating mass that the ordinary crank balances.
        shafts : str [-]
            Key of ``SHAFTS``.
        """
        speed, found = speed_rpm * np.pi / 30.0, balance.fit(self._a, carriers)
        self._bodies = [b for b in found.bodies if b.place > 0.0]
        states, words = (balance.of_ordinary(self._a, share=half).without(*SHAFTS[shafts]), found.left), []
        self._moved = [balance.on_springs(self._a, own, [speed])[0][0] for own in states]
        for k, own in enumerate(states):
            loads = [getattr(own, axis[0])(TURN, speed) for axis in AXES]
            for lines, load, axis in zip(self._paths, loads, AXES, strict=True):
                lines[k].set_data(load.real / axis[1], load.imag / axis[1])
            words.append(f"{NAMES[k]:<8} {peak(loads[0]):5.0f} N {peak(loads[1]):5.1f} N m "
                         f"{1e3 * peak(self._moved[k]):6.3f} mm")
        self._text.set_text("\n".join(words))

    def _turn(self, angle_deg):
        turn, at = np.radians(angle_deg), int(round(angle_deg)) % 360
        for own, shift, moved in zip(self._views, self._shift, self._moved, strict=True):
            own.show(turn, {})
            shift.clear().translate(*(1e3 * LARGER * np.array([moved[at].real, moved[at].imag])))
        for patch in self._weights:
            patch.set_visible(False)
        for patch, body in zip(self._weights, self._bodies, strict=False):
            patch.set(visible=True, xy=np.stack(drawing.mm(_outline(body, 0.25 * self._a.drive.stroke, turn)), axis=1))
        self._cursor.show(angle_deg, at)
