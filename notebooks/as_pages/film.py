"""A panel as a film: pictures drawn beforehand, for a page on which nothing can be computed.

It knows a drawing and its controls, and writes plain HTML with the pictures in it. Three of them are stills that stand
for themselves in print and without a script, evenly over the range; those of an angle that makes full turns begin at
its start value. A page with ``course.js`` beside it turns the whole into a player.
"""

import base64
import html
import io

import numpy as np
from PIL import Image

#: Pictures of one film, and more of them where a full cycle of two turns is shown.
FRAMES, FRAMES_OF_TWO_TURNS = 25, 37
#: Pixels per inch, the finest first; the first that keeps the film below the limit is taken.
RESOLUTIONS, LIMIT_BYTES = (144, 120, 96, 72), 900_000


def film(scene, controls, alt) -> str:
    """Draw a panel for a page: one control runs through its range, the others stand at their start.

    Parameters
    ----------
    scene : Scene [-]
        The drawing; at the end it stands at the start values again.
    controls : sequence of Control or Choice [-]
        In the order in which they are shown.
    alt : str [-]
        The picture in words.

    Returns
    -------
    str [-]
        HTML with all pictures inside, and a list of the controls.
    """
    start = {control.name: control.value for control in controls}
    moved = _moved(controls)
    settings = [{**start, moved.name: value} for value in _values(moved)] if moved else [start]
    try:
        drawn, refused = _drawn(scene, settings)
    finally:
        scene.update(**start)
    shown = [_shown(moved, setting[moved.name]) if moved else "start values" for setting, *_ in drawn]
    begin = min(range(len(drawn)), key=lambda k: abs(drawn[k][0][moved.name] - moved.value)) if moved and drawn else 0
    count = len(drawn)
    stills = {(begin + k * count // 3) % count if _turns(moved) else k * (count - 1) // 2 for k in range(min(3, count))}
    frames = [_frame(picture, size, f"{alt} Here: {text}.", text, number in stills)
              for number, ((_, picture, size), text) in enumerate(zip(drawn, shown, strict=True))]
    left_out = f"<p>No picture at {html.escape('; '.join(refused))}</p>" if refused else ""
    data = (f'data-control="{html.escape(moved.title if moved else "")}" data-start="{begin}"'
            + ' data-turns="yes"' * _turns(moved))
    return (f'<figure class="film" {data}><div class="frames">{"".join(frames)}</div>'
            f"<figcaption>{html.escape(alt)}</figcaption></figure>{left_out}{controls_list(controls, moved)}")


def controls_list(controls, moved=None) -> str:
    """The controls of a panel in words, folded.

    Parameters
    ----------
    controls : sequence of Control or Choice [-]
        In the order in which they are shown.
    moved : Control or None [-]
        The one that the film moves.

    Returns
    -------
    str [-]
        A list with range, step and start of each.
    """
    lines = [html.escape(control.describe()) + (" <b>(moved here)</b>" if control is moved else "")
             for control in controls]
    return fold_of_controls(lines)


def fold_of_controls(lines) -> str:
    """The fold that holds the list.

    Parameters
    ----------
    lines : list of str [-]
        One line of HTML for each control.

    Returns
    -------
    str [-]
        HTML.
    """
    items = "".join(f"<li>{line}</li>" for line in lines)
    return (f'<details class="controls"><summary>What can be moved in the notebook</summary>'
            f"<p>In the notebook this picture is live.</p><ul>{items}</ul></details>")


def _moved(controls):
    """The control that the film moves: the angle that makes a full turn, else the first slider."""
    sliders = [control for control in controls if hasattr(control, "step")]
    return next((control for control in sliders if _turns(control)), sliders[0] if sliders else None)


def _turns(control):
    """Whether the control is an angle that makes full turns, so that its film may run round and round."""
    return bool(control) and control.unit == "deg" and control.maximum - control.minimum >= 360


def _values(control):
    """Values along the range, on the steps of the slider, each once."""
    span = control.maximum - control.minimum
    number = FRAMES_OF_TWO_TURNS if control.unit == "deg" and span >= 720 else FRAMES
    steps = np.unique(np.round(np.linspace(0, span / control.step, number)))
    values = [round(float(control.minimum + control.step * step), 9) for step in steps]
    return [int(value) for value in values] if control.integer else values


def _shown(control, value):
    return f"{control.label} {value:g} {control.unit}".strip()


def _drawn(scene, settings):
    """Setting, picture and size for each setting that can be drawn, and a sentence for each that cannot."""
    for dpi in RESOLUTIONS:
        drawn, refused = [], []
        for setting in settings:
            try:
                scene.update(**setting)
            except ValueError as reason:
                refused.append(" ".join(str(reason).split()))
                continue
            drawn.append((setting, *_picture(scene.figure, dpi)))
        if sum(len(picture) for _, picture, _ in drawn) <= LIMIT_BYTES:
            break
    return drawn, refused


def _picture(figure, dpi):
    """Lossless WebP of the figure, and its size in CSS pixels."""
    raw = io.BytesIO()
    figure.savefig(raw, format="png", dpi=dpi, pil_kwargs={"compress_level": 1})
    out = io.BytesIO()
    Image.open(raw).convert("RGB").save(out, "WEBP", lossless=True, quality=60, method=4)
    return out.getvalue(), tuple(round(96 * inches) for inches in figure.get_size_inches())


def _frame(picture, size, alt, text, still):
    source = "data:image/webp;base64," + base64.b64encode(picture).decode("ascii")
    kind = "frame still" if still else "frame"
    return (f'<figure class="{kind}"><img loading="lazy" width="{size[0]}" height="{size[1]}" '
            f'alt="{html.escape(alt)}" src="{source}"><figcaption>{html.escape(text)}</figcaption></figure>')
