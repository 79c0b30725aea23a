"""Mutated design files and traces, and random valid designs: what cannot be used is refused in a sentence, and quickly.

    python tests/fuzz.py --files 10000 --designs 500 --seed 1
    python tests/fuzz.py --quick

Prints counts by kind, the slowest cases, and the seed of every case that failed; ``--case KIND SEED`` repeats one. It
ends with 1 if any failed. A file or trace either loads or is refused by an ``InputError`` within 2 s of processor time;
a design runs through every stage within 5 s, every number finite or its stage refused; no library warns.
"""

from __future__ import annotations

import argparse
import math
import random
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.design import load_design
from vmech_core.design.design import Design
from vmech_core.design.meshing import runs
from vmech_core.gears.geometry import InternalPair
from vmech_core.pressure import read_trace
from vmech_core.sheet import STAGES, assess
from vmech_core.sheet.doubts import Doubtful

DATA = Path(__file__).resolve().parents[1] / "data"
NAMES = ("v_twin_generator", "star_pump", "air_compressor", "desk_model")
#: Most processor time [s] of a file or trace, and of all stages of a design.
FILE_TIME, DESIGN_TIME = 2.0, 5.0
#: Stages that march films take most of the time; the quick run leaves them out at the ends of ranges.
MARCHES = ("sharing", "bearings")
WILD = ("", "0", "-1", "1e400", "nan", "inf", "1_000", "0x10", "+5", "1e-320", "99999999999999999999", "true", '"60mm"',
        '"60,5"', "60,5", "60mm", "[]", "[1]", "[[1]]", "{}", '{a = 1}', '"', "'", '"""', "1979-05-27", "٣", "６０",
        '"estimate"', '"dry"', "[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13]", '"..\\u0000"', "1e6", "-0.0")
CHARACTERS = "\t\n\r \"'#=[]{}.,-+_eE0189aZ\\\0\x7f\u00a0\u2028é٣😀"


def quantity(rng, low, high):
    """A number in a range, in its logarithm if the range is wide."""
    if low > 0.0 and high > 50.0 * low:
        return math.exp(rng.uniform(math.log(low), math.log(high)))
    return rng.uniform(low, high)


def drawn(rng, key):
    """A value of a key, anywhere in its range; for a list one entry."""
    if key.kind == "word" or (key.words and rng.random() < 0.5):
        return rng.choice(key.words)
    if key.kind == "whole number":
        return rng.randint(key.low, key.high)
    if key.kind == "number":
        return rng.choice((key.low, key.high)) if rng.random() < 0.06 else float(quantity(rng, key.low, key.high))
    return None


def gears(rng):
    """A gear pair that runs: any teeth, module, angle and heights; shifts where the teeth allow them."""
    while True:
        teeth, wide = rng.randint(8, 150), rng.random()
        module = float(quantity(rng, max(0.3, 2.5 / teeth), min(20.0, 250.0 / teeth)))
        shift = wide * rng.uniform(-0.5, 1.0)
        own = {
            "module_mm": module, "pinion_teeth": teeth, "ring_teeth": 2 * teeth,
            "pressure_angle_deg": rng.uniform(14.5, 35), "pinion_shift": shift,
            "ring_shift": shift + wide * rng.uniform(-0.4, 0.6),
            "pinion_addendum": rng.uniform(0.3, 1.2), "ring_addendum": rng.uniform(0.3, 1.0),
            "pinion_dedendum": rng.uniform(0.6, 1.6), "ring_dedendum": rng.uniform(0.6, 1.6),
            "pinion_tool_tip_radius": rng.uniform(0, 0.5), "ring_fillet_radius": rng.uniform(0, 0.5),
            "backlash_um": float(quantity(rng, 1.0, max(2.0, 100.0 * module)))}
        try:
            pair = InternalPair(
                1e-3 * module, teeth, 2 * teeth, math.radians(own["pressure_angle_deg"]),
                backlash=1e-6 * own["backlash_um"],
                tool_tip_radius=own["pinion_tool_tip_radius"], ring_fillet_radius=own["ring_fillet_radius"],
                **{name: value for name, value in own.items() if name.endswith(("_shift", "_addendum", "_dedendum"))})
            stroke = 1e3 * float(pair.stroke)
            if runs(pair) and 5.0 <= stroke <= 500.0:
                return own, stroke
        except InputError:
            pass


