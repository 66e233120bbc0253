"""Swapwright: what crosses between an engine and the vehicle it goes into.

Two sheets describe the vehicle that receives and the powertrain that comes
in; a build joins them. The package assembles these into one picture, decides
what every crossing needs, and says what is wrong or still open.

The version is a literal here so that reading it costs no search through the
installed packages; the build takes it from this file.
"""

__version__ = "0.1.0"
