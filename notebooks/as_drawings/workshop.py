"""Drawings at 1:1 for the workshop, as SVG and PDF, and pinion and ring as DXF and STL; in mm, with a bar to check by.

Each sheet carries the sizes by which what was cut can be measured. Teeth are the true outlines, backlash in them.
"""

import textwrap
from dataclasses import replace
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path

import numpy as np
from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from vmech_core.base.errors import InputError
from vmech_core.gears import measure, pinion_outline, place_pinion, ring_outline
from vmech_core.plays import as_made, as_running
from vmech_core.plays.running import RING_WALL
from vmech_core.show import drawing, machine

#: Sheets across, mm: A4 to A0; the column of sizes and the strip of the title are kept free of the view.
PAPERS = {"A4": (297, 210), "A3": (420, 297), "A2": (594, 420), "A1": (841, 594), "A0": (1189, 841)}
COLUMN, STRIP, EDGE = 104, 32, 8
CIRCLE = np.exp(1j * np.linspace(0.0, 2.0 * np.pi, 361))
EDGES, MARK = {"color": "black", "linewidth": 0.9}, {"color": "#b0307a", "linewidth": 1.2}
THIN = {"color": "#555555", "linewidth": 0.5, "dashes": (9, 2, 2, 2)}
CAUTION = {"hand_model": "For a hand-turned model only. Nobody has built it yet."}
LOADED = "Teaching drawing, not released for making a machine under load: nothing here has been built or tested."


def drawings(design, folder, mesh_force=None):
    """Write all drawings of a design.

    Parameters
    ----------
    design : Design [-]
        The design, as made or running; what is drawn is as made, at 20 C.
    folder : Path or str [-]
        Where to; made if it is not there.
    mesh_force : float or None [N]
        Greatest force of one mesh along the line of action, for the tip relief; None leaves that line out.

    Returns
    -------
    list of Path [-]
        Seven sheets, each as SVG and PDF; then pinion and ring as DXF and STL.

    Raises
    ------
    InputError
        If a part is larger than the largest sheet.
    """
    made, folder = as_made(design), Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    gears = [_gear(made, ring) for ring in (False, True)]
    words = [_sizes(made, ring) + _flanks(made, ring, mesh_force) for ring in (False, True)]
    sheets = {"pinion": (gears[0], words[0]), "ring": (gears[1], words[1]), "carrier": _carrier(made),
              "crank": _crank(made), "rod_and_guide": _rod(made), "timing_marks": _timing(made, gears),
              "assembly_order": ({}, _assembly(made))}
    paths = []
    looks = {"path.simplify": False, "pdf.fonttype": 42, "svg.fonttype": "path", "svg.hashsalt": "vmech"}
    for name, (curves, lines) in sheets.items():
        with rc_context(looks):  # a path keeps what it was made with
            fig = _page(made, name.replace("_", " "), curves, lines)
            for kind, stamp in (("svg", {"Date": None}), ("pdf", {"CreationDate": None})):
                paths.append(folder / f"{name}.{kind}")
                fig.savefig(paths[-1], format=kind, metadata=stamp)
    for name, curves in zip(("pinion", "ring"), gears, strict=True):
        paths += [_dxf(folder / f"{name}.dxf", curves, made), _stl(folder / f"{name}.stl", curves, made)]
    return paths


def _mark(place, size):
    return place + size * np.array([0.0, -1.7 - 0.8j, -1.7 + 0.8j, 0.0])


def _gear(d, ring):
    """Curves of one gear about its axis, mm: name to look and points; the marked tooth or space to the right."""
    pair, m = d.pair, d.gear_pair.module_mm
    root = 1e3 * (pair.ring_root_radius if ring else pair.pinion_root_radius)
    if ring:
        curves = {"outline": (EDGES, 1e3 * ring_outline(pair)), "rim": (EDGES, (root + RING_WALL * m) * CIRCLE)}
    else:
        curves, bore = {"outline": (EDGES, 1e3 * pinion_outline(pair))}, 0.5 * d.crank.journal_diameter_mm
        if bore <= root - m:
            curves["bore"] = EDGES, bore * CIRCLE
    curves["pitch circle"] = THIN, 1e3 * (pair.ring_working_radius if ring else pair.pinion_working_radius) * CIRCLE
    curves["centre"] = THIN, 0.15 * root * np.array([-1, 1, 0, 1j, -1j])
    curves["mark"] = MARK, _mark(root + 2.4 * m if ring else root - 0.2 * m, 0.8 * m if ring else 0.4 * m)
    return curves


