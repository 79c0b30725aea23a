"""Room and masses: outlines over each other to scale, what stacks up, masses by part, and a live pair of outlines."""

import numpy as np

from vmech_core import size
from vmech_core.base import MACHINES, InputError
from vmech_core.case import Case
from vmech_core.show import drawing, style
from vmech_core.show.machine import walls

LOOKS = {"straight": style.STRAIGHT, "ordinary": style.ORDINARY, "crosshead": style.ORDINARY, "yoke": style.OTHERS[3]}
#: Shades of what stands in a stack, in turn.
SHADES = ("#8fb8d8", "#e3c08f", "#a9cfa4", "#d8a9c4", "#c9c9c9", "#b9aee0", "#e8dd8c", "#9fd3d0", "#d9b3a0")


def front(made):
    """Outline of a machine seen along its axis, upright: crankcase, bores, cylinders with heads.

    Parameters
    ----------
    made : Outline [-]
        From ``size.outline``.

    Returns
    -------
    (P,) complex array [m]
        Points, the pen lifted between the parts.
    """
    turn = np.linspace(0.0, 2.0 * np.pi, 721)
    reach, way = made.reach(np.exp(1j * turn), outside=False) + made.rules["wall"], np.exp(1j * turn)
    half = made.bore + 2.0 * (made.rules["wall"] + made.rules["fin"])
    parts = [(reach + 1j * np.gradient(reach, turn)) * way]
    for line in np.exp(1j * made.bank):
        parts += [walls(line, np.array([made.bore_low, made.deck]), 0.5 * made.bore),
                  drawing.box(line * made.case, line * made.deck, half),
                  drawing.box(line * made.deck, line * (made.deck + made.rules["head"]), half)]
    return np.concatenate([np.append(points, drawing.UP) for points in parts]) * 1j / size.upright(made.bank)


def side(made):
    """The same from the side, the axis to the right: crankcase and what its cylinders reach.

    Parameters
    ----------
    made : Outline [-]
        From ``size.outline``.

    Returns
    -------
    (P,) complex array [m]
        Points, the pen lifted between the parts.
    """
    up, end, wide = size.upright(made.bank), sum(made.axis.values()), 2.0 * made.cylinders
    crankcase = drawing.box(-end + 0j, end + 0j, 2.0 * (made.case + made.rules["wall"]))
    tops = drawing.box(1j * made.case, 1j * float(made.reach(up)), wide)
    return np.concatenate([crankcase, [drawing.UP], tops])


def overlay(machines, words=""):
    """Machines over each other to one scale, from the front and from the side.

    Parameters
    ----------
    machines : list of Outline [-]
        From ``size.outline``; each in the look of its machine.
    words : str [-]
        What stands below the figure.

    Returns
    -------
    Figure [-]
        Front view on the left, side view on the right.
    """
    fig, axes = _views(4.9)
    for made in machines:
        for ax, view in zip(axes, (front, side), strict=True):
            ax.plot(*drawing.mm(view(made)), **LOOKS[made.machine], label=size.OUTLINED[made.machine])
    style.legend(axes[0], loc="lower right", small=True)
    return style.below(fig, words)


def stacks(machines, axis=False):
    """What stands over one another, or beside one another along the axis, as bars.

    Parameters
    ----------
    machines : list of Outline [-]
        From ``size.outline``.
    axis : bool [-]
        Along the axis, from the middle to one end, in place of from the axis to the top of the bore.

    Returns
    -------
    Figure [-]
        One bar for each machine.
    """
    fig, (ax,) = style.figure(9.6, 1.5 + 0.55 * len(machines))
    found = [{name: v for name, v in (made.axis if axis else made.stack).items() if v > 1e-5} for made in machines]
    names = list(dict.fromkeys(name for one in found for name in one))
    for k, name in enumerate(names):
        start = [1e3 * sum(list(one.values())[:list(one).index(name)]) if name in one else 0.0 for one in found]
        ax.barh(range(len(found)), [1e3 * one.get(name, 0.0) for one in found], left=start, label=name, height=0.6,
                color=SHADES[k % len(SHADES)], edgecolor="#444444", hatch="///" if k >= len(SHADES) else "")
    words = "distance from the middle of the machine, $z_a$ [mm]" if axis else "distance from the main axis, $y$ [mm]"
    style.rows(ax, [size.OUTLINED[made.machine] for made in machines], words)
    style.legend(ax, beside=True, small=True)
    return fig


def masses(lists):
    """Mass of every kind of part of two machines, with its range.

    Parameters
    ----------
    lists : dict of str to list of Part [-]
        ``straight`` or ``ordinary`` to what ``size.part_list`` gives.

    Returns
    -------
    Figure [-]
        Two bars for each kind of part that may weigh more than 0.15 kg.
    """
    every = [one for listed in lists.values() for one in listed if one.mass]
    names = list(dict.fromkeys(one.name for one in every if one.count * one.mass.high > 0.15))
    fig, (ax,) = style.figure(9.0, 0.27 * len(names) + 1.0)
    for k, (machine, listed) in enumerate(lists.items()):
        found = [one for one in listed if one.name in names]
        low, likely, high = np.array([[one.count * getattr(one.mass, end) for one in found]
                                      for end in ("low", "likely", "high")])
        ax.barh([names.index(one.name) + 0.36 * k - 0.18 for one in found], likely, 0.34, hatch="//" * k,
                color=LOOKS[machine]["color"], edgecolor="white", label=size.OUTLINED[machine], ecolor="#333333",
                xerr=[likely - low, high - likely])
    style.rows(ax, names, "mass of all pieces, $m_t$ [kg]")
    style.legend(ax, loc="lower right")
    return fig


