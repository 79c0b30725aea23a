"""Parts: counts against the contacts that the mechanisms declare, masses against closed forms, totals by hand."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, load_design, size
from vmech_core.base import row
from vmech_core.case import Case
from vmech_core.machine import hypocycloid, slider_crank

DATA = Path(__file__).resolve().parents[2] / "data"
NAMES = ("v_twin_generator", "star_pump", "air_compressor", "first_sketch")


def lists(name, **keys):
    case = Case(load_design(DATA / f"{name}.toml"), 181)
    return case, {machine: size.part_list(case, machine, **keys) for machine in ("straight", "ordinary", "crosshead")}


@pytest.mark.parametrize("name", NAMES)
def test_bearings_gears_and_sliders_are_those_of_the_contacts(name):
    """Every journal that a mechanism declares is a bearing here, every mesh two gears; a stub shaft has two of them."""
    case, found = lists(name)
    diameters = dict.fromkeys(("crankpin", "crank_in_carrier", "carrier_in_block", "wrist_pin", "main_bearing"), 0.03)
    straight = {c.part: c.count for c in hypocycloid.contacts(case.drive, diameters)}
    ordinary = {c.part: c.count for c in slider_crank.contacts(case.ordinary, diameters)}
    counted = {machine: {one.name: one.count for one in listed} for machine, listed in found.items()}
    stub, tied = case.design.carrier.support == "stub_shaft", case.design.crank.driving_carriers == "both"
    own, other = counted["straight"], counted["ordinary"]
    assert own["crankpin bearing"] == straight["crankpin"] and own["guide"] == straight["guide"]
    assert own["crank bearing in carrier"] == straight["crank_in_carrier"]
    assert own["carrier bearing in block"] == straight["carrier_in_block"] * (1 + stub)
    assert own["pinion"] == own["ring gear"] == straight["mesh"]
    totals = {machine: size.totals(listed) for machine, listed in found.items()}
    journals = straight["crankpin"] + straight["crank_in_carrier"] + straight["carrier_in_block"] * (1 + stub)
    assert totals["straight"].rolling + totals["straight"].plain == journals + 2 * tied
    assert totals["straight"].gears == 2 * straight["mesh"] + 4 * tied
    assert (other["crankpin bearing"], other["wrist-pin bearing"], other["main bearing"]) == (
        ordinary["crankpin"], ordinary["wrist_pin"], ordinary["main_bearing"])
    assert totals["ordinary"].gears == totals["crosshead"].gears == 0
    assert counted["crosshead"]["crosshead"] == counted["crosshead"]["piston rod"] == len(case.drive.bank_angle)


def test_totals_of_the_engine_by_hand():
    """Counted from a sketch: pistons, rods, guides, ... of two cylinders; a crank of two pins, two journals."""
    _, found = lists("v_twin_generator")
    straight, ordinary = size.totals(found["straight"]), size.totals(found["ordinary"])
    # case 1; barrels, heads, valve gears, ring sets, pistons, rods, guides, pin bearings 2 each; crank 1; pinions,
    # rings, carriers, crank bearings, carrier bearings 2 each; weights of carriers and crank 2 each; layshaft 1 with 2
    # gears, 2 wheels, 2 bearings
    assert straight.parts == 1 + 8 * 2 + 1 + 5 * 2 + 4 + 1 + 6
    assert ordinary.parts == 1 + 4 * 2 + 2 + 2 + 4 + 3 * 2 + 1 + 2
    assert (straight.gears, ordinary.gears) == (8, 0)


def test_masses_are_volumes_times_density():
    """Ring gear: annulus from the middle of the teeth to the rim, closed form; given masses stay as given."""
    case, found = lists("v_twin_generator")
    by_name = {one.name: one for one in found["straight"]}
    outer, middle = 0.0025 * (16 + 0.3 + 1.25 + 3.5), 0.0025 * (16 + 0.3 + 0.5 * (1.25 - 0.8))
    annulus = np.pi * (outer**2 - middle**2) * 0.030 * 7850.0
    assert by_name["ring gear"].mass.likely == pytest.approx(annulus, rel=1e-9)
    assert by_name["planet crank with its pins"].mass is case.mass["crank"]
    crank = {one.name: one for one in found["ordinary"]}["crankshaft with counterweights"].mass
    # pins 2 x 36 x 20, journals 2 x 34 x 24, webs 2 x (40 + 50.4) x 50.4 x 14 mm; counterweights
    solid = np.pi / 4 * (2 * 36**2 * 20 + 2 * 34**2 * 24 + 2 * 90.4 * 50.4 * 14) * 1e-9 * 7850.0
    assert crank.likely == pytest.approx(solid + 7850.0 * size.outline(case, "ordinary").weights[0], rel=1e-9)
    # head: 1.5 x 58 mm round, 58 mm high, half of it; bush 0.06 thick on a pin 36 x 20, shares of the file's head
    head = np.pi / 4 * 87**2 * 58 * 0.5 * 1e-9 * float(row("materials", "material", "aluminium")["density_kg_m3"])
    assert by_name["cylinder head"].mass.likely == pytest.approx(head, rel=1e-9)
    bush = np.pi * (36 + 2.16) * 2.16 * 20 * 0.85 * 1e-9 * 7850.0
    assert by_name["crankpin bearing"].mass.likely == pytest.approx(bush, rel=1e-9)
    wall, free, long = 5.52, 1e3 * size.outline(case).case, 2e3 * sum(size.outline(case).axis.values())
    shell = np.pi * (2 * free + wall + 1e3 * size.outline(case).layshaft[1]) * long + 2 * np.pi * free**2
    assert by_name["crankcase"].mass.likely == pytest.approx(shell * wall * 1.8e-9 * 7200.0, rel=1e-9)
    assert [by_name[name].grounds for name in ("planet crank with its pins", "piston rod", "pinion")] == [4, 4, 4]
    for listed in found.values():
        assert all(one.mass.low <= one.mass.likely <= one.mass.high for one in listed if one.mass)


def test_aluminium_in_place_of_iron_changes_the_castings_alone():
    _, iron = lists("v_twin_generator")
    _, light = lists("v_twin_generator", block="aluminium")
    for one, other in zip(iron["ordinary"], light["ordinary"], strict=True):
        ratio = other.mass.likely / one.mass.likely if one.mass else 1.0
        assert ratio == pytest.approx(2690.0 / 7200.0 if one.name in ("crankcase", "cylinder barrel") else 1.0)


def test_a_model_of_plywood_weighs_grams():
    case = Case(load_design(DATA / "desk_model.toml"), 181)
    assert size.totals(size.part_list(case)).mass.high < 1.0
    assert {one.material for one in size.part_list(case)} == {"birch plywood", "plain bearing"}


def test_the_sheet_has_both_machines_and_a_list_of_masses_is_used():
    """A pump is compared with a crosshead; masses by cylinder count with their mean."""
    design = load_design(DATA / "star_pump.toml")
    found = assess(design, 181).stage("outline")
    assert "crosshead" in found["ordinary_deck"].label and found["ordinary_deck"].value > found["deck"].value
    assert found["parts"].value == size.totals(size.part_list(Case(design, 181))).parts
    listed = Case(design.changed("masses.piston_g", [10, 20, 30]), 181)
    piston = {one.name: one for one in size.part_list(listed)}["piston without skirt"]
    assert piston.mass.likely == pytest.approx(0.02)
