"""Slips of the pen in a design file, in the reader's words: the line, what is wrong with it, and what to write.

Loaded when a text is no TOML, and not before. Each slip is mended in a copy, so that the next one, and what is wrong
with the design itself, is found in the same pass.
"""

import re
import tomllib

from pydantic import ValidationError

from vmech_core.base.hints import number_in
from vmech_core.design.faults import DesignError, Fault, expected, key_refused
from vmech_core.design.keys import split_unit
from vmech_core.design.refusal import design_refused

#: Slips that are looked for in one file.
MOST = 20
#: Longer lines are not looked into for a slip, characters.
LONGEST = 300
#: Characters that a word processor puts in, and those that TOML knows.
ODD = {ord(odd): plain for plain, odds in {
    '"': "\u201c\u201d\u201e\u00ab\u00bb\u2033", "'": "\u2018\u2019\u2032", "-": "\u2212\u2013\u2014", "=": "\uff1d",
    " ": "\u00a0\u202f\u2009\u3000", "": "\ufeff\u200b"}.items() for odd in odds}
_KEY = re.compile(r"\s*([A-Za-z_][\w.-]*)\s*=\s*(.*?)\s*", re.ASCII)
_NO_EQUALS = re.compile(r"\s*([A-Za-z_][\w.-]*)\s*(?::=|==|:|\s|(?=[\"\[]))\s*([^\s=:].*)", re.ASCII)
_HEAD = re.compile(r"\s*[\[({<]+\s*([A-Za-z][\w -]*?)\s*[\])}>]*\s*", re.ASCII)


def text_refused(model, text):
    """Word the refusal of a text that is no TOML.

    Parameters
    ----------
    model : type [-]
        ``Design``.
    text : str [-]
        The text.

    Returns
    -------
    DesignError [-]
        To be raised: the slips by line, then what is wrong with the design that the mended text holds.
    """
    lines, slips, data = text.replace("\r\n", "\n").split("\n"), [], None
    while data is None and len(slips) < MOST:
        try:
            data = tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as error:
            slip, mended = _explained(model, lines, error)
            if any(slip.line == other.line for other in slips):
                break
            slips.append(slip)
            lines[slip.line - 1] = mended
        except ValueError:  # a number that is too long to read
            break
    try:
        if data is not None and all(slip.other_way or slip.key for slip in slips):
            model.model_validate(data)
    except ValidationError as error:
        dropped = {slip.key for slip in slips if not slip.other_way}
        return DesignError(*slips, *(f for f in design_refused(model, data, error).faults if f.key not in dropped))
    return DesignError(*slips)


def _explained(model, lines, error):
    """The slip of one line, and the line as it should be; empty where that is not known."""
    place = _place(lines, str(error))
    section = next((found[1] for text in reversed(lines[:place]) if (found := _HEAD.fullmatch(_body(text)[0]))), "")
    body, remark = _body(lines[place])
    key = re.match(r"\s*([\w-]*)", body)[1][:40]
    rule = getattr(model.sections().get(section), "rules", {}).get(key)
    ways = [] if len(body) > LONGEST or _reads(body) else _repairs(body, key, rule, model.sections())
    words, new = _twice(lines, place, str(error)) or next(
        ((words, new) for words, new in ways if new != body and _reads(new)), ("", ""))
    if not words and rule:
        words = f"has no value that can be read: it must be {expected(rule)} {split_unit(key)[1]}".rstrip()
    words = words or "cannot be read as TOML: " + re.sub(r"\s*\(at .*\)|\n", "", str(error))[:80]
    name = f"{section}.{key}" if section and (rule or "=" in body) else ""
    write = "" if new.startswith("#") else new.strip()
    slip = Fault(name, body.strip(), words, other_way=write, line=place + 1)
    return slip, new + ("  " + remark if remark and new else "")


def _place(lines, error):
    """Place of the line at fault; a list or a text that does not end is missed further down, and looked for above."""
    found = re.search(r"at line (\d+)", error)
    place = min(int(found[1]) if found else len(lines), len(lines)) - 1
    if re.search("array|inline|end of document|Expected [\"']['\"]", error):
        for above in range(place, -1, -1):
            body = _body(lines[above])[0]
            quotes = body.count('"') % 2 or body.count("'") % 2
            if quotes or any(body.count(one) > body.count(two) for one, two in ("[]", "{}")):
                return above
    return place


