"""Paints one figure again and again, fast: what stands still is drawn once for each resolution and kept.

It knows canvases and lines, and no widgets. The moving artists are drawn over the kept part; on request their present
curves stay behind in grey.
"""

import base64
import io

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.lines import Line2D
from PIL import Image

#: Colour of the curves that stay behind.
KEPT = "#8c8c8c"


class Painter:
    """Draws a figure at several resolutions, the still part of it once for each.

    Attributes
    ----------
    figure : Figure [-]
        The figure drawn.
    moving : list of artists [-]
        What is drawn anew each time, back to front.
    """

    def __init__(self, figure, moving):
        self.figure, self.moving = figure, sorted(moving, key=lambda artist: artist.get_zorder())
        self._layers, self._twins, self._own_dpi = {}, [], figure.get_dpi()
        for artist in self.moving:
            artist.set_animated(True)

    def _layer(self, dpi):
        if dpi not in self._layers:
            renderer = RendererAgg(*map(int, self.figure.bbox.size), dpi)
            self.figure.draw(renderer)
            self._layers[dpi] = renderer, renderer.copy_from_bbox(self.figure.bbox)
        return self._layers[dpi]

    def paint(self, dpi, quality) -> bytes:
        """Picture of the figure as it stands.

        Parameters
        ----------
        dpi : float [-]
            Pixels per inch.
        quality : int [1]
            Quality of the JPEG, 1 to 95; from 90 on colours keep their full resolution.

        Returns
        -------
        bytes [-]
            A JPEG as a ``data:`` address, which a browser shows sooner than one that it must fetch.
        """
        if self.figure.get_dpi() != dpi:
            self.figure.set_dpi(dpi)
        renderer, background = self._layer(dpi)
        renderer.restore_region(background)
        for artist in self.moving:
            artist.draw(renderer)
        size, out = (int(renderer.width), int(renderer.height)), io.BytesIO()
        picture = Image.frombuffer("RGBX", size, renderer.buffer_rgba(), "raw", "RGBX", 0, 1)
        picture.save(out, "JPEG", quality=quality, subsampling=0 if quality >= 90 else 2)
        return b"data:image/jpeg;base64," + base64.b64encode(out.getvalue())

    def release(self):
        """Give the figure its own resolution back, so that it can also be shown as a still picture."""
        self.figure.set_dpi(self._own_dpi)

    def curves(self) -> list:
        """Moving lines that show numbers: those on axes with a scale, in the coordinates of the data.

        Returns
        -------
        list of Line2D [-]
            In the order in which the scene names them, back to front; no cursors, no outlines on bare axes.
        """
        return [line for line in self.moving if isinstance(line, Line2D) and line.axes and line.axes.axison
                and line.get_visible() and line.get_transform() == line.axes.transData and len(line.get_xdata())]

    def keep(self):
        """Let the present curves stay behind in grey, instead of those kept before."""
        self.forget()
        for line in self.curves():
            twin = Line2D(*line.get_data(), color=KEPT, linestyle=line.get_linestyle(), marker=line.get_marker(),
                          linewidth=line.get_linewidth(), markersize=line.get_markersize(), in_layout=False,
                          drawstyle=line.get_drawstyle(), zorder=line.get_zorder() - 0.5, label="_kept")
            self._twins.append(line.axes.add_artist(twin))

    def forget(self):
        """Take the grey curves away."""
        for twin in self._twins:
            twin.remove()
        self._twins = []
        self._layers.clear()
