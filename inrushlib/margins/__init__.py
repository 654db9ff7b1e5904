"""How sure an answer is: what would turn it.

``nearest_edges``, ``Edge``
    for each key the value nearest to the present one at which the verdict changes
``assumed_values``, ``Assumed``
    the values that were not given, and whether the verdict hangs on them
``movable_keys``
    the keys that are tried
"""

from inrushlib.margins.assumed import Assumed, assumed_values
from inrushlib.margins.edges import Edge, nearest_edges
from inrushlib.margins.moves import movable_keys

__all__ = ["Assumed", "Edge", "assumed_values", "movable_keys", "nearest_edges"]
