"""A machine seen along its crank axis with what its parts press on as arrows, and one angle cursor for many plots.

Artists are made once and moved: a scene adds ``MachineView.artists`` and ``Cursor.artists`` to what it moves. Sizes of
rods, pistons and webs are schematic; gear teeth are the true outlines.
"""

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path

from vmech_core.gears import outline
from vmech_core.machine import slider_crank
from vmech_core.show import drawing, machine, style

#: Fill, edge and layer of what moves; quiet greys, as colour belongs to the forces.
LOOK = {"carrier": ("#efefef", "#b0b0b0", 2), "web": ("#e6e6e6", "#8a8a8a", 2), "pinion": ("#c9c9c966", "#555555", 6),
        "piston rod": ("#f6eedb90", "#a89c80", 5), "crankpin": ("#8a8a8a", "#5a5a5a", 6),
        "piston": ("#ededed", "#7a7a7a", 5)}
FRAME = {"color": "#8a8a8a", "linewidth": 1.1, "zorder": 3}
#: Length of the head and width of the shaft of an arrow in mm; a shorter arrow shrinks, one below ``LEAST`` vanishes.
HEAD, SHAFT, LEAST = 11.0, 4.6, 0.8
#: Free space around a machine in mm.
ROOM = 4.0


class MachineView:
    """One machine with arrows for its forces.

    Gas presses on the crown toward O. The other arrows start where a part touches what holds it, and show what it
    presses on its bore, its guide or the teeth of the ring.

    Attributes
    ----------
    ax : Axes [-]
        Its axes, in mm, equal scales.
    frame : list of Artist [-]
        Ring gear, bores and guides; they move only if the banks do.
    artists : list of Artist [-]
        What an angle moves.

    Parameters
    ----------
    ax : Axes [-]
        Axes for it.
    design : Design [-]
        The design.
    drive : HypocycloidDrive or SliderCrank [-]
        The drive that is shown.
    mm_per_kN : float [-]
        Length of the arrows in mm for each kN.
    """

    def __init__(self, ax, design, drive, mm_per_kN=12.0):
        self.ax, self._design, self._scale, self._teeth = ax, design, mm_per_kN, None
        self._crank = _Ordinary if isinstance(drive, slider_crank.SliderCrank) else _Straight
        self._walls = Line2D([], [], **FRAME)
        self.frame = [self._walls]
        if self._crank is _Straight:
            ring = outline.ring_outline(design.pair, points=6)
            self._teeth = outline.pinion_outline(design.pair, points=6)
            ax.plot(*drawing.mm(np.append(ring, ring[0])), **{**FRAME, "color": "#5a5a5a"})
        self._parts = {name: _patch(*LOOK[name]) for name in self._crank.PARTS}
        self._arrows = {name: _patch(*style.arrow(name)) for name in self._crank.PRESSED}
        self.artists = [*self._parts.values(), *self._arrows.values()]
        for artist in (*self.frame, *self.artists):
            ax.add_artist(artist)
        ax.set(aspect="equal")
        ax.axis("off")
        self.hold([drive])

    def stand(self, drive):
        """Set the banks of another drive; draws bores and guides.

        Parameters
        ----------
        drive : HypocycloidDrive or SliderCrank [-]
            The drive.
        """
        self._machine = made = self._crank(self._design, drive, self._teeth)
        walls = [np.append(points, drawing.UP) for bank in drive.bank_angle for points in made.walls(bank)]
        self._walls.set_data(drawing.mm(np.concatenate(walls)))

    def show(self, angle, loads, astray=0.0):
        """Move the parts and the arrows.

        Parameters
        ----------
        angle : float [rad]
            Carrier or crank angle.
        loads : dict of str to float or (K,) array [N]
            By channel: gas and bore of each cylinder, for the straight-line drive also guide of each and mesh; one
            that is left out has no arrow.
        astray : (K,) array [m]
            How far each crankpin is from where it belongs, by a fault of assembly; rods are drawn in their lines.
        """
        shapes = self._machine.parts(angle)
        if np.any(astray):
            shapes["crankpin"] = [own + away for own, away in zip(shapes["crankpin"], astray, strict=True)]
        for name, patch in self._parts.items():
            patch.set_path(_compound(shapes[name]))
        for name, patch in self._arrows.items():
            found = self._machine.pressed(name, angle, loads[name]) if name in loads else ((), ())
            pairs = zip(*map(np.atleast_1d, found), strict=True)
            patch.set_path(_compound([_arrow(tail, 1e-3 * self._scale * force) for tail, force in pairs], scale=1.0))

    def scale(self, x, y, force_kN=1.0):
        """Draw the scale of the arrows.

        Parameters
        ----------
        x, y : float [1]
            Place of its tail, from the lower left corner of the axes.
        force_kN : float [kN]
            Force that it shows.
        """
        low, high = np.array([self.ax.get_xlim(), self.ax.get_ylim()]).T
        tail, arrow = complex(*(low + np.array([x, y]) * (high - low))), _patch("#333333", "#333333", 9)
        arrow.set_path(_compound([_arrow(1e-3 * tail, self._scale * force_kN + 0j)], scale=1.0))
        self.ax.add_artist(arrow)
        self.ax.text(tail.real, tail.imag - 5.0, f"arrows: {force_kN:g} kN", fontsize=style.FONT - 1,
                     color="#333333", va="top")

    def hold(self, drives):
        """Set limits that hold the whole cycle of several drives, with a little room; the last of them is shown.

        Parameters
        ----------
        drives : sequence of HypocycloidDrive or SliderCrank [-]
            Drives that differ in their banks.
        """
        found = []
        for drive in drives:
            self.stand(drive)
            found += [self._walls.get_xydata() @ [1e-3, 1e-3j]]
            for angle in np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False):
                found += [points for shapes in self._machine.parts(angle).values() for points in shapes]
        x, y = drawing.mm(np.concatenate(found))
        reach = np.nanmax(np.abs(x)) + ROOM
        self.ax.set(xlim=(-reach, reach), ylim=(np.nanmin(y) - ROOM, np.nanmax(y) + ROOM))