def agreed(rng):
    """All keys of a design drawn in their ranges, then those that must agree chosen from one another."""
    data = {name: {key: drawn(rng, rule) for key, rule in model.rules.items()}
            for name, model in Design.sections().items()}
    base = load_design(DATA / f"{rng.choice(NAMES)}.toml").to_dict()
    for section, keys in data.items():
        keys.update({key: base[section][key] for key, value in keys.items() if value is None})
    n = rng.choice((1, 1, 2, 2, 3, 4, 6, 12))
    own, stroke = gears(rng)
    data["gear_pair"].update(own)
    cylinders, duty, crank, guide = (data[name] for name in ("cylinders", "duty", "crank", "guide"))
    cylinders.update(stroke_mm=stroke, bore_mm=min(max(stroke * rng.uniform(0.3, 2.5), 5.0), 500.0),
                     bank_angle_deg=[rng.uniform(-360, 360) for _ in range(n)],
                     clearance_volume_ratio=rng.uniform(0.02, 0.5) if rng.random() < 0.8 else quantity(rng, 1e-3, 2.0))
    size = 0.25 * stroke
    crank.update(pin_diameter_mm=max(1.0, size * rng.uniform(0.3, 2)),
                 pin_length_mm=max(1.0, size * rng.uniform(0.2, 2)),
                 journal_diameter_mm=max(1.0, size * rng.uniform(0.3, 2)),
                 journal_length_mm=max(1.0, size * rng.uniform(0.2, 2)))
    step = max(crank["pin_length_mm"], cylinders["bore_mm"]) * rng.uniform(1.0, 1.2)
    cylinders["axial_position_mm"] = [step * (k - 0.5 * (n - 1)) for k in range(n)]
    crank["mesh_span_mm"] = min(4000.0, (step * n + crank["pin_length_mm"] + data["gear_pair"]["face_width_mm"]
                                         + crank["journal_length_mm"]) * rng.uniform(1.0, 1.5))
    data["carrier"].update(bearing_diameter_mm=max(1.0, size * rng.uniform(1.5, 6)), bearing_length_mm=max(1.0, size))
    guide.update(length_mm=max(1.0, stroke * rng.uniform(0.1, 1.0)),
                 piston_length_mm=max(1.0, stroke * rng.uniform(0.2, 1)),
                 rod_diameter_mm=max(1.0, cylinders["bore_mm"] * rng.uniform(0.1, 0.6)),
                 rod_length_mm=max(5.0, stroke * rng.uniform(2.5, 5.0)),
                 clearance_um=float(quantity(rng, 1.0, max(2.0, 5.0 * stroke))))
    duty["cycle_turns"] = 2 if data["design"]["machine"] == "engine" else rng.choice((1, 1, 2))
    duty["pressure_trace"] = f"{'star_pump' if duty['cycle_turns'] == 1 else 'v_twin_generator'}_trace.csv"
    duty["firing_turn"] = [rng.randint(0, duty["cycle_turns"] - 1) for _ in range(n)]
    duty["speed_rpm"] = float(min(duty["speed_rpm"], 1e6 / stroke))
    low = float(quantity(rng, 0.05, 50))
    if duty["pressure_from"] == "trace" or data["design"]["machine"] == "hand_model":
        # the lowest pressure of both traces is near 1 bar
        low = float(quantity(rng, 0.6, 1.5))
    high = low * rng.choice((1.0, rng.uniform(1.0, 4.0), quantity(rng, 1.0, 300.0)))
    duty.update(inlet_pressure_bar=low, outlet_pressure_bar=min(high, 2000.0),
                crankcase_pressure_bar=rng.uniform(0.5, 2.0))
    for key in ("piston_g", "piston_rod_g", "crank_g", "carrier_g"):
        data["masses"][key] = "estimate"
    data["ordinary_crank"].update(piston_g="estimate", rod_g="estimate")
    data["ordinary_crank"]["wrist_pin_offset_mm"] *= 0.001 * stroke
    return data


