"""Mesh stiffness from the geometry of a pair: the published orders, its scaling, and the range that the course uses."""

from dataclasses import replace
from pathlib import Path

import pytest

from vmech_core import load_design
from vmech_core.gears import geometry, stiffness
from vmech_core.machine import ends as axial

DATA = Path(__file__).resolve().parents[2] / "data"
PAIRS = {name: load_design(DATA / f"{name}.toml").pair for name in ("v_twin_generator", "star_pump", "air_compressor")}


@pytest.mark.parametrize("name", PAIRS)
def test_geometry_stays_inside_the_range_of_the_course(name):
    """ISO 6336-1 (from memory): about 20 N/(mm um) for the mesh; the course uses 10 to 25."""
    low, _, high = axial.STEEL_MESH
    assert low < stiffness.mesh_stiffness_per_width(PAIRS[name]) < high


def test_single_stiffness_is_about_fourteen():
    """ISO 6336-1 (from memory): c' about 14 N/(mm um) for one pair of steel teeth; 15 % for 23 teeth."""
    pair = PAIRS["v_twin_generator"]
    contact = 0.75 * float(geometry.contact_ratio(pair)) + 0.25
    assert stiffness.mesh_stiffness_per_width(pair) / contact == pytest.approx(14e9, rel=0.15)


def test_softer_metal_and_fewer_teeth_are_softer():
    pair = PAIRS["v_twin_generator"]
    steel = stiffness.mesh_stiffness_per_width(pair)
    assert stiffness.mesh_stiffness_per_width(pair, 103e9, 103e9) == pytest.approx(0.5 * steel)
    assert stiffness.mesh_stiffness_per_width(replace(pair, pinion_dedendum=1.4)) < steel