class Instead:
    """Other axes in the place of some that have nothing to say.

    Attributes
    ----------
    ax : Axes [-]
        The other axes.
    artists : list of Artist [-]
        What a scene moves: a cover, and the axes.

    Parameters
    ----------
    ax : Axes [-]
        Axes that are laid out already.
    """

    def __init__(self, ax):
        figure = ax.figure
        box = ax.get_tightbbox(figure.canvas.get_renderer()).transformed(figure.transFigure.inverted()).padded(0.005)
        cover = Rectangle(box.p0, box.width, box.height, transform=figure.transFigure, facecolor="white", zorder=8)
        ax.add_artist(cover).set_clip_on(False)
        self.ax = ax.inset_axes([0.0, 0.0, 1.0, 1.0], zorder=9)
        style.dress([self.ax])
        self.artists = [cover, self.ax]
        self.show(False)

    def show(self, shown):
        """Show the other axes, or hide them.

        Parameters
        ----------
        shown : bool [-]
            Which.
        """
        for artist in self.artists:
            artist.set_visible(shown)


def same_scale(views):
    """Give several views the same limits.

    Parameters
    ----------
    views : sequence of MachineView [-]
        The views.
    """
    for name in ("xlim", "ylim"):
        ends = np.array([getattr(own.ax, f"get_{name}")() for own in views])
        for own in views:
            own.ax.set(**{name: (ends[:, 0].min(), ends[:, 1].max())})


class _Straight:
    """Shapes of the straight-line drive, and where it presses."""

    PARTS = ("carrier", "pinion", "piston rod", "piston", "crankpin")
    PRESSED = ("gas", "guide", "bore", "mesh")

    def __init__(self, design, drive, teeth):
        self.design, self.drive, self.teeth = design, drive, teeth

    def walls(self, bank):
        """Bore and guide."""
        return [points for _, points in machine.cylinder(self.design, bank, 0.0)[0]]

    def parts(self, angle):
        """Outlines by part."""
        found = {name: [] for name in self.PARTS}
        found["carrier"].append(0.45 * self.drive.stroke * drawing.CIRCLE)
        found["pinion"].append(outline.place_pinion(self.design.pair, self.teeth, angle))
        for bank in self.drive.bank_angle:
            for name, points in machine.cylinder(self.design, bank, angle)[1]:
                found[name].append(points)
        return found

    def pressed(self, name, angle, force):
        """Tails and forces of the arrows of one kind."""
        line, guide = np.exp(1j * np.asarray(self.drive.bank_angle)), self.design.guide.si
        crown = 0.5 * self.drive.stroke * np.cos(angle - np.asarray(self.drive.bank_angle)) + guide.rod_length
        if name == "gas":
            return line * crown, -force * line
        if name == "mesh":
            return 0.5 * self.drive.stroke * np.exp(1j * angle), -force * 1j * np.exp(1j * angle)
        middle, half = crown - 0.5 * guide.piston_length, 0.5 * self.design.cylinders.si.bore
        if name == "guide":
            middle, half = machine.guide_middle(self.design), 0.6 * guide.rod_diameter
        return _beside(line, middle, half, force)