def valid(rng, tries=40):
    """A random valid design; a value that does not agree with others is replaced by the nearest that does."""
    while True:
        data = agreed(rng)
        for _ in range(tries):
            try:
                design = Design.from_dict(data)
                design._source = DATA / "v_twin_generator.toml"
                return design
            except InputError as error:
                section, key = error.fault.key.split(".")
                if error.fault.candidate is None:
                    break
                data[section][key] = error.fault.candidate


def mutated(rng, text):
    """A text with one to three things wrong: characters, lines, keys, values, units, nesting, types, encoding."""
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        lines = text.split("\n")
        at = rng.randrange(len(lines))
        holds = [k for k, line in enumerate(lines) if "=" in line and not line.lstrip().startswith("#")] or [at]
        value = rng.choice(holds)
        name, _, rest = lines[value].partition("=")
        kind = rng.randrange(13)
        if kind == 0:
            place = rng.randrange(len(text) + 1)
            text = text[:place] + rng.choice(CHARACTERS) * rng.choice((1, 1, 2, 50)) + text[place:]
            continue
        if kind == 1 and text:
            place = rng.randrange(len(text))
            text = text[:place] + text[place + rng.choice((1, 1, 10, 200)):]
            continue
        if kind == 2:
            lines[value] = f"{name}= {rng.choice(WILD)}"
        elif kind == 3:
            lines.insert(at, lines[value])
        elif kind == 4:
            del lines[at]
        elif kind == 5:
            lines[value] = name.replace(rng.choice("abcdeimnorst_"), rng.choice(("", "x", "_", "."))) + "=" + rest
        elif kind == 6:
            old, new = rng.choice((("_mm", "_cm"), ("_mm", "_m"), ("_bar", "_kPa"), ("_rpm", "_hz"), ("_um", "_mm"),
                                   ("_deg", "")))
            lines[value] = name.replace(old, new) + "=" + rest
        elif kind == 7:
            factor = rng.choice((1e-3, 0.1, 1 / 25.4, 10.0, 1e3, -1.0, 1e9, 1e300))
            lines[value] = name + "=" + " ".join(_scaled(word, factor) for word in rest.split(" "))
        elif kind == 8:
            lines[value] = f"{name}={rest.split('#')[0]} {rng.choice(('mm', 'bar', ', 5', '%', '°'))}"
        elif kind == 9:
            depth = rng.choice((1, 5, 60))
            lines[value] = f"{name}= {'[' * depth}{rest.split('#')[0]}{']' * rng.choice((depth, depth - 1))}"
        elif kind == 10:
            lines[at] = rng.choice(("[cylinders]", "[[duty]]", "[", "[nothing]", "a.b.c = 1", "= 5", "[design", "[.]",
                                    '["crank"]'))
        elif kind == 11:
            lines = lines[:at]
        else:
            lines[value], lines[at] = lines[at], lines[value]
        text = "\n".join(lines)
    return text


def _scaled(word, factor):
    try:
        return repr(float(word.strip("[],")) * factor)
    except ValueError:
        return word