def _sizes(d, ring):
    pair, name = d.pair, "ring" if ring else "pinion"
    free = replace(pair, backlash=0.0)
    tip, root = (1e3 * getattr(pair, f"{name}_{end}_radius") for end in ("tip", "root"))
    pin, (chord, height) = 1e3 * measure.PINS[ring] * pair.module, measure.chordal(pair, ring)
    size, full = (1e3 * measure.over_pins(one, ring=ring)[0] for one in (pair, free))
    if ring:
        more = f"root fillet {1e3 * pair.ring_fillet:.3f} mm; wall {RING_WALL:g} modules, a rule of thumb"
    else:
        length, count = measure.span(pair)
        more = f"span over {count} teeth {1e3 * length:.3f} mm ({1e3 * measure.span(free, count)[0]:.3f})"
    own = {key: getattr(d.gear_pair, f"{name}_{key}") for key in ("teeth", "shift", "material")}
    return _words("gear", d, name=name, **own, tip=2 * tip, root=2 * root, where="between" if ring else "over", pin=pin,
                  size=size, full=full, more=more, chord=1e3 * chord, height=1e3 * height)


def _flanks(d, ring, force):
    own, pair = d.gear_pair, d.pair
    play = 0.5e-6 * (d.bearings.crank_clearance_um + d.bearings.carrier_clearance_um)
    least, most = np.sort(1e6 * measure.backlash_at(pair, np.array([play, -play])))
    lines = ["", f"backlash {own.backlash_um:g} µm, half of it off each gear;",
             f"{least:.0f} to {most:.0f} µm as bearing play moves the axes,",
             f"{as_running(d).gear_pair.backlash_um:.0f} µm in the running state"]
    if own.accuracy_grade > 11:
        return [*lines, "coarser than ISO 1328-1 grades: compare with a paper print"]
    radius = pair.ring_radius if ring else pair.pinion_radius
    allowed = measure.deviations(pair.module, 2 * radius, own.si.face_width, own.accuracy_grade)
    pitch = allowed["single pitch"]
    lines += [f"ISO 1328-1:2013 grade {own.accuracy_grade} (formulas from memory), in µm:",
              ", ".join(f"{name} {1e6 * allowed[name]:.1f}" for name in ("single pitch", "total pitch")),
              ", ".join(f"{name} {1e6 * allowed[name]:.1f}" for name in ("profile", "helix"))]
    if force is not None:
        relief = measure.tip_relief(force, own.si.face_width, pitch,
                                    (own.si.pinion_youngs_modulus, own.si.ring_youngs_modulus))
        low, likely, high = (1e6 * value for value in (relief.low, relief.likely, relief.high))
        lines.append(f"tip relief {likely:.0f} µm ({low:.0f} to {high:.0f}), half on each gear")
    return lines


def _words(sheet, d, **sizes):
    """Lines of a sheet: its part of the text, in which the design is ``d``."""
    text = Path(__file__).with_name("workshop_words.txt").read_text(encoding="utf-8")
    return text.partition(f"[{sheet}]\n")[2].partition("\n[")[0].strip().format(d=d, **sizes).split("\n")


def _carrier(d):
    throw, crank, own = 250.0 * d.cylinders.si.stroke, d.crank, d.carrier
    hole = 0.5 * (crank.journal_diameter_mm + 1e-3 * d.bearings.crank_clearance_um)
    outer = 0.5 * own.bearing_diameter_mm
    curves = {"bearing in block": (EDGES, outer * CIRCLE), "hole": (EDGES, throw + hole * CIRCLE),
              "centre": (THIN, 0.3 * throw * np.array([-1, 1, 0, 1j, -1j])), "offset": (MARK, np.array([0.0, throw])),
              "mark": (MARK, _mark(max(outer, throw + hole) - 1.0, 2.0))}
    if own.support == "stub_shaft":
        curves["web"] = THIN, np.concatenate([1.5 * hole * CIRCLE[90:271],
                                              throw + 1.5 * hole * np.roll(CIRCLE[:-1], 90)[:181], [1.5j * hole]])
    return curves, _words("carrier", d, hole=2 * hole, throw=throw)


