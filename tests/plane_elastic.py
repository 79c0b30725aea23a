"""Teeth as plane elastic bodies, by a general finite-element library: an outside model of root stress and stiffness.

``python tests/plane_elastic.py`` prints the recorded study: root stress of pinion and ring at the outer point of
single-pair contact, stiffness of a tooth pair along the path of contact, each with finer and finer elements.

Three teeth with a rim of three modules, of plane strain; held at the cut sides and at the far edge of the rim. The load
is a half-ellipse of pressure as wide as a Hertzian contact. Points are laid by a size that grows with the distance from
the loaded fillets and the load, and joined by Delaunay triangles; elements have curved-free sides and quadratic shape
functions.
"""

import sys

import numpy as np
import skfem
from scipy.spatial import Delaunay, cKDTree
from skfem.helpers import sym_grad
from skfem.models.elasticity import lame_parameters, linear_elasticity

from vmech_core.gears.geometry import InternalPair
from vmech_core.gears.outline import pinion_outline, ring_outline

STEEL, POISSON, LINE_LOAD = 206e9, 0.3, 300e3  # N/m


def body(pair, ring, rim=3.0, teeth=3):
    """Closed polygon of three teeth and their rim, the middle one on the real axis, in modules; and where it is held.

    A tooth of the ring points toward the axis.
    """
    number = pair.ring_teeth if ring else pair.pinion_teeth
    points = (ring_outline if ring else pinion_outline)(pair, 80) / pair.module
    points = points * np.exp(1j * np.pi / number) if ring else points
    half = teeth * np.pi / number
    angles = np.angle(points)
    edge = points[np.argsort(angles, kind="stable")]
    edge = edge[abs(np.angle(edge)) < half - 1e-9]
    root = (pair.ring_root_radius if ring else pair.pinion_root_radius) / pair.module
    far = root + rim if ring else root - rim
    ends = root * np.exp(1j * half * np.array([-1, 1]))
    return np.r_[ends[0], edge, ends[1]], far, half


def load_place(pair, at, ring):
    """Point of the flank at a distance along the line of action, and the unit normal into the tooth, in modules."""
    base = (pair.ring_base_radius if ring else pair.pinion_base_radius) / pair.module
    roll = (at + pair.base_gap * ring) / pair.module
    half = np.pi / pair.ring_teeth - pair.ring_half_angle if ring else pair.pinion_half_angle
    sign = -1 if ring else 1
    place = np.hypot(base, roll) * np.exp(1j * (half - sign * (roll / base - np.arctan(roll / base))))
    foot = base * np.exp(1j * (half - sign * roll / base))  # where the normal touches the base circle
    along = (place - foot) / abs(place - foot)
    return place, -along if not ring else along


def grid(edge, far, half, place, fine, coarse=0.35, growth=0.22, contact=0.01):
    """Nodes and triangles: spacing ``fine`` at the fillets of the middle tooth, ``contact`` at the load."""
    inward = np.sign(far - abs(edge[0]))
    roots = edge[(abs(np.angle(edge)) < half * 0.6)]
    depth = inward * (abs(roots) - abs(edge[0]))
    fillet = roots[depth > -0.75]
    tree = cKDTree(np.c_[fillet.real, fillet.imag])

    def size(z):
        near = tree.query(np.c_[z.real, z.imag])[0]
        return np.minimum(np.minimum(fine + growth * near, contact + growth * abs(z - place)), coarse)

    far_arc = far * np.exp(1j * np.linspace(half, -half, 200))
    loop = np.r_[edge, far_arc]
    loop = np.r_[loop, loop[0]]
    border = _spaced(loop, size)
    rng = np.random.default_rng(3)
    pieces = [border]
    box = loop.real.min(), loop.real.max(), loop.imag.min(), loop.imag.max()
    spacing = coarse
    levels = [spacing]
    while levels[-1] > min(contact, fine):
        levels.append(levels[-1] / 1.5)
    for level in levels:  # hexagonal layers, each kept where the wanted size is about its own
        z = _hexagons(box, level, place, growth, fillet)
        wanted = size(z)
        z = z[(wanted <= level * 1.225) & (wanted > level / 1.225)]
        pieces.append(z + 0.02 * level * (rng.random(len(z)) - 0.5))
    inner = np.concatenate(pieces[1:])
    inner = inner[_inside(inner, loop)]
    tree_border = cKDTree(np.c_[border.real, border.imag])
    inner = inner[tree_border.query(np.c_[inner.real, inner.imag])[0] > 0.6 * size(inner)]
    inner = _thinned(inner, 0.72 * size(inner))
    nodes = np.r_[border, inner]
    for _ in range(4):  # even out: each inner node to the mean of its neighbours
        cells = _cells(nodes, loop)
        total, count = np.zeros(len(nodes), complex), np.zeros(len(nodes))
        for a, b in ((0, 1), (1, 2), (2, 0), (1, 0), (2, 1), (0, 2)):
            np.add.at(total, cells[:, a], nodes[cells[:, b]])
            np.add.at(count, cells[:, a], 1)
        moved = total / np.maximum(count, 1)
        nodes[len(border):] = moved[len(border):]
    return nodes, _cells(nodes, loop), border