def at_end(rng, data):
    """A demo design with one key at, or one step beyond, an end of its range."""
    section, name = rng.choice([(section, key) for section, model in Design.sections().items()
                                for key, rule in model.rules.items() if "number" in rule.kind])
    rules = Design.sections()[section].rules
    rule, beyond = rules[name], rng.random() < 0.5
    end = rng.choice((rule.low, rule.high))
    value = end if not beyond else end + (1 if end == rule.high else -1) * max(abs(end) * 1e-9, 1e-300)
    value = int(round(value)) + beyond if rule.kind == "whole number" else float(value)
    data[section][name] = [value] * len(data["cylinders"]["bank_angle_deg"]) if rule.listed == "must" else value
    return data


def sentence(error):
    """Check that a refusal can be read."""
    text = str(error)
    longest = 700 * len(getattr(error, "faults", "1"))
    assert text.endswith(".") and "Error" not in text and "Traceback" not in text and len(text) < longest, text


def file_case(seed, folder):
    """One mutated design file."""
    rng = random.Random(f"file {seed}")
    name = rng.choice(NAMES)
    try:
        if rng.random() < 0.2:
            Design.from_dict(at_end(rng, load_design(DATA / f"{name}.toml").to_dict()))
        else:
            path = folder / "design.toml"
            text = mutated(rng, (DATA / f"{name}.toml").read_text())
            path.write_bytes(text.encode(rng.choice(("utf-8",) * 6 + ("utf-16", "latin-1")), "replace"))
            load_design(path)
    except InputError as error:
        sentence(error)
        return "refused"
    return "loads"


def trace_case(seed, folder):
    """One mutated trace; one that loads covers its cycle with positive pressures that are finite."""
    rng = random.Random(f"trace {seed}")
    name, path = rng.choice(NAMES), folder / "trace.csv"
    turns = load_design(DATA / f"{name}.toml").duty.cycle_turns
    lines = (DATA / f"{name}_trace.csv").read_text().split("\n")
    for _ in range(rng.choice((1, 1, 2, 5))):
        at = rng.randrange(min(1, len(lines) - 1), len(lines)) if rng.random() < 0.9 else 0
        angle, _, value = lines[at].partition(",")
        lines[at: at + rng.choice((1, 1, 1, 30))] = [rng.choice((
            f"{angle},{rng.choice(WILD)}", f"{rng.choice(WILD)},{value}", f"{value},{angle}", "", lines[at - 1],
            f"{angle};{value}", f"{angle},{value},{value}", "#", f'"{angle}",{value}', f'"{angle},{value}',
            f"{angle},{_scaled(value, rng.choice((0.0, -1.0, 100.0, 1e5)))}"))]
    path.write_bytes("\n".join(lines).encode(rng.choice(("utf-8",) * 8 + ("utf-16",)), "replace"))
    try:
        found = read_trace(path, turns)
    except InputError as error:
        sentence(error)
        return "refused"
    bad = [name for name, fine in (("finite", np.isfinite(found.pressure)), ("positive", found.pressure >= 0.0),
                                   ("rising", np.diff(found.angle) > 0.0)) if not np.all(fine)]
    assert not bad, f"not {bad}"
    return "loads"


def through(design, stages=tuple(STAGES)):
    """Every stage of a design: counts of stages that answer, that refuse, and of values without bound."""
    counts = Counter()
    try:
        case = assess(design)
    except InputError as error:  # a play that is used up when it runs
        sentence(error)
        counts[f"as it runs: {error.field} {_plain(error.allowed)}"] += 1
        return counts
    for name in stages:
        try:
            found = case.stage(name)
        except InputError as error:
            sentence(error)
            counts[f"{name}: {error.field} {_plain(error.allowed)}"] += 1
            continue
        counts["stages answered"] += 1
        for key, quantity_ in found.items():
            assert not math.isnan(quantity_.value), f"{name}.{key} is not a number"
            counts["values without bound"] += math.isinf(quantity_.value)
    return counts


def _plain(words):
    return " ".join(word for word in str(words).split()[:5] if not any(c.isdigit() for c in word))


def design_case(seed, folder):
    """One random valid design."""
    return through(valid(random.Random(f"design {seed}")))