def _crank(d):
    own, throw = d.crank, 250.0 * d.cylinders.si.stroke
    turns = np.exp(2j * d.cylinders.si.bank_angle)
    places, tip = np.array(d.cylinders.axial_position_mm), 1e3 * d.pair.pinion_tip_radius
    curves = {"journal": (EDGES, 0.5 * own.journal_diameter_mm * CIRCLE), "pinion tip": (THIN, tip * CIRCLE),
              "mark": (MARK, _mark(tip - 0.5, 1.2)), "axis": (THIN, np.array([-tip, tip]))}
    down, bodies, gaps = -2j * max(tip, throw + 0.5 * own.pin_diameter_mm) - 12j, [], []
    face, half, long = d.gear_pair.face_width_mm, 0.5 * own.mesh_span_mm, own.journal_length_mm
    for side in (-1.0, 1.0):
        curves[f"pinion {side:+g}"] = EDGES, down + _box(side * half, 0.0, face, 2.0 * tip)
        bodies.append((side * (half + 0.5 * d.journals_outward * (face + long)), 0.0, long, own.journal_diameter_mm))
        curves[f"journal {side:+g}"] = EDGES, down + _box(*bodies[-1])
    for k, (turn, place) in enumerate(zip(turns, places, strict=True), 1):
        curves[f"pin {k}"] = EDGES, throw * turn + 0.5 * own.pin_diameter_mm * CIRCLE
        bodies.append((place, throw * turn.imag, own.pin_length_mm, own.pin_diameter_mm))
        curves[f"pin {k} beside"] = EDGES, down + _box(*bodies[-1])
    for k, (left, right) in enumerate(pairwise(sorted(bodies))):
        ends = left[0] + 0.5 * left[2], right[0] - 0.5 * right[2]
        low, high = (f(y + way * 0.5 * h for _, y, _, h in (left, right)) for f, way in ((min, -1), (max, 1)))
        gaps.append(f"{ends[1] - ends[0]:g}")
        if ends[1] > ends[0]:
            curves[f"web {k}"] = THIN, down + _box(np.mean(ends), 0.5 * (low + high), np.ptp(ends), high - low)
    angles = np.degrees(2.0 * d.cylinders.si.bank_angle) % 360.0
    pins = "\n".join(f"pin {k}: {angle:g}° from the mark, at {place:g} mm"
                     for k, (angle, place) in enumerate(zip(angles, places, strict=True), 1))
    return curves, _words("crank", d, throw=throw, pins=pins, gaps=", ".join(gaps))


def _rod(d):
    frame, moving = machine.cylinder(d, 0.0, 0.0)
    middle = 0.5 * d.cylinders.si.stroke
    curves = {f"{name} {k}": (THIN if name in ("bore", "guide") else EDGES, 1e3 * (points - middle))
              for k, (name, points) in enumerate([*frame, *moving])}
    return curves, _words("rod", d, eye=d.crank.pin_diameter_mm + 1e-3 * d.bearings.crankpin_clearance_um,
                          slot=d.guide.rod_diameter_mm + 1e-3 * d.guide.clearance_um,
                          piston=d.cylinders.bore_mm - 1e-3 * d.guide.piston_clearance_um)


def _timing(d, gears):
    pair, throw = d.pair, 250.0 * d.cylinders.si.stroke
    curves = {f"ring {name}": entry for name, entry in gears[1].items()}
    curves |= {f"pinion {name}": (look, 1e3 * place_pinion(pair, 1e-3 * points, 0.0))
               for name, (look, points) in gears[0].items()}
    curves["carrier"] = MARK, np.array([0.0, throw])
    for k, bank in enumerate(d.cylinders.si.bank_angle, 1):
        curves[f"line {k}"] = THIN, 1.24e3 * pair.ring_root_radius * np.exp(1j * bank) * np.array([-1.0, 1.0])
        curves[f"pin {k}"] = EDGES, throw * (1 + np.exp(2j * bank)) + 0.06 * throw * CIRCLE
    places = "\n".join(f"line {k} at {bank:g}°, pin at {2.0 * throw * np.cos(np.radians(bank)):.2f} mm along it"
                       for k, bank in enumerate(d.cylinders.bank_angle_deg, 1))
    return curves, _words("timing", d, places=places, turn=180 / pair.pinion_teeth,
                          misses=2 * throw * np.sin(np.pi / pair.pinion_teeth))


def _assembly(d):
    pair, (length, count) = d.pair, measure.span(d.pair)
    steps = _words("assembly", d, span=(1e3 * length, count), turn=180 / pair.pinion_teeth,
                   over=[1e3 * measure.over_pins(pair, ring=ring)[0] for ring in (False, True)],
                   pin=[1e3 * pin * pair.module for pin in measure.PINS])
    return [line for number, step in enumerate(steps, 1)
            for line in [*textwrap.wrap(f"{number}.  {step}", 128, subsequent_indent="     "), ""]]


def _box(along, up, length, height):
    return drawing.box(along - 0.5 * length + 1j * up, along + 0.5 * length + 1j * up, height)


