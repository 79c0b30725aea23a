"""The sections of a design file: every key with its range, its meaning and the notebooks that use it, one line each.

The unit of a key is the ending of its name. ``section.si`` gives the same values in SI under the name without it.
"""

from functools import cached_property
from typing import ClassVar

import numpy as np
from pydantic import BaseModel, ConfigDict, field_validator

from vmech_core.base.units import to_si
from vmech_core.design.keys import Key, choice, csv_name, number, split_unit, text, whole

CELSIUS_ZERO = 273.15  # K, by definition of the scale
#: Metals whose growth ``plays.heat`` knows, and the notebooks that use the running state.
METALS, RUNS = "aluminium, grey iron, bronze, steel, piston alloy", "05 06 08 09 10 12"


class _Values:
    """Plain attributes that cannot be set again."""

    def __init__(self, values):
        vars(self).update(values)

    def __setattr__(self, name, value):
        raise AttributeError(f"{name} is read-only; `design.changed` makes another design")


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class _Section(_Frozen):
    """One section of a design file; frozen, and strict about types.

    ``rules`` holds every key of the section, in the order of the file, with its range and meaning.

    Attributes
    ----------
    si : object [-]
        The values in SI, each under its key's name without the unit: ``bore_mm`` is ``si.bore`` in m, ``speed_rpm`` is
        ``si.speed`` in rad/s. Lists are read-only arrays; texts, and the word "estimate", stay as they are.
    """

    rules: ClassVar[dict[str, Key]] = {}

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs):
        cls.rules = {name: next(item for item in field.metadata if isinstance(item, Key))
                     for name, field in cls.model_fields.items()}
        lines = [_described(name, key) for name, key in cls.rules.items()]
        cls.__doc__ = "\n".join([cls.__doc__, "\n    Attributes\n    ----------", *lines, "    "])

    @field_validator("*", mode="before")
    @classmethod
    def _check(cls, value, info):
        return cls.rules[info.field_name].check(info.field_name, value)

    def to_dict(self):
        """Give the section as plain data, ready for TOML.

        Returns
        -------
        dict [-]
            Key to value; lists are lists.
        """
        values = {name: getattr(self, name) for name in type(self).model_fields}
        return {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}

    @cached_property
    def si(self):
        return _Values({split_unit(name)[0]: _in_si(name, value) for name, value in self.to_dict().items()})


def _described(name, key):
    """Lines of a docstring."""
    kind = {"number": "float", "whole number": "int"}.get(key.kind, "str")
    kind = {"must": f"(K,) tuple of {kind}", "may": f"{kind}, (K,) tuple"}.get(key.listed, kind)
    also = " or str" if key.words and key.kind == "number" else ""
    return f"    {name} : {kind}{also} [{key.unit(name)}]\n        {key.meaning}"


def _in_si(name, value):
    unit = split_unit(name)[1]
    if isinstance(value, str):
        return value
    value = np.array(value) if isinstance(value, list) else value
    result = value + CELSIUS_ZERO if unit == "°C" else to_si(value, unit)
    if isinstance(result, np.ndarray):
        result.flags.writeable = False
    return result


class _About(_Section):
    """What the design is."""

    name: text(80, "Name of the design, as it stands over every figure.", "all")
    machine: choice("engine, pump, compressor, hand_model", "Kind of machine.", "all")
    status: text(200, "Where the numbers come from, for example \"invented example\".", "all")


class _Cylinders(_Section):
    """The cylinders; all have the same bore and stroke. Lists have one entry for each cylinder."""

    bore_mm: number(5, 500, "Bore of every cylinder.", "00 03 05 11")
    stroke_mm: number(5, 500, "Stroke; it has to fit the gear pair.", "00 01 03 05 11")
    bank_angle_deg: number(
        -360, 360, "Direction of the cylinder line from the main axis outward, anticlockwise.",
        "01 02 05 07", listed="must")
    axial_position_mm: number(
        -2000, 2000, "Place of the cylinder line along the axis, from the middle between the meshes.",
        "05 07 11", listed="must")
    clearance_volume_ratio: number(
        0.001, 2, "Cylinder volume left at outer dead centre, over the swept volume.", "04 20 21 22")


