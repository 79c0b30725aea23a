"""Draw the pictures of the README again, into ``notebooks/pictures``: ``python data/make_pictures.py [FOLDER]``."""

import io
import sys
from pathlib import Path

from matplotlib import rc_context
from PIL import Image

from vmech_core.design.files import load_design
from vmech_core.show import machine, side_load, style

DATA = Path(__file__).resolve().parent
DRAWING, STILL, FILM = "machine.svg", "side_load.png", "side_load.webp"
STILL_DPI = 100
#: Frames of the animation, how long one stands, and how long the one of the still picture stands.
FRAMES, FRAME_MS, REST_MS = 36, 170, 1700


def frames(scene, count=FRAMES, dpi=82):
    """Pictures of one cycle, the first at the angle of the still.

    Parameters
    ----------
    scene : SideLoadScene [-]
        The scene.
    count : int [1]
        Number of pictures.
    dpi : float [-]
        Pixels per inch.

    Returns
    -------
    list of Image [-]
        The pictures.
    """
    found = []
    for k in range(count):
        scene.update(angle_deg=(scene.controls[0].value + 720.0 * k / count) % 720.0)
        buffer = io.BytesIO()
        scene.figure.savefig(buffer, format="png", dpi=dpi)
        found.append(Image.open(buffer).convert("RGB"))
    return found


def drawing(design, path):
    """Write the drawing of the machine, the same bytes every time.

    Parameters
    ----------
    design : Design [-]
        The design.
    path : Path [-]
        File to write.
    """
    with rc_context({"svg.hashsalt": "vmech", "svg.fonttype": "path"}):
        machine.machine(design).savefig(path, format="svg", metadata={"Date": None})


def main(folder):
    """Write drawing, still and animation.

    Parameters
    ----------
    folder : Path [-]
        Folder to write them into.
    """
    design = load_design(DATA / "v_twin_generator.toml")
    drawing(design, folder / DRAWING)
    scene = side_load.SideLoadScene(design)
    scene.update()
    (folder / STILL).write_bytes(style.picture(scene.figure, STILL_DPI))
    first, *others = frames(scene)
    first.save(folder / FILM, save_all=True, append_images=others, loop=0, quality=60, method=6,
               duration=[REST_MS] + [FRAME_MS] * len(others))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if sys.argv[1:] else DATA.parent / "notebooks" / "pictures")