def ends_case(seed, folder, stages=tuple(STAGES)):
    """A demo with its ``seed``-th number at one end of its range, if that agrees with the rest; four rounds for all."""
    places = [(section, name, end) for section, model in Design.sections().items() for name, rule in model.rules.items()
              if "number" in rule.kind for end in (rule.low, rule.high)]
    section, name, end = places[seed % len(places)]
    engine, pump, compressor, _ = NAMES
    only = {"spark_cycle": engine, "fluid_cycle": pump if name == "bulk_modulus_GPa" else compressor}
    base = load_design(DATA / f"{only.get(section, NAMES[(seed // 2 + seed // len(places)) % len(NAMES)])}.toml")
    value = [end] * base.n_cylinders if base.sections()[section].rules[name].listed == "must" else end
    try:
        design = base.changed(**{f"{section}.{name}": value})
    except InputError as error:
        sentence(error)
        return "refused"
    return through(design, stages)


def ends_count():
    """Ends of all ranges of numbers."""
    return sum(2 for model in Design.sections().values() for rule in model.rules.values() if "number" in rule.kind)


CASES = {"file": (file_case, FILE_TIME), "trace": (trace_case, FILE_TIME), "design": (design_case, DESIGN_TIME),
         "end": (ends_case, DESIGN_TIME)}


def run(kind, seeds, folder, **options):
    """Run cases of one kind; counts, times by seed, and the faults by seed."""
    case, most = CASES[kind]
    counts, times, faults = Counter(), {}, {}
    for seed in seeds:
        begin = time.process_time()
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                warnings.simplefilter("ignore", Doubtful)
                found = case(seed, folder, **options)
            counts.update(found if isinstance(found, Counter) else [found])
        except Exception as error:  # whatever comes is what is looked for
            where = traceback.extract_tb(error.__traceback__)[-1]
            faults[seed] = f"{type(error).__name__} at {Path(where.filename).name}:{where.lineno}: {str(error)[:200]}"
        times[seed] = time.process_time() - begin
        if times[seed] > most:
            faults.setdefault(seed, f"took {times[seed]:.1f} s of processor time")
    return counts, times, faults


def main(arguments=None):
    """Run all kinds and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--files", type=int, default=1000, help="mutated design files, and half as many traces")
    parser.add_argument("--designs", type=int, default=50, help="random valid designs through every stage")
    parser.add_argument("--ends", type=int, default=None, help="keys at an end of their range; all if not given")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="a few of each, as the test run does")
    parser.add_argument("--case", nargs=2, metavar=("KIND", "SEED"), help="repeat one case and show its traceback")
    given = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        if given.case:
            print(CASES[given.case[0]][0](int(given.case[1]), Path(folder)))
            return 0
        begin, ends = given.seed * 1_000_000, 4 * ends_count() if given.ends is None else given.ends
        amounts = {"file": given.files, "trace": given.files // 2, "design": given.designs, "end": ends}
        if given.quick:
            amounts = {"file": 250, "trace": 250, "design": 3, "end": ends_count()}
        failed = 0
        for kind, amount in amounts.items():
            first = 0 if kind == "end" else begin
            options = {"stages": tuple(n for n in STAGES if n not in MARCHES)} if kind == "end" and given.quick else {}
            counts, times, faults = run(kind, range(first, first + amount), Path(folder), **options)
            print(f"{kind}: {amount} cases, {len(faults)} failed, {sum(times.values()):.1f} s")
            for words, count in counts.most_common(20):
                print(f"  {count:6d}  {words}")
            for seed in sorted(times, key=times.get, reverse=True)[:3]:
                print(f"  slowest {times[seed]:.2f} s: --case {kind} {seed}")
            for seed, words in list(faults.items())[:50]:
                print(f"  FAILED --case {kind} {seed}: {words}")
            failed += len(faults)
        return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