def _page(d, part, curves, lines):
    """One sheet at 1:1: view on the left, sizes on the right, bar and title below."""
    points = np.concatenate([p[np.isfinite(p)] for _, p in curves.values()]) if curves else np.zeros(1, complex)
    size = np.ptp(points.real), np.ptp(points.imag)
    fits = [(wide, high) for wide, high in PAPERS.values()
            if size[0] <= wide - COLUMN - 3 * EDGE and size[1] <= high - STRIP - 3 * EDGE]
    if not fits:
        raise InputError("size of the drawing", f"{max(size):.0f}", "larger than a sheet of A0 takes at 1:1", "mm")
    wide, high = fits[0]
    fig = Figure(figsize=(wide / 25.4, high / 25.4))
    FigureCanvasAgg(fig)
    ax = fig.add_axes((0, 0, 1, 1), xlim=(0, wide), ylim=(0, high))
    ax.axis("off")
    middle = complex(0.5 * (wide - COLUMN), 0.5 * (high + STRIP)) - complex(
        points.real.min() + 0.5 * size[0], points.imag.min() + 0.5 * size[1])
    for name, (look, curve) in curves.items():
        closed = np.append(curve, curve[0]) if name.endswith("outline") else curve
        ax.plot(*drawing.xy(closed + middle), gid=name.replace(" ", "_"), **look)
        if name.startswith(("pin ", "line ")):
            end = middle + (curve[:-1].mean() if name.startswith("pin") else 1.06 * curve[-1])
            ax.text(end.real, end.imag, name.split()[1], fontsize=7, ha="center", va="center",
                    bbox={"boxstyle": "circle,pad=0.15", "facecolor": "white", "linewidth": 0.4})
    ax.text(wide - COLUMN if curves else 2 * EDGE, high - 2 * EDGE, "\n".join(lines), fontsize=8 if curves else 9,
            va="top", linespacing=1.5)
    _strip(ax, d, part, wide)
    return fig


def _strip(ax, d, part, wide):
    ticks = np.arange(0, 101, 10)
    bar = complex(2 * EDGE, 13) + np.concatenate([[t, t + (3j if t % 50 == 0 else 1.5j), t] for t in ticks])
    ax.plot(*drawing.xy(bar), gid="bar", **EDGES)
    ax.text(2 * EDGE, 7, "must measure 100 mm", fontsize=7)
    ax.plot([EDGE, wide - EDGE], [STRIP - 4] * 2, color="black", linewidth=0.6)
    about = [f"{d.name}: {part}", f"scale 1:1, all sizes in mm at 20 °C, {d.design.status}, "
             f"vmech_core {version('vmech_core')}", *textwrap.wrap(CAUTION.get(d.design.machine, LOADED), 80)]
    ax.text(130, STRIP - 8, "\n".join(about), fontsize=8, va="top", linespacing=1.4)


def _dxf(path, curves, d):
    import ezdxf  # here, for it is asked for seldom

    file = ezdxf.new("R2010", units=ezdxf.units.MM)
    space = file.modelspace()
    for name in ("outline", "rim", "bore", "mark"):
        if name in curves:
            file.layers.add(name)
            points = curves[name][1]
            if name in ("rim", "bore"):
                space.add_circle((0, 0), float(abs(points[0])), dxfattribs={"layer": name})
            else:
                space.add_lwpolyline(np.c_[points.real, points.imag].tolist(), close=True, dxfattribs={"layer": name})
    file.layers.add("words")
    note = f"{d.name}, mm, 1:1. {CAUTION.get(d.design.machine, LOADED)}"
    space.add_text(note, height=2.0, dxfattribs={"layer": "words"}).set_placement(
        (0, -1.2 * np.abs(curves["outline"][1]).max() - 8.0), align=ezdxf.enums.TextEntityAlignment.CENTER)
    file.saveas(path)
    return path


def _stl(path, curves, d):
    from mapbox_earcut import triangulate_float64  # here, for they are asked for seldom
    from trimesh.creation import extrude_triangulation

    edges = [curves[name][1] for name in ("rim", "outline", "bore") if name in curves]  # the outer edge first
    edges = [edge[:-1] if abs(edge[0] - edge[-1]) < 1e-9 else edge for edge in edges]
    corners = np.concatenate(edges)
    corners = np.c_[corners.real, corners.imag]
    ends = np.cumsum([len(edge) for edge in edges]).astype(np.uint32)
    faces = triangulate_float64(corners, ends).reshape(-1, 3)
    extrude_triangulation(corners, faces, d.gear_pair.face_width_mm).export(path)
    return path
