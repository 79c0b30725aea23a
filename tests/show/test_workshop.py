"""Drawings read back by other programs and measured: SVG, PDF, DXF and STL against sizes found without the core.

The sizes over pins and over teeth are measured on the points of the drawn outline, as with a calliper, not computed
from the involute.
"""

import importlib
import xml.etree.ElementTree as ElementTree
from math import cos, pi
from pathlib import Path

import numpy as np
import pytest

from vmech_core.design.files import load_design
from vmech_core.gears import measure

svgelements = pytest.importorskip("svgelements", reason="svgelements comes with tests/requirements.txt")
pypdf = pytest.importorskip("pypdf", reason="pypdf comes with tests/requirements.txt")
shapely = pytest.importorskip("shapely", reason="shapely comes with tests/requirements.txt")
ezdxf = pytest.importorskip("ezdxf")
trimesh = pytest.importorskip("trimesh")
DATA = Path(__file__).parents[2] / "data"
with pytest.MonkeyPatch.context() as patch:  # as from a notebook
    patch.syspath_prepend(DATA.with_name("notebooks"))
    workshop = importlib.import_module("as_drawings.workshop")
SHEETS = ("pinion", "ring", "carrier", "crank", "rod_and_guide", "timing_marks", "assembly_order")
POINT = 25.4 / 72.0  # mm


@pytest.fixture(scope="module", params=["v_twin_generator", "desk_model"])
def drawn(request, tmp_path_factory):
    design = load_design(DATA / f"{request.param}.toml")
    folder = tmp_path_factory.mktemp(request.param)
    return design, folder, workshop.drawings(design, folder, 3000.0)


def from_svg(path, name):
    """Points of a named curve in mm, y upward."""
    group = next(e for e in ElementTree.parse(path).iter() if e.get("id") == name)
    line = svgelements.Path(next(e for e in group if e.tag.endswith("path")).get("d"))
    points = np.array([complex(part.end) for part in line if part.end is not None])
    return np.conj(points) * POINT


def from_pdf(path):
    """Curves of a page in mm, by the operators of its content."""
    page, curves = pypdf.PdfReader(path).pages[0], []
    for operands, operator in pypdf.generic.ContentStream(page.get_contents(), page.pdf).operations:
        if operator in (b"m", b"l"):
            if operator == b"m":
                curves.append([])
            curves[-1].append(complex(*map(float, operands)) * POINT)
    return page, [np.array(curve) for curve in curves]


def centred(points):
    """About the middle of the circle through its outermost points: tips of the pinion, roots of the ring."""
    points = points[:-1] if abs(points[0] - points[-1]) < 1e-9 else points
    rough = complex(0.5 * (points.real.max() + points.real.min()), 0.5 * (points.imag.max() + points.imag.min()))
    reach = abs(points - rough)
    tips = points[reach > reach.max() - 0.02]
    fit = np.linalg.lstsq(np.c_[2 * tips.real, 2 * tips.imag, np.ones(len(tips))], abs(tips) ** 2, rcond=None)[0]
    return points - complex(*fit[:2])


def span_of(points, teeth):
    """Jaws of a calliper closed over teeth that are symmetric about the right-hand side or half a pitch beside it."""
    count, number = teeth
    turned = points * np.exp(1j * pi * (count % 2 == 0) / number)
    angle = np.angle(turned)
    low, high = min(abs(points)), max(abs(points))
    some = turned[(abs(angle) < pi * count / number) & (abs(points) > low + 0.25 * (high - low))]  # above the fillets
    return some.imag.max() - some.imag.min()


def pin_size(points, pin, number, ring):
    """A disc slid along the middle of a space until it touches both flanks, by bisection on polygons."""
    shape = shapely.Polygon(np.c_[points.real, points.imag])
    way = 1 if ring else np.exp(1j * pi / number)  # a space of the ring lies to the right, a tooth of the pinion too
    inner, outer = min(abs(points)) - pin, max(abs(points)) + pin

    def free(radius):
        centre = shapely.Point((radius * way).real, (radius * way).imag)
        return shape.exterior.distance(centre) > 0.5 * pin and shape.contains(centre) == ring

    low, high = (inner + pin, outer) if ring else (outer, inner)
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if free(middle) else (low, middle)
    return 2 * low * (cos(pi / 2 / number) if number % 2 else 1.0) + (-pin if ring else pin)