class _Ordinary:
    """Shapes of the ordinary crank drive, and where it presses; webs, rods and skirts are schematic."""

    PARTS = ("web", "piston rod", "piston", "crankpin")
    PRESSED = ("gas", "bore")
    CROWN, SKIRT = 0.42, 0.40  # of the bore, above and below the wrist pin

    def __init__(self, design, drive, teeth):
        self.design, self.drive, self.bore = design, drive, design.cylinders.si.bore

    def walls(self, bank):
        """Bore."""
        d = self.drive
        ends = np.array([d.rod_length - d.crank_radius - self.SKIRT * self.bore,
                         d.rod_length + d.crank_radius + self.CROWN * self.bore + 0.004])
        return [machine.walls(np.exp(1j * bank), ends, 0.5 * self.bore)]

    def parts(self, angle):
        """Outlines by part."""
        pin, found = self.design.crank.si.pin_diameter, {name: [] for name in self.PARTS}
        d, place = self.drive, self._place(angle)
        found["web"].append(0.6 * pin * drawing.CIRCLE)
        for k, line in enumerate(np.exp(1j * np.asarray(d.bank_angle))):
            throw, wrist = d.crank_radius * np.exp(1j * (angle + d.crankpin_angle[k])), line * place[k]
            found["web"].append(drawing.box(-0.25 * throw, 1.25 * throw, 0.9 * pin))
            found["piston rod"] += [drawing.box(throw, wrist, 0.4 * pin), throw + 0.75 * pin * drawing.CIRCLE]
            found["piston"].append(drawing.box(wrist - line * self.SKIRT * self.bore,
                                               wrist + line * self.CROWN * self.bore, 0.97 * self.bore))
            found["crankpin"] += [throw + 0.5 * pin * drawing.CIRCLE, wrist + 0.28 * pin * drawing.CIRCLE]
        return found

    def pressed(self, name, angle, force):
        """Tails and forces of the arrows of one kind."""
        line, place = np.exp(1j * np.asarray(self.drive.bank_angle)), self._place(angle)
        if name == "gas":
            return line * (place + self.CROWN * self.bore), -force * line
        return _beside(line, place, 0.5 * self.bore, force)

    def _place(self, angle):
        """Distance of each wrist pin from O."""
        return slider_crank.motion(self.drive, np.array([angle])).position[:, 0]


class Cursor:
    """One angle, shown in every plot over the cycle, and as a dot on every path.

    Attributes
    ----------
    artists : list of Artist [-]
        What an angle moves.

    Parameters
    ----------
    axes : sequence of Axes [-]
        Plots over the angle.
    paths : sequence of Line2D [-]
        Paths whose points belong to the angles.
    """

    LOOK = {"color": "#333333", "linewidth": 1.0, "zorder": 6}

    def __init__(self, axes, paths=()):
        self._lines = [ax.axvline(0.0, **self.LOOK) for ax in axes]
        self._dots = [(path.axes.plot([], [], "o", color="black", markersize=6, zorder=7)[0], path) for path in paths]
        self.artists = [*self._lines, *(dot for dot, _ in self._dots)]

    def show(self, angle_deg, at=0):
        """Move to another angle.

        Parameters
        ----------
        angle_deg : float [deg]
            The angle.
        at : int [1]
            The sample of the paths that is nearest.
        """
        for line in self._lines:
            line.set_xdata([angle_deg, angle_deg])
        for dot, path in self._dots:
            x, y = path.get_data()
            dot.set_data(x[at : at + 1], y[at : at + 1])


def at_angle(loads, channels, angle):
    """Forces at one angle, straight between the samples.

    Parameters
    ----------
    loads : Loads [N]
        Loads over the cycle.
    channels : sequence of str [-]
        Channels that are wanted.
    angle : float [rad]
        The angle.

    Returns
    -------
    dict of str to float or (K,) array [N]
        By channel.
    """
    place = np.interp(angle, loads.angle, np.arange(len(loads.angle)))
    low = min(int(place), len(loads.angle) - 2)
    return {name: loads[name][..., low] + (place - low) * (loads[name][..., low + 1] - loads[name][..., low])
            for name in channels}


def _beside(line, along, half, force):
    """A lateral force of a wall is answered on the side to which the part presses, which is against it."""
    side = -1j * np.sign(force) * half
    return line * (along + side), -1j * force * line


def _arrow(tail, reach):
    """Outline of an arrow from a tail, both in mm; empty if too short to see."""
    tail, length = 1e3 * tail, abs(reach)
    if not length > LEAST:
        return np.empty(0, dtype=complex)
    size = min(1.0, 0.7 * length / HEAD)
    along = np.array([0.0, *[length - size * HEAD] * 2, length, *[length - size * HEAD] * 2, 0.0])
    across = size * SHAFT * np.array([0.5, 0.5, 1.25, 0.0, -1.25, -0.5, -0.5])
    return tail + reach / length * (along + 1j * across)


def _compound(outlines, scale=1e3):
    """One path of several outlines."""
    closed = (scale * np.append(points, points[0]) for points in outlines if len(points))
    return Path.make_compound_path(*(Path(np.stack([points.real, points.imag], axis=1)) for points in closed))


def _patch(fill, edge, layer):
    return PathPatch(Path(np.empty((0, 2))), facecolor=fill, edgecolor=edge, linewidth=0.9, zorder=layer)
