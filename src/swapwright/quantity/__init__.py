"""Units, measured quantities and money; knows nothing of vehicles."""

from .combining import Combined, combine
from .dimension import KINDS, Dimension, System
from .fault import QuantityFault
from .measure import Basis, Measure, Spread
from .money import Money, read_money
from .reading import read_measure
from .showing import preferred, show
from .threads import Thread, read_thread
from .tools import Tool, tools
from .wire_gauge import gauge_area, nearest_gauge

__all__ = [
    "KINDS",
    "Basis",
    "Combined",
    "Dimension",
    "Measure",
    "Money",
    "QuantityFault",
    "Spread",
    "System",
    "Thread",
    "Tool",
    "combine",
    "gauge_area",
    "nearest_gauge",
    "preferred",
    "read_measure",
    "read_money",
    "read_thread",
    "show",
    "tools",
]
