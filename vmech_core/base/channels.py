"""What each named load is: the text under every plot axis and in every table.

A channel has its quantity, its symbol in the course (notation page of notebook 00), its SI unit and its sign convention
in words.
"""

from collections import namedtuple
from types import MappingProxyType

from vmech_core.base.tables import rows

_Channel = namedtuple("_Channel", "quantity symbol unit sign")

#: Every load channel that a mechanism may fill, the rows of ``data/channels.csv``.
CHANNELS = MappingProxyType({name: _Channel(*rest) for name, *rest in (row.values() for row in rows("channels"))})