def _body(line):
    """A line without its remark, and the remark."""
    found = len(line) <= LONGEST and re.fullmatch(r"((?:\"[^\"]*\"|'[^']*'|[^#])*?)\s*(#.*)?", line)
    return (found[1], found[2] or "") if found else (line, "")


def _reads(line):
    try:
        return bool(tomllib.loads(line))
    except tomllib.TOMLDecodeError:
        return False


def _twice(lines, place, error):
    """Words for a key or a section that stands a second time, and the line made a remark."""
    if not re.search("overwrite|declare|twice|immutable", error):
        return None
    body, first = _body(lines[place])[0].strip(), 0
    for number, text in enumerate(lines[:place]):
        above = _body(text)[0].strip()
        if body.startswith("[") and above == body:
            return f"opens a section that stands already in line {number + 1}; put its keys there", "# " + body
        first = number if above.startswith("[") else first
    same = [k for k in range(first, place) if lines[k].split("=")[0].strip() == body.split("=")[0].strip()]
    return same and (f"stands a second time, after line {same[-1] + 1}; keep one of the two", "# " + body)


def _repairs(body, key, rule, sections):
    """Ways to read a line that is no TOML: words, and the line as it should be."""
    plain = body.translate(ODD)
    if plain != body:
        yield "holds a quote, minus or blank of a word processor, which TOML does not know", plain
    body = plain
    if found := _HEAD.fullmatch(body):
        yield "is not a section's name in square brackets", f"[{found[1].replace(' ', '_').replace('-', '_')}]"
    if "=" not in body.split('"')[0] or "==" in body or ":=" in body:
        if body.strip() in sections:
            yield "is not a section's name in square brackets", f"[{body.strip()}]"
        if found := _NO_EQUALS.fullmatch(body):
            new = f"{found[1]} = {found[2]}"
            yield "has no = between key and value", new
            for words, better in _repairs(new, key, rule, sections):
                yield f"has no = between key and value, and {words}", better
    elif found := _KEY.fullmatch(body):
        for words, new in _values(found[2], key, rule):
            yield words, f"{found[1]} = {new}"


def _values(value, key, rule):
    """The same for the value of a key."""
    if not value:
        return
    for mark in ("//", ";", "%", "--"):
        if mark in value and '"' not in value.split(mark)[1]:
            yield f"has a remark after {mark}, where TOML wants #", value.split(mark)[0].strip()
    unit, kind = split_unit(key)[1], rule.kind if rule else ""
    if found := number_in(value.strip("'\"`"), unit):
        yield _number_slip(value, unit, found[1]), f"{found[0]:.10g}"
    if re.fullmatch(r"[+-]?\d[\d ']*\d", value) and "number" in kind:
        yield "has a blank or a mark inside a number", re.sub(r"[ ']", "", value).lstrip("0") or "0"
    if found := re.fullmatch(r"(\d+)\s*/\s*(\d+)", value):
        yield "is a fraction, where TOML wants a decimal number", f"{int(found[1]) / max(int(found[2]), 1):.6g}"
    if rule and rule.listed or value[:1] in "[({":
        items = re.sub(r"^[\[({]|[\])}]$", "", value).strip()
        between = ";" if ";" in items else "," if re.search(r",(?:\s|.*,)", items) else r"[\s,]"
        items = [item.strip().replace(",", ".") for item in re.split(between, items) if item.strip()]
        yield "is a list, which stands in square brackets with commas between its numbers", f"[{', '.join(items)}]"
    if "\\" in value:
        last = re.split(r"[/\\]", value.strip("'\""))[-1]
        yield "holds a backslash, which TOML reads as the start of a special character", f'"{last}"'
    inner = value.strip("'\"`")
    if '"' not in inner and not ("number" in kind and not rule.words):
        right = inner if rule is None or rule.kept(inner) else key_refused(rule, key, inner, unit).fault.candidate
        yield "is a text that does not stand between two double quotes", f'"{right or inner}"'


def _number_slip(value, unit, other):
    if other:
        return f"is given in {other}, where the unit of the key is {unit}"
    if value[:1] in "'\"`":
        return "is a number in quotes that do not match"
    if re.search(r"[^\d.,eE+-]", value):
        return f"has its unit behind the number, which the name of the key states already ({unit})"
    comma = "has a decimal comma, where TOML wants a point"
    return comma if "," in value else "is a number that TOML writes in another way"