class _Duty(_Section):
    """What the machine has to do."""

    speed_rpm: number(1, 20000, "Speed of the carrier and of the shaft.", "00 03 05 07 09 10")
    cycle_turns: whole(1, 2, "Turns of the carrier in one cycle; 2 for a four-stroke.", "02 04 05")
    firing_turn: whole(
        0, 1, "Whole turns by which each cylinder's cycle is delayed; below cycle_turns.", "02 05 13", listed="must")
    pressure_trace: csv_name(
        "CSV file beside the design file, angle_deg,pressure_bar: angle 0 at firing dead centre, pressure absolute.",
        "00 04 05")
    inlet_pressure_bar: number(0.01, 2000, "Absolute pressure before the inlet.", "04 20 21 22")
    outlet_pressure_bar: number(0.01, 2000, "Absolute pressure behind the outlet.", "04 20 21 22")
    crankcase_pressure_bar: number(0.01, 50, "Absolute pressure behind the pistons.", "04 05")
    life_h: number(1, 200000, "Hours the machine is meant to run.", "08 09")
    pressure_from: choice(
        "own, cycle, trace", "Loads of the machine's own full-load cycle, computed, or of that file; \"own\": of the "
        "cycle where the machine has one, else of the file.", "04 05") = "own"


class _SparkCycle(_Section):
    """Assumptions of the computed four-stroke spark-ignition cycle; the section may be left out."""

    charge_temperature_C: number(-40, 300, "Charge when the inlet closes.", "04") = 80.0
    inlet_closing_volume: number(
        0.3, 1, "Volume above the clearance, over the swept volume, when the inlet closes.", "04") = 0.95
    exhaust_opening_volume: number(0.3, 1, "The same when the exhaust opens.", "04") = 0.88
    burn_start_deg: number(
        -120, 60, "Start of the burn after the dead centre; \"best\" finds the one with the most work.", "04",
        "best") = "best"
    burn_duration_deg: number(0, 120, "From the start to the end of the burn.", "04") = 50.0
    wiebe_a: number(2, 8, "Completeness of the Wiebe burn.", "04") = 5.0
    wiebe_m: number(0, 5, "Form of the Wiebe burn.", "04") = 2.0
    heating_value_MJ_per_kg: number(5, 130, "Lower heating value of the fuel.", "04") = 44.0
    air_fuel_ratio: number(10, 40, "Mass of air to mass of fuel.", "04") = 14.7
    combustion_efficiency: number(0.5, 1, "Share of the fuel's heat that is set free.", "04") = 0.96
    residual_fraction: number(0, 0.4, "Burned gas in the trapped charge.", "04") = 0.06
    wall_temperature_C: number(0, 500, "Mean of head, piston and liner.", "04") = 180.0
    wall_loss: choice("hohenberg, woschni, none", "Correlation of the wall loss.", "04") = "hohenberg"
    wall_loss_factor: number(0.1, 5, "Multiplier of that correlation.", "04") = 1.0
    blowdown_deg: number(5, 150, "Angle in which the pressure falls to that of the exhaust.", "04") = 60.0


class _FluidCycle(_Section):
    """Fluid of a compressor or a pump for its computed cycle; the section may be left out."""

    polytropic_exponent: number(1, 1.67, "Compressor: expansion and compression.", "04 21") = 1.3
    inlet_temperature_C: number(-100, 300, "Gas or liquid before the inlet; water 0 to 100.", "04 21 22") = 20.0
    bulk_modulus_GPa: number(
        0.05, 1000, "Pump: bulk modulus of the liquid; \"water\" takes that of water at every pressure.", "04 22",
        "water") = "water"


