"""Root stress and mesh stiffness against a plane elastic model of the true outlines (tests/plane_elastic.py).

Recorded by ``python tests/plane_elastic.py``, elements of 0.12, 0.06, 0.03 and 0.015 module at the fillets; root
stress times face width and module over tangential force, load at the outer point of single-pair contact:

    23/46, 20 deg   pinion 2.654 2.617 2.613 2.607   ring 2.253 2.428 2.415 2.448
    18/36, 25 deg   pinion 2.729 2.689 2.678 2.679   ring 2.156 2.277 2.327 2.318

Stiffness of one pair of teeth at 300 N/mm: at most 21.2 and 23.2 N/(mm um), 13.5 to 15.8 at the ends of contact; five
teeth in place of three make it 7 % softer. Smooth clamped bodies are an upper bound.
"""

import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
pytest.importorskip("skfem", reason="scikit-fem comes with tests/requirements.txt")
import plane_elastic

from vmech_core.gears import mesh
from vmech_core.gears.geometry import contact_ratio

RECORDED = {("23/46, 20 deg", False): 2.607, ("23/46, 20 deg", True): 2.448,
            ("18/36, 25 deg", False): 2.679, ("18/36, 25 deg", True): 2.318}


@lru_cache
def stress(name, ring, fine):
    pair = plane_elastic.PAIRS[name]
    tooth = plane_elastic.Tooth(pair, ring, plane_elastic.outer_point(pair, ring), fine)
    return tooth.root_stress() / np.cos(pair.pressure_angle), tooth


@pytest.mark.parametrize(("name", "ring"), RECORDED)
def test_root_stress_settles_as_the_elements_shrink(name, ring):
    (coarse, body), (fine, _) = (stress(name, ring, size) for size in (0.06, 0.02))
    assert coarse == pytest.approx(fine, rel=0.03)
    assert fine == pytest.approx(RECORDED[name, ring], rel=0.02)
    corners = body.mesh.p[:, body.mesh.t]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 0.5 * abs(first[0] * second[1] - first[1] * second[0]).sum()
    assert area == pytest.approx(body.area, rel=2e-3)  # the triangles fill the outline
    assert abs(body.worst_at.imag) > 0.5 and body.worst_at.imag * body.place.imag > 0  # in the fillet below the load


@pytest.mark.parametrize(("name", "ring", "least", "most"), [
    ("23/46, 20 deg", False, 0.93, 1.03), ("23/46, 20 deg", True, 0.78, 0.90),
    ("18/36, 25 deg", False, 0.85, 0.96), ("18/36, 25 deg", True, 0.70, 0.80)])
def test_ratio_to_the_form_of_the_standard(name, ring, least, most):
    """Elastic stress over Y_F Y_S of ISO 6336-3: 0.99 and 0.91 for the pinions, 0.84 and 0.75 for the rings.

    The standard's form lies on the safe side, most of all for a ring with a small fillet, whose notch parameter is
    beyond the range that its stress correction was made for.
    """
    factors = pytest.importorskip("vmech_core.gears.factors")
    root = factors.root(plane_elastic.PAIRS[name])
    standard = (root.Y_F * root.Y_S)[int(ring)]
    assert least < stress(name, ring, 0.02)[0] / standard < most


@pytest.mark.parametrize(("name", "most"), [("23/46, 20 deg", 21.2e9), ("18/36, 25 deg", 23.2e9)])
def test_mesh_stiffness_beside_the_one_in_use(name, most):
    """The mean over the mesh is 30 to 32 N/(mm um) for three teeth of clamped, smooth bodies.

    The range in use, 10 to 25 with 20 as its likely value, and the rule from the pair's geometry, 21 to 22, carry the
    standard's measured factor 0.8 (from memory); with it the elastic model gives 24 to 26. So the likely value in use
    is low by a fifth for an even contact, and uneven contact goes the other way.
    """
    pair = plane_elastic.PAIRS[name]
    places = np.linspace(pair.contact_start, pair.contact_end, 5)
    single = np.array([plane_elastic.pair_stiffness(pair, at) for at in places])
    assert single.max() == pytest.approx(most, rel=0.02)
    mean = contact_ratio(pair) * (np.array([1, 4, 2, 4, 1]) / 12 @ single)
    assert 28e9 < mean < 34e9
    assert 0.6 < mesh.iso_mesh_stiffness(pair) / mean < 0.75
    assert mesh.STEEL_MESH[1] < 0.8 * mean < 1.1 * mesh.STEEL_MESH[2]
    softer = plane_elastic.pair_stiffness(pair, places[2], teeth=5) / plane_elastic.pair_stiffness(pair, places[2])
    assert 0.88 < softer < 0.97
