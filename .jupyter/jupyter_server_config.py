"""Server options of this course: the first page, and each widget message sent at once, without filling a packet.

The address that the server prints opens the first page, also for a reader who pastes it into a browser.


The server never asks for TCP_NODELAY on the kernel's websocket, so small messages wait for the browser's delayed
acknowledgement, about 40 ms each on a local machine: sliders then lag behind the finger. This file is read because the
command that opens the course puts the folder in JUPYTER_CONFIG_PATH; your own configuration is read as well.
Should a later server have no such handler, only the speed-up is lost, and the server's log says so.
"""

import functools
import logging


def _send_at_once(handler_class):
    """Wrap ``open`` of a websocket handler class so that its socket does not delay small messages."""
    original = handler_class.open

    @functools.wraps(original)
    async def open(self, *args, **kwargs):
        try:
            self.set_nodelay(True)
        except Exception as error:
            logging.getLogger("ServerApp").warning("vmech: TCP_NODELAY not set (%s); sliders may be slower.", error)
        return await original(self, *args, **kwargs)

    open.sends_at_once = True
    handler_class.open = open


c = get_config()  # noqa: F821  (given by the server that reads this file)
c.LabApp.default_url = "/lab/tree/notebooks/00_start_here.ipynb"

try:
    from jupyter_server.services.kernels.websocket import KernelWebsocketHandler

    if not getattr(KernelWebsocketHandler.open, "sends_at_once", False):
        _send_at_once(KernelWebsocketHandler)
except (ImportError, AttributeError) as error:
    logging.getLogger("ServerApp").warning("vmech: TCP_NODELAY not available (%s); sliders may be slower.", error)