class _GearPair(_Section):
    """Pinion and ring gear; two equal pairs, one at each end. Heights and shifts are in modules."""

    module_mm: number(0.3, 20, "Reference module.", "00 01 08")
    pinion_teeth: whole(8, 150, "Teeth of the pinion.", "00 01 08")
    ring_teeth: whole(16, 300, "Teeth of the ring gear; twice those of the pinion.", "00 01 08")
    pressure_angle_deg: number(14.5, 35, "Pressure angle of the basic rack.", "05 08")
    pinion_shift: number(-1, 1.5, "Profile shift of the pinion, positive outward.", "08")
    ring_shift: number(-1, 1.5, "Profile shift of the ring gear, positive outward.", "08")
    pinion_addendum: number(0.3, 1.5, "Tooth height of the pinion outside its shifted circle.", "08")
    ring_addendum: number(0.3, 1.5, "Tooth height of the ring inside its shifted circle.", "08")
    pinion_dedendum: number(0.3, 2, "Tooth depth of the pinion below its shifted circle.", "08")
    ring_dedendum: number(0.3, 2, "Tooth depth of the ring outside its shifted circle.", "08")
    pinion_tool_tip_radius: number(
        0, 0.5, "Tip radius, in modules, of the rack tool that makes the pinion's root.", "08")
    ring_fillet_radius: number(0, 0.5, "Root fillet of the ring gear, in modules.", "08")
    face_width_mm: number(1, 300, "Face width of each mesh.", "05 08 11")
    backlash_um: number(0, 2000, "Play along the working pitch circle, both gears where they belong.", "06 08 12")
    accuracy_grade: whole(1, 12, "Flank grade of ISO 1328; 12 also if coarser.", "06 08 12")
    pinion_material: text(80, "Material of the pinion, a label.", "08")
    ring_material: text(80, "Material of the ring gear, a label.", "08")
    pinion_bending_limit_MPa: number(1, 2000, "Allowable root stress of the pinion, bent one way only.", "00 08")
    ring_bending_limit_MPa: number(1, 2000, "Allowable root stress of the ring gear, bent one way only.", "00 08")
    pinion_youngs_modulus_GPa: number(0.5, 700, "Young's modulus of the pinion.", "06 08")
    ring_youngs_modulus_GPa: number(0.5, 700, "Young's modulus of the ring gear.", "06 08")


class _Crank(_Section):
    """The planet crank and what turns it. Turning parts are the same at both ends."""

    driving_carriers: choice(
        "one, both", "Whether one carrier drives the load, or both do, tied by a layshaft.", "05 06 08")
    tie_stiffness_Nm_per_rad: number(
        0, 1e9, "Torsional stiffness of that layshaft, referred to the carriers; counts only if both drive.", "05 06")
    tie_phase_error_deg: number(-5, 5, "Angle by which the tie sets one carrier ahead of the other.", "05 06")
    mesh_span_mm: number(2, 4000, "Distance between the middles of the two meshes.", "05 06 11")
    pin_diameter_mm: number(1, 400, "Diameter of the crankpins.", "09 10 11")
    pin_length_mm: number(1, 400, "Length of each crankpin.", "09 10 11")
    journal_diameter_mm: number(1, 400, "Diameter of the journals in the carriers.", "09 10 11")
    journal_length_mm: number(1, 400, "Length of each of those journals.", "09 10 11")
    journal_place: choice(
        "beside_pinion, in_pinion", "Journals next to the pinions, or in their bores, in the planes of the meshes.",
        "05 06") = "beside_pinion"
    web_mm: number(
        0, 400, "Least web between crankpins that do not share an axis; 0: not stated, doubted where there is none.",
        "08 11") = 0.0
    counterweight_fraction: number(
        0, 1.5, "Share of the piston rods' crank-borne mass moment that the crank's own mass moment cancels.", "05 07")


class _Carrier(_Section):
    """The two carriers in the block."""

    support: choice(
        "enclosing, stub_shaft", "Bearing around the offset crank journal, or a shaft beside the pinion.", "09 10 11")
    bearing_diameter_mm: number(1, 1000, "Diameter of each bearing in the block.", "09 10 11")
    bearing_length_mm: number(1, 500, "Length of that bearing.", "09 10 11")