def test_every_sheet_is_there(drawn):
    design, folder, paths = drawn
    wanted = {f"{name}.{kind}" for name in SHEETS for kind in ("svg", "pdf")}
    wanted |= {f"{name}.{kind}" for name in ("pinion", "ring") for kind in ("dxf", "stl")}
    assert {path.name for path in paths} == wanted and all(path.stat().st_size > 500 for path in paths)


@pytest.mark.parametrize("name", SHEETS)
def test_paper_bar_words_and_fonts(drawn, name):
    design, folder, _ = drawn
    page, curves = from_pdf(folder / f"{name}.pdf")
    size = float(page.mediabox.width) * POINT, float(page.mediabox.height) * POINT
    assert any(size == pytest.approx(paper, abs=0.01) for paper in workshop.PAPERS.values())
    bars = [c for c in curves if abs(np.ptp(c.real) - 100.0) < 0.01 and np.ptp(c.imag) == pytest.approx(3.0, abs=0.01)]
    assert len(bars) == 1
    bar = from_svg(folder / f"{name}.svg", "bar")
    assert np.ptp(bar.real) == pytest.approx(100.0, abs=0.01)
    root = ElementTree.parse(folder / f"{name}.svg").getroot()
    assert float(root.get("width").removesuffix("pt")) * POINT == pytest.approx(size[0], abs=0.01)
    text = page.extract_text()
    wanted = "For a hand-turned model only" if design.design.machine == "hand_model" else "not released for making"
    assert wanted in " ".join(text.split()) and design.name in text
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    for font in fonts:
        inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        assert "/FontFile2" in inner["/FontDescriptor"].get_object()


@pytest.mark.parametrize("ring", [False, True])
def test_gears_measured_on_paper_and_on_the_cutter(drawn, ring):
    """Pitch, pins and span to 0.01 mm from SVG, PDF and DXF; the written sizes are those that are measured."""
    design, folder, _ = drawn
    name, pair, own = ("ring" if ring else "pinion"), design.pair, design.gear_pair
    number = own.ring_teeth if ring else own.pinion_teeth
    page, curves = from_pdf(folder / f"{name}.pdf")
    longest = max(curves, key=len)
    dxf = ezdxf.readfile(folder / f"{name}.dxf")
    line = next(iter(dxf.modelspace().query("LWPOLYLINE[layer=='outline']")))
    assert dxf.units == ezdxf.units.MM and line.closed
    routes = {"svg": from_svg(folder / f"{name}.svg", "outline"), "pdf": longest,
              "dxf": np.array([complex(x, y) for x, y, *_ in line])}
    text = page.extract_text()
    pin = 1e3 * measure.PINS[ring] * pair.module
    for route, points in routes.items():
        points = points if route == "dxf" else centred(points)
        size = pin_size(points, pin, number, ring)
        assert size == pytest.approx(1e3 * measure.over_pins(pair, ring=ring)[0], abs=0.01), route
        assert f"pins {1e3 * measure.over_pins(pair, ring=ring)[0]:.3f} mm" in " ".join(text.split())
        radius = 0.5 * own.module_mm * number
        outward = abs(points) > radius
        rises = np.flatnonzero(outward & ~np.roll(outward, 1))  # one flank of each tooth at the reference circle
        before, after = points[rises - 1], points[rises]
        share = (radius - abs(before)) / (abs(after) - abs(before))
        angles = np.sort(np.angle(before + share * (after - before)) % (2 * pi))
        assert len(angles) == number
        assert np.ptp(np.diff(angles)) * radius < 0.01
        assert np.diff(angles).mean() * radius == pytest.approx(pi * own.module_mm, abs=0.01)
        if not ring:
            length, count = measure.span(pair)
            assert span_of(points, (count, number)) == pytest.approx(1e3 * length, abs=0.01), route
            assert f"{1e3 * length:.3f}" in text


