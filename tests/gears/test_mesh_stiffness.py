"""Mesh stiffness from the geometry of a pair: the published orders, its scaling, and the range that the course uses."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vmech_core import load_design
from vmech_core.base.results import Estimate
from vmech_core.gears import geometry, mesh

DATA = Path(__file__).resolve().parents[2] / "data"
PAIRS = {name: load_design(DATA / f"{name}.toml").pair for name in ("first_sketch", "star_pump", "air_compressor")}


@pytest.mark.parametrize("name", PAIRS)
def test_geometry_stays_inside_the_range_of_the_course(name):
    """ISO 6336-1 (from memory): about 20 N/(mm um) for the mesh; the course uses 10 to 25."""
    low, _, high = mesh.STEEL_MESH
    assert low < mesh.iso_mesh_stiffness(PAIRS[name]) < high


@pytest.mark.parametrize("name", PAIRS)
def test_the_iso_value_lies_in_the_estimate_that_everything_uses(name):
    """The same pair by both rules, in bronze on steel too; along the line of action and, by cosine squared, across."""
    width = 0.03
    for moduli in ((206e9, 206e9), (206e9, 110e9)):
        found, iso = mesh.mesh_stiffness(width, *moduli), width * mesh.iso_mesh_stiffness(PAIRS[name], *moduli)
        assert found.low < iso < found.high
        assert iso == pytest.approx(found.likely, rel=0.25)
        angle = float(PAIRS[name].working_angle)
        assert mesh.mesh_stiffness(width, *moduli, angle).likely == pytest.approx(found.likely * np.cos(angle) ** 2)


def test_many_pairs_at_once():
    """Arrays give what single pairs give, contact ratios above 2 included."""
    teeth = np.array([18, 23, 40])
    many = mesh.iso_mesh_stiffness(geometry.InternalPair(0.002, teeth, 2 * teeth, pinion_addendum=1.1))
    each = [geometry.InternalPair(0.002, int(z), 2 * int(z), pinion_addendum=1.1) for z in teeth]
    assert many == pytest.approx([mesh.iso_mesh_stiffness(pair) for pair in each], rel=1e-12)


def test_single_stiffness_is_about_fourteen():
    """ISO 6336-1 (from memory): c' about 14 N/(mm um) for one pair of steel teeth; 15 % for 23 teeth."""
    pair = PAIRS["first_sketch"]
    contact = 0.75 * float(geometry.contact_ratio(pair)) + 0.25
    assert mesh.iso_mesh_stiffness(pair) / contact == pytest.approx(14e9, rel=0.15)


def test_softer_metal_and_fewer_teeth_are_softer():
    pair = PAIRS["first_sketch"]
    steel = mesh.iso_mesh_stiffness(pair)
    assert mesh.iso_mesh_stiffness(pair, 103e9, 103e9) == pytest.approx(0.5 * steel)
    assert mesh.iso_mesh_stiffness(replace(pair, pinion_dedendum=1.4)) < steel


def test_mesh_stiffness_of_steel_is_the_published_order():
    """ISO 6336-1: mean mesh stiffness about 20 N/(mm um), single stiffness about 14, for steel (values from memory)."""
    steel = mesh.mesh_stiffness(0.001, 206e9, 206e9)
    assert isinstance(steel, Estimate) and steel.unit == "N/m" and steel.estimated
    np.testing.assert_allclose(steel.likely, 20e6)  # 20 N/um for one millimetre
    assert steel.low < 14e6 < steel.likely < steel.high
    np.testing.assert_allclose(mesh.mesh_stiffness(0.001, 103e9, 103e9).likely, 10e6)
    np.testing.assert_allclose(mesh.mesh_stiffness(0.001, 206e9, 1e30).likely, 40e6)  # one gear rigid: half the give


def test_tangential_stiffness_stores_the_same_energy():
    """F_t along the pitch line, F_t / cos(alpha) along the line of action: equal work, k_t = k cos(alpha)^2."""
    angle, force = 0.4, 1e3
    along, sideways = (mesh.mesh_stiffness(0.02, 206e9, 206e9, a).likely for a in (0.0, angle))
    np.testing.assert_allclose(force**2 / sideways, (force / np.cos(angle)) ** 2 / along)