class _Bearings(_Section):
    """Kind and play of the bearings; play is on the diameter."""

    crankpin: choice("journal, rolling", "Bearing of the piston rods on the crankpins.", "09 10")
    crank_in_carrier: choice("journal, rolling", "Bearing of the crank in the carriers.", "09 10")
    carrier_in_block: choice("journal, rolling", "Bearing of the carriers in the block.", "09 10")
    crankpin_clearance_um: number(1, 2000, "Play on the crankpins.", "06 09 12")
    crank_clearance_um: number(1, 2000, "Play of the crank in the carriers.", "06 09 12")
    carrier_clearance_um: number(1, 2000, "Play of the carriers in the block.", "06 09 12")


class _Guide(_Section):
    """Guide, piston and piston rod. Play is on the diameter."""

    place: choice("big_end, above_crank", "At the big end, or above the crank's sweep.", "06 09 11")
    length_mm: number(1, 1000, "Length of the guiding surface along the cylinder line.", "06 09 11")
    clearance_um: number(1, 5000, "Play in the guide.", "06 09 12")
    piston_length_mm: number(1, 1000, "Length of the piston in its bore.", "06 09 11")
    piston_clearance_um: number(1, 5000, "Play of the piston in its bore.", "06 09 12")
    rod_length_mm: number(5, 4000, "Middle of the crankpin to the top face of the piston.", "06 11")
    rod_diameter_mm: number(1, 500, "Diameter of the piston rod.", "06 09 11")
    crown_um: number(
        0, 500, "Height by which both ends of the guide fall back from its middle, which makes a wedge of oil.",
        "09") = 5.0


class _Masses(_Section):
    """Masses of the straight-line drive. The word "estimate" asks for an estimate from the dimensions."""

    piston_g: number(0.1, 1e6, "Piston with rings, without its rod.", "05 07", "estimate", "may")
    piston_rod_g: number(0.1, 1e6, "Piston rod with its big end.", "05 07", "estimate", "may")
    crank_g: number(0.1, 1e7, "Crank with both pinions and its counterweights.", "05 07", "estimate")
    carrier_g: number(0.1, 1e7, "One carrier with its counterweight.", "07 13", "estimate")


class _Lubricant(_Section):
    """What wets the rubbing surfaces."""

    grade: choice(
        "dry, water, SAE 10, SAE 20, SAE 30, SAE 40, SAE 50, ISO VG 32, ISO VG 46, ISO VG 68, ISO VG 100, ISO VG 150, "
        "ISO VG 220", "Viscosity grade; \"dry\" for a machine without lubricant.", "09 10")
    temperature_C: number(-40, 200, "Temperature of the lubricant, or of dry parts.", "06 09 10 12")
    supply_pressure_bar: number(0, 50, "Oil before the bearings, above the crankcase.", "09") = 3.0
    crankpin_feed: choice(
        "carriers, crank_end",
        "Oil for the crankpins through the bearings of the carriers and the crank, or on the crank's axis at its ends.",
        "09") = "carriers"
    guide_feed: choice(
        "splash, pressed", "Oil thrown off the crankpins, or pressed into the guides through drillings in the block.",
        "09") = "splash"


class _RunningState(_Section):
    """Temperatures while the machine runs; plays are as made, at 20 C. Left out: all parts run at 20 C."""

    block_C: number(-40, 300, "Crankcase around carriers, ring gears and guides.", RUNS) = 20.0
    ring_C: number(-40, 300, "Both ring gears, of steel.", RUNS) = 20.0
    carrier_C: number(-40, 300, "Both carriers, of steel.", RUNS) = 20.0
    crank_C: number(-40, 300, "Crank with its pinions.", RUNS) = 20.0
    rod_C: number(-40, 300, "Piston rods with their big ends.", RUNS) = 20.0
    guide_C: number(-40, 300, "Guides of the rods.", RUNS) = 20.0
    piston_C: number(-40, 400, "Pistons, mean at the lands.", RUNS) = 20.0
    cylinder_C: number(-40, 300, "Cylinders, mean where the pistons run.", RUNS) = 20.0
    block_material: choice(METALS, "Metal of the crankcase; carriers, crank and rods are steel.", RUNS) = "aluminium"
    guide_material: choice(METALS, "Metal of the guides and seats.", RUNS) = "grey iron"
    piston_material: choice(METALS, "Metal of the pistons.", RUNS) = "piston alloy"
    cylinder_material: choice(METALS, "Metal of the cylinders.", RUNS) = "grey iron"
    plays: choice(
        "as_made, running", "Whether plays and backlash in the file are those of the drawing, at 20 C, or those that "
        "the running machine shall have.", RUNS) = "as_made"


