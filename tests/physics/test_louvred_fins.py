"""What must hold of any louvred core."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.support.fins import LIBRARY_FIN, USUAL_FIN, fin_in_millimetres

from swapwright.physics.cores import (
    Core,
    air_side_area,
    air_side_conductance,
    core_resistance,
    heat_transfer_coefficient,
    louvre_reynolds,
)
from swapwright.physics.louvred_fins import (
    FinFriction,
    LouvredFin,
    colburn_factor,
    fanning_friction_factor,
    fin_share,
    free_area_share,
    hydraulic_diameter,
)

USUAL = Core(USUAL_FIN, face_area=0.2, rows=1)
RHO, MU = 1.15, 1.9e-5

fins = st.builds(
    lambda height, share, tube, **rest: fin_in_millimetres(
        fin_height=height, louvre_length=share * height, tube_thickness=tube,
        tube_pitch=height + tube, **rest,
    ),
    height=st.floats(6, 10), share=st.floats(0.75, 0.9), tube=st.floats(1.5, 2.5),
    fin_pitch=st.floats(1.0, 2.0), depth=st.floats(16, 40), louvre_pitch=st.floats(0.8, 1.7),
    fin_thickness=st.floats(0.05, 0.1), angle=st.floats(22, 30),
)  # fmt: skip


@settings(deadline=None)
@given(fin=fins, face=st.floats(0.05, 0.5), rows=st.integers(1, 3))
def test_pressure_rises_with_flow_and_its_slope_is_true(
    fin: LouvredFin, face: float, rows: int
) -> None:
    law = core_resistance(Core(fin, face, rows), RHO, MU)
    flow = np.linspace(-3, 3, 4001)
    drop, slope = law.drop(flow)
    assert np.all(np.diff(drop) > 0)
    assert np.all(slope > 0)
    # odd: the same loss the other way
    assert drop == pytest.approx(-drop[::-1], rel=1e-12)
    step = 1e-7
    numeric = (law.drop(flow + step)[0] - law.drop(flow - step)[0]) / (2 * step)
    Re = np.abs(flow) * law.reynolds_per_flow
    smooth = np.min([np.abs(Re - kink) for kink in (0.0, 30.0, 130.0, 230.0)], axis=0) > 0.5
    assert slope[smooth] == pytest.approx(numeric[smooth], rel=1e-4)


@settings(deadline=None)
@given(fin=fins)
def test_resistance_keeps_to_the_published_factor(fin: LouvredFin) -> None:
    core = Core(fin, 0.2, 1)
    law = core_resistance(core, RHO, MU)
    Re = np.array([20.0, 60.0, 129.0, 231.0, 700.0, 2000.0, 150.0, 180.0, 210.0])
    flow = Re / law.reynolds_per_flow
    f = law.drop(flow)[0] / (law.drop_per_square * flow**2)
    published = fanning_friction_factor(fin, Re).value
    assume(not FinFriction.of(fin).is_lifted())  # of those see below
    assert f[:6] == pytest.approx(published[:6], rel=1e-12)
    assert f[6:] == pytest.approx(published[6:], rel=0.22)  # power law against straight line


def test_published_line_does_let_pressure_fall() -> None:
    # the reason for the power law between the two forms
    fin = fin_in_millimetres(
        fin_pitch=1.82, fin_height=9.66, depth=22, louvre_length=7.5, louvre_pitch=1.62,
        tube_pitch=12.16, tube_thickness=2.5, fin_thickness=0.069, angle=29,
    )  # fmt: skip
    Re = np.linspace(130, 230, 101)
    assert np.any(np.diff(fanning_friction_factor(fin, Re).value * Re**2) < 0)


def test_friction_joins_without_a_jump() -> None:
    for at in (30.0, 130.0, 230.0):
        below, above = fanning_friction_factor(USUAL_FIN, [at - 1e-6, at + 1e-6]).value
        assert above == pytest.approx(below, rel=1e-6)
    slow, slower = fanning_friction_factor(USUAL_FIN, [20.0, 5.0]).value
    assert slower == pytest.approx(4 * slow, rel=1e-12)


@settings(deadline=None)
@given(fin=fins, low=st.floats(100, 2900), more=st.floats(1.01, 3.0))
def test_coefficient_rises_and_factor_falls_with_flow(
    fin: LouvredFin, low: float, more: float
) -> None:
    j = colburn_factor(fin, [low, low * more]).value
    assert j[1] < j[0]
    h = heat_transfer_coefficient(Core(fin, 0.2, 1), [0.0, low, low * more], 0.027, 0.71).value
    assert h[0] == 0
    assert h[0] < h[1] < h[2]
    # the definition of j, by the other road
    by_definition = j[0] * low * 0.71 ** (1 / 3) * 0.027 / np.asarray(fin.louvre_pitch)
    assert float(h[1]) == pytest.approx(float(by_definition), rel=1e-12)


def test_surface_is_that_of_counted_fins() -> None:
    # tubes in the height, fins along the tube: two faces of each fin between its bends, two walls
    height, width = 0.4, 0.5
    core = Core(USUAL_FIN, height * width, rows=2)
    count = height / 9.8e-3 * width / 1.4e-3
    depth = 2 * 27e-3
    fin_faces = count * 2 * (8e-3 - 0.08e-3) * depth
    walls = count * 2 * (1.4e-3 - 0.08e-3) * depth
    assert float(air_side_area(core)) == pytest.approx(fin_faces + walls, rel=1e-12)
    assert float(fin_share(USUAL_FIN)) == pytest.approx(fin_faces / (fin_faces + walls), rel=1e-12)


def test_rows_and_face_scale_as_they_must() -> None:
    two = Core(USUAL_FIN, 0.2, rows=2)
    wide = Core(USUAL_FIN, 0.4, rows=1)
    flow = np.array(0.9)
    one = float(core_resistance(USUAL, RHO, MU).drop(flow)[0])
    assert float(core_resistance(two, RHO, MU).drop(flow)[0]) == pytest.approx(2 * one)
    assert float(core_resistance(wide, RHO, MU).drop(2 * flow)[0]) == pytest.approx(one)
    assert float(air_side_area(two)) == pytest.approx(2 * float(air_side_area(USUAL)))
    assert float(air_side_area(wide)) == pytest.approx(2 * float(air_side_area(USUAL)))
    # a third denser air at the same Reynolds number is slower and loses by rho V²
    dense = float(core_resistance(USUAL, 2 * RHO, MU).drop(flow / 2)[0])
    assert dense == pytest.approx(one / 2)


def test_air_side_conductance_lies_below_that_of_perfect_fins() -> None:
    h = np.array([50.0, 150.0])
    perfect = h * air_side_area(USUAL)
    real = air_side_conductance(USUAL, h, 200.0)
    assert np.all(real < perfect)
    assert np.all(real > 0.8 * perfect)  # thin aluminium of half a fin's height: 90 % and more
    assert air_side_conductance(USUAL, h, 1e9) == pytest.approx(perfect, rel=1e-6)
    # by hand: m = sqrt(2 · 150/(200 · 0.08 mm)) = 136.9 /m, mL = 0.5477, tanh/mL = 0.9107
    share = float(fin_share(USUAL_FIN))
    assert float(real[1] / perfect[1]) == pytest.approx(1 - share * (1 - 0.9107), abs=1e-4)


@settings(deadline=None)
@given(fin=fins)
def test_free_area_is_a_share_and_diameter_below_twice_the_pitch(fin: LouvredFin) -> None:
    assert 0 < float(free_area_share(fin)) < 1
    assert 0 < float(hydraulic_diameter(fin)) < 2 * float(np.asarray(fin.fin_pitch))


def test_reynolds_counts_either_way() -> None:
    back, there = louvre_reynolds(USUAL, [-0.5, 0.5], RHO, MU)
    assert back == there > 0


def test_marks() -> None:
    heat = colburn_factor(USUAL_FIN, [99.0, 100.0, 3000.0, 3001.0])
    assert heat.extrapolated.tolist() == [True, False, False, True]
    friction = fanning_friction_factor(USUAL_FIN, [99.0, 100.0, 5000.0, 5001.0])
    assert friction.extrapolated.tolist() == [True, False, False, True]
    law = core_resistance(USUAL, RHO, MU)
    marks = law.extrapolated(np.array([99.0, -101.0, 5001.0]) / law.reynolds_per_flow)
    assert marks.tolist() == [True, False, True]
    assert not colburn_factor(LIBRARY_FIN, 500.0).extrapolated
    h = heat_transfer_coefficient(USUAL, [50.0, 500.0], 0.027, 0.7)
    assert h.extrapolated.tolist() == [True, False]


@pytest.mark.parametrize(
    "field, size",
    [("fin_pitch", 0.4e-3), ("fin_height", 30e-3), ("fin_depth", 60e-3), ("louvre_pitch", 3.2e-3),
     ("louvre_length", 2e-3), ("tube_pitch", 30e-3), ("louvre_angle", np.radians(40))],
)  # fmt: skip
def test_a_size_beyond_the_measured_is_marked(field: str, size: float) -> None:
    odd = replace(USUAL_FIN, **{field: np.array([size, getattr(USUAL_FIN, field)])})
    assert colburn_factor(odd, 500.0).extrapolated.tolist() == [True, False]
    assert fanning_friction_factor(odd, 500.0).extrapolated.tolist() == [True, False]
    assert core_resistance(Core(odd, 0.2, 1), RHO, MU).beyond.tolist() == [True, False]


# What the measured cores spanned, in mm and degrees (Chang and Wang 1997, from memory).
SPANS = [
    ("fin_pitch", 0.51, 3.33), ("fin_depth", 15.6, 57.4), ("louvre_length", 2.13, 18.5),
    ("louvre_pitch", 0.5, 3.0), ("tube_pitch", 7.51, 25.0), ("fin_height", 2.84, 25.0),
    ("louvre_angle", 8.4, 35.0),
]  # fmt: skip


@pytest.mark.parametrize("field, low, high", SPANS)
def test_marks_begin_where_the_measured_cores_end(field: str, low: float, high: float) -> None:
    unit = np.pi / 180 if field == "louvre_angle" else 1e-3
    sizes = np.array([0.99 * low, 1.01 * low, 0.99 * high, 1.01 * high]) * unit
    others: dict[str, float] = {}
    if field in ("louvre_length", "fin_height"):  # a louvre is no longer than its fin is high
        others = {"fin_height": 24e-3} if field == "louvre_length" else {"louvre_length": 2.2e-3}
    if field == "tube_pitch":
        others = {"tube_thickness": 1.5e-3}
    odd = replace(USUAL_FIN, **others, **{field: sizes})
    assert colburn_factor(odd, 500.0).extrapolated.tolist() == [True, False, False, True]


def test_fins_just_thick_enough_are_taken() -> None:
    just = replace(USUAL_FIN, fin_thickness=0.0145e-3)  # 0.0104 of the pitch
    assert np.isfinite(fanning_friction_factor(just, 500.0).value)


def test_thin_fins_whose_law_has_no_value_are_refused() -> None:
    thin = replace(USUAL_FIN, fin_thickness=0.0139e-3)  # 0.0099 of the pitch
    with pytest.raises(ValueError, match="above a hundredth of fin_pitch"):
        fanning_friction_factor(thin, 500.0)
    with pytest.raises(ValueError, match="above a hundredth of fin_pitch"):
        core_resistance(Core(thin, 0.2, 1), RHO, MU)
    assert np.isfinite(colburn_factor(thin, 500.0).value)  # heat does not take that logarithm


def test_where_pressure_would_fall_the_high_form_is_lifted_and_marked() -> None:
    odd = fin_in_millimetres(
        fin_pitch=1.9, fin_height=9.7, depth=16, louvre_length=7.3, louvre_pitch=1.6,
        tube_pitch=12.1, tube_thickness=2.4, fin_thickness=0.045, angle=25,
    )  # fmt: skip
    law = core_resistance(Core(odd, 0.2, 1), RHO, MU)
    Re = np.linspace(5, 2000, 4000)
    drop, slope = law.drop(Re / law.reynolds_per_flow)
    assert np.all(np.diff(drop) > 0)
    assert np.all(slope > 0)
    assert np.all(law.extrapolated(Re / law.reynolds_per_flow))
    published = fanning_friction_factor(odd, np.array([129.0, 231.0, 1500.0])).value
    told = law.drop(np.array([129.0, 231.0, 1500.0]) / law.reynolds_per_flow)[0]
    factor = told / (
        law.drop_per_square * (np.array([129.0, 231.0, 1500.0]) / law.reynolds_per_flow) ** 2
    )
    assert factor[0] == pytest.approx(published[0], rel=1e-12)
    assert factor[1] / published[1] == pytest.approx(factor[2] / published[2], rel=1e-12)
    assert 1 < factor[1] / published[1] < 1.25


@pytest.mark.parametrize("field", [field.name for field in fields(LouvredFin)])
@pytest.mark.parametrize("bad", [0.0, -1e-3, np.nan, np.inf])
def test_sizes_that_are_none_are_refused(field: str, bad: float) -> None:
    with pytest.raises(ValueError, match=field):
        replace(USUAL_FIN, **{field: bad})


@pytest.mark.parametrize(
    "field, size, limit",
    [("fin_thickness", 1.5e-3, "fin_pitch"), ("tube_thickness", 9.9e-3, "tube_pitch"),
     ("louvre_length", 8.1e-3, "fin_height"), ("louvre_angle", 27.0, "a right angle")],
)  # fmt: skip
def test_sizes_that_do_not_fit_each_other_are_refused(field: str, size: float, limit: str) -> None:
    with pytest.raises(ValueError, match=rf"{field} must be .* {limit}"):
        replace(USUAL_FIN, **{field: size})


@pytest.mark.parametrize("bad", [np.nan, np.inf, 0.0])
def test_other_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="face_area"):
        Core(USUAL_FIN, bad, 1)
    with pytest.raises(ValueError, match="rows"):
        Core(USUAL_FIN, 0.2, bad)
    with pytest.raises(ValueError, match="reynolds"):
        colburn_factor(USUAL_FIN, bad)
    with pytest.raises(ValueError, match="reynolds"):
        fanning_friction_factor(USUAL_FIN, bad)
    with pytest.raises(ValueError, match="density"):
        core_resistance(USUAL, bad, MU)
    with pytest.raises(ValueError, match="viscosity"):
        louvre_reynolds(USUAL, 0.5, RHO, bad)
    with pytest.raises(ValueError, match="prandtl"):
        heat_transfer_coefficient(USUAL, 500.0, 0.027, bad)


def test_samples_are_worked_out_alone() -> None:
    pitches = np.array([1.2e-3, 1.6e-3])
    both = core_resistance(Core(replace(USUAL_FIN, fin_pitch=pitches), 0.2, 1), RHO, MU)
    for one, low in enumerate(pitches):
        alone = core_resistance(Core(replace(USUAL_FIN, fin_pitch=low), 0.2, 1), RHO, MU)
        found = both.drop(np.full(2, 0.7))[0][one]
        assert found == pytest.approx(float(alone.drop(np.array(0.7))[0]), rel=1e-12)