@pytest.mark.parametrize("ring", [False, True])
def test_solids_are_closed_and_as_large_as_outline_times_face(drawn, ring):
    design, folder, _ = drawn
    name = "ring" if ring else "pinion"
    solid = trimesh.load(folder / f"{name}.stl")
    assert solid.is_watertight and solid.is_winding_consistent and solid.is_volume
    outline = from_svg(folder / f"{name}.svg", "outline")
    area = shapely.Polygon(np.c_[outline.real, outline.imag]).area
    if ring:
        rim = from_svg(folder / "ring.svg", "rim")
        area = shapely.Polygon(np.c_[rim.real, rim.imag]).area - area
    elif design.design.machine == "hand_model":
        bore = from_svg(folder / "pinion.svg", "bore")
        area -= shapely.Polygon(np.c_[bore.real, bore.imag]).area
    assert solid.volume == pytest.approx(area * design.gear_pair.face_width_mm, rel=2e-5)
    assert solid.extents[2] == pytest.approx(design.gear_pair.face_width_mm, abs=1e-4)


def test_offsets_and_marks(drawn):
    """The carrier's hole, the crankpins and the marks stand where the mechanism wants them."""
    design, folder, _ = drawn
    throw = 0.25 * design.cylinders.stroke_mm
    hole, bearing = (from_svg(folder / "carrier.svg", name) for name in ("hole", "bearing_in_block"))
    middle = [0.5 * complex(c.real.max() + c.real.min(), c.imag.max() + c.imag.min()) for c in (hole, bearing)]
    assert middle[0] - middle[1] == pytest.approx(throw, abs=0.01)
    timing = folder / "timing_marks.svg"
    rim = from_svg(timing, "ring_rim")
    origin = 0.5 * complex(rim.real.max() + rim.real.min(), rim.imag.max() + rim.imag.min())
    for k, bank in enumerate(np.radians(design.cylinders.bank_angle_deg), 1):
        pin = from_svg(timing, f"pin_{k}")
        pin = 0.5 * complex(pin.real.max() + pin.real.min(), pin.imag.max() + pin.imag.min()) - origin
        assert pin == pytest.approx(2 * throw * np.cos(bank) * np.exp(1j * bank), abs=0.01)
    marks = [from_svg(timing, f"{gear}_mark")[0] - origin for gear in ("ring", "pinion")]
    assert [abs(mark.imag) for mark in marks] == pytest.approx([0, 0], abs=0.01) and min(m.real for m in marks) > 0


def test_backlash_follows_distance_and_growth():
    """Against the first-order rule 2 tan(angle) per unit of distance, and against the running plays of the core.

    The running plays take the radial gap alone; that the spaces of a warm ring widen too is an eighth more of the gain.
    """
    from vmech_core.plays import as_running

    design = load_design(DATA / "v_twin_generator.toml")
    pair = design.pair
    assert measure.backlash_at(pair) == pytest.approx(pair.backlash, rel=1e-9)
    for step in (1e-7, -1e-7):
        slope = (measure.backlash_at(pair, step) - pair.backlash) / step
        assert slope == pytest.approx(-2 * np.tan(pair.working_angle), rel=1e-3)
    warm, hot = (1e-6 * as_running(design.changed("running_state.ring_C", ring)).gear_pair.backlash_um
                 for ring in (100, 140))
    rise = (hot - warm) / (2 * np.tan(pair.working_angle) * 2 * pair.centre_distance)
    assert 11e-6 < rise / 40 < 12e-6  # of steel
    space = pi * pair.module + 4 * pair.ring_shift * pair.module * np.tan(pair.pressure_angle) + pair.backlash
    wider = rise * space / 2
    more = measure.backlash_at(pair, growth=rise) - pair.backlash
    assert more == pytest.approx(hot - warm + wider, rel=5e-3)  # the rest is of second order
    assert 0.11 < wider / (hot - warm) < 0.13


def test_relief_is_deflection_and_pitch_error():
    """3 kN on 30 mm at 20 N/(mm um) deflects 5 um; rule of Walker (1938): deflection plus error of pitch."""
    relief = measure.tip_relief(3000.0, 0.030, 8e-6)
    assert relief.likely == pytest.approx(13e-6) and relief.low < relief.likely < relief.high


def test_a_part_too_large_for_paper_is_refused_in_a_sentence(tmp_path):
    from vmech_core.base.errors import InputError

    curves = {"outline": (workshop.EDGES, 2000.0 * workshop.CIRCLE)}
    with pytest.raises(InputError, match="larger than a sheet of A0 takes at 1:1"):
        workshop._page(load_design(DATA / "desk_model.toml"), "ring", curves, [])
