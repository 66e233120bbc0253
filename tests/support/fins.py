"""Fins of the checks, sizes in millimetres and degrees as their sources print them."""

import numpy as np

from swapwright.physics.louvred_fins import LouvredFin


def fin_in_millimetres(
    *, fin_pitch: float, fin_height: float, depth: float, louvre_length: float,
    louvre_pitch: float, tube_pitch: float, tube_thickness: float, fin_thickness: float,
    angle: float,
) -> LouvredFin:  # fmt: skip
    """Fin and tube of one depth."""
    return LouvredFin(
        fin_pitch=fin_pitch * 1e-3,
        fin_height=fin_height * 1e-3,
        fin_depth=depth * 1e-3,
        fin_thickness=fin_thickness * 1e-3,
        louvre_pitch=louvre_pitch * 1e-3,
        louvre_length=louvre_length * 1e-3,
        louvre_angle=float(np.radians(angle)),
        tube_pitch=tube_pitch * 1e-3,
        tube_depth=depth * 1e-3,
        tube_thickness=tube_thickness * 1e-3,
    )


# Verification model of the FluidDissipation library's flat-tube pressure loss.
LIBRARY_FIN = fin_in_millimetres(
    fin_pitch=1.8, fin_height=19, depth=26, louvre_length=16.07, louvre_pitch=1.534,
    tube_pitch=19.7, tube_thickness=5, fin_thickness=0.1, angle=28,
)  # fmt: skip

# A core such as newer vehicles carry (common practice; sizes from memory).
USUAL_FIN = fin_in_millimetres(
    fin_pitch=1.4, fin_height=8, depth=27, louvre_length=6.8, louvre_pitch=1.1,
    tube_pitch=9.8, tube_thickness=1.8, fin_thickness=0.08, angle=27,
)  # fmt: skip