def _hexagons(box, level, place, growth, fillet):
    """Points of a hexagonal layer; fine layers only where they can be wanted."""
    reach = np.inf if level > 0.12 else 1.3 * (level * 1.3) / growth
    centres = [place, *fillet[:: max(1, len(fillet) // 24)]] if np.isfinite(reach) else [None]
    found = []
    for centre in centres:
        low_x, high_x, low_y, high_y = box if centre is None else (
            centre.real - reach - 0.1, centre.real + reach + 0.1, centre.imag - reach - 0.1, centre.imag + reach + 0.1)
        i = np.arange(np.floor(low_y / (level * 0.866)), np.ceil(high_y / (level * 0.866)) + 1)
        j = np.arange(np.floor(low_x / level), np.ceil(high_x / level) + 1)
        found.append(((j[None, :] + 0.5 * (i[:, None] % 2)) * level + 1j * i[:, None] * level * 0.866).ravel())
    return np.unique(np.round(np.concatenate(found), 9))


def _spaced(loop, size):
    """Points along a closed loop, about as far apart as the wanted size."""
    length = np.r_[0.0, np.cumsum(abs(np.diff(loop)))]
    s = np.linspace(0, length[-1], 60001)
    z = np.interp(s, length, loop.real) + 1j * np.interp(s, length, loop.imag)
    steps = np.r_[0.0, np.cumsum(np.diff(s) / size(0.5 * (z[1:] + z[:-1])))]
    count = int(np.ceil(steps[-1]))
    at = np.interp(np.linspace(0, steps[-1], count, endpoint=False), steps, s)
    corners = length[:-1][np.r_[True, abs(np.angle(np.diff(loop)[1:] / np.diff(loop)[:-1])) > 0.5]]
    for corner in corners:  # a sharp corner keeps its node
        at[np.argmin(abs(at - corner))] = corner
    return np.interp(at, length, loop.real) + 1j * np.interp(at, length, loop.imag)


def _inside(z, loop):
    import shapely

    return shapely.contains_xy(shapely.Polygon(np.c_[loop.real, loop.imag]), z.real, z.imag)


def _thinned(z, least):
    """Leave out points that lie too near to one that is kept."""
    order = np.argsort(least)
    z, least = z[order], least[order]
    tree, keep = cKDTree(np.c_[z.real, z.imag]), np.ones(len(z), bool)
    for k in range(len(z)):
        if keep[k]:
            for other in tree.query_ball_point([z[k].real, z[k].imag], least[k]):
                if other > k:
                    keep[other] = False
    return z[keep]


def _cells(nodes, loop):
    cells = Delaunay(np.c_[nodes.real, nodes.imag]).simplices
    middle = nodes[cells].mean(axis=1)
    a, b, c = nodes[cells].T
    area = abs(((b - a) * np.conj(c - a)).imag)
    return cells[_inside(middle, loop) & (area > 1e-12)]


class Tooth:
    """One gear's three teeth under a line load on the middle one."""

    def __init__(self, pair, ring, at, fine=0.04, rim=3.0, teeth=3):
        self.pair, self.ring = pair, ring
        self.edge, self.far, self.half = body(pair, ring, rim, teeth)
        self.place, self.normal = load_place(pair, at, ring)
        nodes, cells, _ = grid(self.edge, self.far, self.half, self.place, fine, contact=min(0.01, fine / 3))
        self.mesh = skfem.MeshTri(np.array([nodes.real, nodes.imag]), cells.T.copy())
        self.area = abs(self._polygon_area())
        self.basis = skfem.Basis(self.mesh, skfem.ElementVector(skfem.ElementTriP2()))
        self.solution = self._solve()

    def _polygon_area(self):
        loop = np.r_[self.edge, self.far * np.exp(1j * np.linspace(self.half, -self.half, 200))]
        return 0.5 * np.sum((np.conj(loop) * np.roll(loop, -1)).imag)

    def _solve(self):
        modulus = 1.0  # of the elastic body; stresses do not depend on it
        stiff = linear_elasticity(*lame_parameters(modulus, POISSON)).assemble(self.basis)
        wide = self.width()
        line = skfem.FacetBasis(self.mesh, self.basis.elem, facets=self.mesh.boundary_facets(), intorder=6)

        def press(x):
            return np.sqrt(np.maximum(1 - abs(x[0] + 1j * x[1] - self.place) ** 2 / wide**2, 0)) * (
                abs(x[0] + 1j * x[1] - self.place) < wide)

        @skfem.LinearForm
        def load(v, w):
            return press(w.x) * (self.normal.real * v[0] + self.normal.imag * v[1])

        @skfem.Functional
        def total(w):
            return press(w.x)

        force = load.assemble(line) / total.assemble(line)
        held = self.basis.get_dofs(lambda x: (abs(np.hypot(x[0], x[1]) - self.far) < 2e-3) | (
            abs(abs(np.arctan2(x[1], x[0])) - self.half) < 2e-4))
        u = skfem.solve(*skfem.condense(stiff, force, D=held))
        self.compliance = float(force @ u)  # mean displacement under the pressure, for force 1 and modulus 1
        return u

    def width(self):
        """Half width of the Hertzian contact in modules, at the line load, of two steel gears."""
        return contact_half_width(self.pair, self.at_path())

    def at_path(self):
        base = (self.pair.ring_base_radius if self.ring else self.pair.pinion_base_radius) / self.pair.module
        roll = np.sqrt(abs(self.place) ** 2 - base**2) * self.pair.module
        return roll - self.pair.base_gap * self.ring

    def root_stress(self):
        """Greatest tensile stress along the fillet on the side of the load, times module over line load."""
        scalar = self.basis.with_element(skfem.ElementTriP2())
        field = self.basis.interpolate(self.solution)
        strain, (lam, mu) = sym_grad(field), lame_parameters(1.0, POISSON)
        trace = strain[0, 0] + strain[1, 1]
        sxx, syy, sxy = (scalar.project(value) for value in (
            lam * trace + 2 * mu * strain[0, 0], lam * trace + 2 * mu * strain[1, 1], 2 * mu * strain[0, 1]))
        first = 0.5 * (sxx + syy) + np.hypot(0.5 * (sxx - syy), sxy)
        x = scalar.doflocs
        z = x[0] + 1j * x[1]
        border = np.zeros(len(z), bool)
        border[scalar.get_dofs(self.mesh.boundary_facets()).all()] = True
        side = np.sign(self.place.imag)
        root = abs(self.edge[0])
        zone = border & (side * z.imag > 0) & (abs(np.angle(z)) < self.half * 0.42) & (abs(abs(z) - root) < 0.9)
        self.worst_at = z[zone][np.argmax(first[zone])]
        return float(first[zone].max())


def contact_half_width(pair, at):
    """Half width of a Hertzian contact at a point of the path, in modules: sqrt(8 w R (1 - nu2) / (pi E))."""
    first, second = at, at + pair.base_gap
    radius = first * second / (second - first)
    return np.sqrt(8 * LINE_LOAD * radius * (1 - POISSON**2) / (np.pi * STEEL)) / pair.module


def outer_point(pair, ring):
    """Outer point of single-pair contact: one base pitch from the mate's tip contact."""
    pitch = np.pi * pair.module * np.cos(pair.pressure_angle)
    return pair.contact_end - pitch if ring else pair.contact_start + pitch


def pair_stiffness(pair, at, fine=0.06, teeth=3):
    """Stiffness of one pair of teeth at a point of the path, along the line of action, per face width [N/m2]."""
    flexible = sum(Tooth(pair, ring, at, fine, teeth=teeth).compliance for ring in (False, True)) / STEEL
    wide = contact_half_width(pair, at) * pair.module
    radius = at * (at + pair.base_gap) / pair.base_gap
    return LINE_LOAD / (LINE_LOAD * flexible + wide**2 / (8 * radius))


PAIRS = {"23/46, 20 deg": InternalPair(0.0015, 23, 46, ring_addendum=0.8),
         "18/36, 25 deg": InternalPair(0.002, 18, 36, np.radians(25), ring_addendum=0.8, ring_fillet_radius=0.2)}


def study(fines=(0.12, 0.06, 0.03, 0.015)):
    """Print the recorded study."""
    for name, pair in PAIRS.items():
        for ring in (False, True):
            at, cosine = outer_point(pair, ring), np.cos(pair.pressure_angle)
            found = [Tooth(pair, ring, at, fine) for fine in fines]
            values = [tooth.root_stress() / cosine for tooth in found]
            print(f"{name} {'ring' if ring else 'pinion'}: root stress b m / F_t",
                  ", ".join(f"{v:.3f} ({t.mesh.nelements})" for v, t in zip(values, found, strict=True)))
        ends = np.linspace(pair.contact_start, pair.contact_end, 9)
        single = [pair_stiffness(pair, at) / 1e9 for at in ends]
        print(f"{name}: stiffness of a pair of teeth along the path", np.round(single, 2), "N/(mm um)")


if __name__ == "__main__":
    sys.exit(study())