class RoomScene(style.Scene):
    """Both machines over each other, as short as the rules permit, but the rod of the ordinary crank as chosen.

    Pins and journals grow with the bore, teeth with the stroke.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.
    case : Case [-]
        The case that is shown.
    outlines : tuple of Outline [-]
        Its two machines.

    Parameters
    ----------
    design : Design [-]
        A design of two cylinders.
    """

    def __init__(self, design):
        own, self._design = design.cylinders, design
        self._set(bore_mm=own.bore_mm, stroke_ratio=round(own.stroke_mm / own.bore_mm, 2),
                  guide_mm=design.guide.length_mm, support=design.carrier.support.replace("_", " "))
        self.figure, axes = _views(5.2)
        self._lines = [ax.plot([], [], **LOOKS[name], label=size.OUTLINED[name])[0] for name in ("straight", "ordinary")
                       for ax in axes]
        style.legend(axes[0], loc="lower left", small=True)
        self._text = style.Readout(axes[0], 0.0, 1.16)
        axes[0].set_title("\n\n\n")
        self._ready([*self._lines, self._text], f"{style.named(design)}; by the clearance rules, pins and journals as "
                    "the bore, teeth as the stroke")

    def _change(self, bore_mm, stroke_ratio, bank_deg, guide_mm, rod_ratio, support):
        """Show both machines with other sizes; one that cannot be is named in its sentence.

        Parameters
        ----------
        bore_mm : float [mm]
            Bore.
        stroke_ratio : float [1]
            Stroke over bore.
        bank_deg : float [deg]
            Angle between the two cylinder lines.
        guide_mm : float [mm]
            Length of the guides.
        rod_ratio : float [1]
            Rod length over crank radius of the ordinary crank.
        support : str [-]
            ``enclosing`` or ``stub shaft``.
        """
        d, stroke, grown = self._design, bore_mm * stroke_ratio, bore_mm / self._design.cylinders.bore_mm
        pin, journal = (grown * value for value in (d.crank.pin_diameter_mm, d.crank.journal_diameter_mm))
        keys = {"cylinders.bore_mm": bore_mm, "cylinders.stroke_mm": stroke, "crank.pin_diameter_mm": pin,
                "cylinders.bank_angle_deg": [90.0 - 0.5 * bank_deg, 90.0 + 0.5 * bank_deg],
                "gear_pair.module_mm": 0.5 * stroke / d.gear_pair.pinion_teeth, "crank.journal_diameter_mm": journal,
                "carrier.bearing_diameter_mm": journal + (0.5 * stroke + 22.0) * (support == "enclosing"),
                "carrier.support": support.replace(" ", "_"), "guide.length_mm": guide_mm,
                "ordinary_crank.rod_ratio": rod_ratio,
                "guide.rod_length_mm": 3.0 * stroke + 150.0, "guide.rod_diameter_mm": grown * d.guide.rod_diameter_mm}
        try:
            rod = size.outline(Case(d.changed(keys), 181), tight=True).rod  # as short as the rules permit
            case = Case(d.changed({**keys, "guide.rod_length_mm": 1e3 * rod + 0.1}), 181)
        except InputError as error:
            self._text.set_text("not possible: " + str(error)[:100])
            return
        self.case, self.outlines = case, (size.outline(case, tight=True), size.outline(case, "ordinary"))
        self._move(self._lines, [1e3 * view(made) for made in self.outlines for view in (front, side)])
        spare = 1e3 * self.outlines[1].spare[0]
        clear = "clears" if spare >= 0.0 else f"COLLIDES: too short by {-spare:.0f} mm"
        rows = [f"{MACHINES[one.machine]:20} deck {1e3 * one.deck:4.0f} mm, length {1e3 * one.length:4.0f} mm, box "
                f"{1e3 * one.volume:5.1f} L, {size.totals(size.part_list(case, one)).mass.likely:5.1f} kg"
                for one in self.outlines]
        self._text.set_text("\n".join([*rows, f"{1e6 * case.displacement:.0f} cm³; the ordinary rod {clear}"]))


def _views(height):
    """Limits and labels of front and side view."""
    fig, axes = style.figure(9.8, height, columns=2, ratios=[1.55, 1.0])
    for ax, wide, words in zip(axes, (300, 170), ("to the right, $x$ [mm]", "along the axis, $z_a$ [mm]"), strict=True):
        style.label(ax, words, "upward, $y$ [mm]", xlim=(-wide, wide), ylim=(-130.0, 330.0), aspect="equal")
        ax.plot(0.0, 0.0, "k+", markersize=9)
    return fig, axes