class _Surfaces(_Section):
    """Mean roughness Ra of the rubbing surfaces; the section may be left out. Typical values: data/roughness.csv."""

    journal_ra_um: number(0.01, 10, "Ra of journals and crankpins.", "09 10") = 0.2
    shell_ra_um: number(0.01, 10, "Ra of bearing shells, after running in.", "09 10") = 0.4
    rod_ra_um: number(0.01, 10, "Ra of the piston rods.", "09 10") = 0.2
    guide_ra_um: number(0.01, 10, "Ra of the guides.", "09 10") = 0.4
    piston_ra_um: number(0.01, 10, "Ra of pistons and skirts.", "09 10") = 0.8
    bore_ra_um: number(0.01, 10, "Ra of the cylinder bores.", "09 10") = 0.5


class _OrdinaryCrank(_Section):
    """The ordinary crank drive that the design is compared with; bore, stroke, banks and duty are the same."""

    rod_ratio: number(1.5, 50, "Rod length between centres over crank radius.", "00 03 05 10")
    wrist_pin_offset_mm: number(
        -100, 100, "Lateral place of the cylinder line, positive anticlockwise of the axis.", "03 05 10")
    crankpin_layout: choice(
        "common, split, opposed",
        "All rods on one pin; one pin each, turned for even firing; or neighbours half a turn apart.", "02 05 07")
    piston_g: number(0.1, 1e6, "Trunk piston with rings and wrist pin.", "05 07", "estimate")
    rod_g: number(0.1, 1e6, "Connecting rod.", "05 07", "estimate")
    rod_cg_fraction: number(0, 1, "Big end to centre of gravity, over its length.", "05 07")
    rod_gyration_fraction: number(
        0.01, 1, "Radius of gyration of the rod about its centre of gravity, over its length.", "05 07")
    rotating_balance_fraction: number(
        0, 1.5, "Share of the rods' rotating mass that the crank's counterweights cancel.", "05 07")
    reciprocating_balance_fraction: number(0, 1, "Share of the reciprocating mass that they cancel besides.", "05 07")


class Sections(_Frozen):
    """All sections of a design file, in the order of the file.

    Attributes
    ----------
    design : Section [-]
        Name, kind of machine, status of the numbers.
    cylinders : Section [-]
        Bore, stroke, bank angles.
    duty : Section [-]
        Speed, cycle, pressures, life.
    gear_pair : Section [-]
        Pinion and ring gear.
    crank : Section [-]
        Planet crank and what turns it.
    carrier : Section [-]
        The two carriers in the block.
    bearings : Section [-]
        Kind and play of the bearings.
    guide : Section [-]
        Guide, piston and piston rod.
    masses : Section [-]
        Masses, or "estimate".
    lubricant : Section [-]
        What wets the rubbing surfaces.
    ordinary_crank : Section [-]
        The ordinary drive to compare with.
    spark_cycle : Section [-]
        Assumptions of the computed engine cycle.
    fluid_cycle : Section [-]
        Fluid of a compressor or a pump.
    surfaces : Section [-]
        Roughness of the rubbing surfaces.
    running_state : Section [-]
        Temperatures of the parts while the machine runs.
    """

    design: _About
    cylinders: _Cylinders
    duty: _Duty
    gear_pair: _GearPair
    crank: _Crank
    carrier: _Carrier
    bearings: _Bearings
    guide: _Guide
    masses: _Masses
    lubricant: _Lubricant
    ordinary_crank: _OrdinaryCrank
    spark_cycle: _SparkCycle = _SparkCycle()
    fluid_cycle: _FluidCycle = _FluidCycle()
    surfaces: _Surfaces = _Surfaces()
    running_state: _RunningState = _RunningState()
