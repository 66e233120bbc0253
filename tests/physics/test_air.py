"""What must hold of air, fans and the flow they settle at."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.support.fins import USUAL_FIN

from swapwright.physics.air import (
    air_conductivity,
    air_density,
    air_heat_capacity,
    air_prandtl,
    air_viscosity,
    ram_pressure,
    standard_atmosphere,
)
from swapwright.physics.air_flow import (
    AirLaw,
    PowerLoss,
    loss_on_area,
    loss_through_point,
    operating_flow,
)
from swapwright.physics.cores import Core, core_resistance
from swapwright.physics.fans import Fan, fan_curve, speed_at_voltage
from swapwright.physics.pumps import curve_through_points

RHO = 1.15
CORE = core_resistance(Core(USUAL_FIN, 0.2, 1), RHO, 1.9e-5)


def fan(free: float, shut_off: float, exponent: float = 2.0, speed: float = 1.0) -> Fan:
    return Fan(fan_curve(free, shut_off, exponent, RHO), speed, 60.0, RHO)


# properties


def test_air_follows_the_gas_law() -> None:
    one = float(air_density(300.0, 1e5))
    assert float(air_density(300.0, 2e5)) == pytest.approx(2 * one)
    assert float(air_density(400.0, 1e5)) == pytest.approx(0.75 * one)


def test_hotter_air_is_stickier_conducts_more_and_is_thinner() -> None:
    T = np.linspace(200, 450, 60)
    for law in (air_viscosity, air_conductivity):
        assert np.all(np.diff(law(T)) > 0)
    assert np.all(np.diff(air_density(T, 1e5)) < 0)
    assert np.all(np.abs(air_heat_capacity(T) - 1010) < 15)
    assert air_prandtl(T) == pytest.approx(
        air_viscosity(T) * air_heat_capacity(T) / air_conductivity(T)
    )


def test_atmosphere_hangs_together() -> None:
    z = np.linspace(-1000, 11000, 2401)
    air = standard_atmosphere(z)
    assert air.density == pytest.approx(air_density(air.temperature, air.pressure))
    assert np.all(np.diff(air.pressure) < 0)
    # the weight of a layer is the pressure it carries; gravity falls off with height
    middle = standard_atmosphere((z[1:] + z[:-1]) / 2)
    gravity = 9.80665 * (6356766 / (6356766 + (z[1:] + z[:-1]) / 2)) ** 2
    assert -np.diff(air.pressure) == pytest.approx(middle.density * gravity * 5.0, rel=1e-6)


@settings(deadline=None)
@given(speed=st.floats(0.0, 60.0))
def test_ram_goes_with_the_square(speed: float) -> None:
    one, twice = ram_pressure([speed, 2 * speed], 1.2)
    assert twice == pytest.approx(4 * one)
    assert one == pytest.approx(0.6 * speed**2)


@pytest.mark.parametrize("bad", [np.nan, np.inf, -1.0])
def test_nonsense_of_air_is_refused(bad: float) -> None:
    for law in (air_viscosity, air_conductivity, air_heat_capacity, air_prandtl):
        with pytest.raises(ValueError, match="temperature"):
            law([300.0, bad])
    with pytest.raises(ValueError, match="absolute_pressure"):
        air_density(300.0, bad)
    with pytest.raises(ValueError, match="speed"):
        ram_pressure(bad, 1.2)
    with pytest.raises(ValueError, match="density"):
        ram_pressure(1.0, bad)


@pytest.mark.parametrize("altitude", [-1001.0, 11001.0, np.nan])
def test_altitudes_beyond_are_refused(altitude: float) -> None:
    with pytest.raises(ValueError, match="altitude"):
        standard_atmosphere(altitude)


def test_ranges_of_air_are_refused_beyond() -> None:
    for temperature in (199.0, 451.0):
        with pytest.raises(ValueError, match="200 to 450 K"):
            air_viscosity(temperature)
    for pressure in (0.0, 5.1e5):
        with pytest.raises(ValueError, match="absolute_pressure"):
            air_density(300.0, pressure)


# fans


@settings(deadline=None)
@given(
    free=st.floats(0.1, 2.0), top=st.floats(20.0, 400.0), exponent=st.floats(1.0, 3.0),
    speed=st.floats(0.2, 1.3),
)  # fmt: skip
def test_fan_always_falls_and_goes_through_its_ends(
    free: float, top: float, exponent: float, speed: float
) -> None:
    law = fan(free, top, exponent, speed)
    flow = np.linspace(-1.0, 2.0, 301) * free * speed
    drop, slope = law.drop(flow)
    assert np.all(np.diff(drop) >= 0)
    assert np.all(slope >= 0)
    assert float(law.drop(np.array([0.0]))[0][0]) == pytest.approx(-top * speed**2)
    assert float(law.drop(np.array([free * speed]))[0][0]) == pytest.approx(0, abs=1e-9 * top)
    step = 1e-6 * free
    numeric = (law.drop(flow + step)[0] - law.drop(flow - step)[0]) / (2 * step)
    away = np.abs(flow) > 0.005 * free  # from no flow, where a power law has a kink
    assert slope[away] == pytest.approx(numeric[away], rel=1e-3, abs=1e-3 * top / free)


def test_fan_through_points_takes_its_points_and_refuses_a_hump() -> None:
    points = curve_through_points([0.0, 0.3, 0.5, 0.65], [190.0, 140.0, 70.0, 0.0], RHO)
    law = Fan(points, 1.0, 60.0, RHO)
    drop, _ = law.drop(np.array([0.0, 0.3, 0.5, 0.65]))
    assert drop == pytest.approx([-190, -140, -70, 0], abs=1e-9)
    assert law.extrapolated(np.array([-0.1, 0.0, 0.65, 0.7])).tolist() == [True, False, False, True]
    with pytest.raises(ValueError, match="hump"):
        curve_through_points([0.0, 0.3, 0.5, 0.65], [150.0, 140.0, 145.0, 0.0], RHO)


def test_fan_at_rest_is_a_resistance() -> None:
    law = Fan(fan_curve(0.6, 180.0, 2.0, RHO), [0.0, 1.0], 60.0, RHO)
    drop, slope = law.drop(np.array([0.5, 0.5]))
    assert drop[0] == pytest.approx(60 * 0.25)
    assert slope[0] == pytest.approx(60.0)
    assert drop[1] < 0
    back, _ = law.drop(np.array([-0.5, 0.5]))
    assert back[0] == pytest.approx(-15.0)
    assert law.extrapolated(np.array([0.9, 0.9])).tolist() == [False, True]


def test_more_voltage_more_speed() -> None:
    ratio = speed_at_voltage(np.linspace(0, 16, 50), 13.5, 0.8)
    assert ratio[0] == 0
    assert np.all(np.diff(ratio) > 0)
    assert float(speed_at_voltage(13.5, 13.5, 0.8)) == 1.0


@pytest.mark.parametrize("bad", [np.nan, np.inf, -1.0])
def test_nonsense_of_fans_is_refused(bad: float) -> None:
    curve = fan_curve(0.6, 180.0, 2.0, RHO)
    with pytest.raises(ValueError, match="free_flow"):
        fan_curve(bad, 180.0, 2.0, RHO)
    with pytest.raises(ValueError, match="shut_off"):
        fan_curve(0.6, bad, 2.0, RHO)
    with pytest.raises(ValueError, match="density"):
        fan_curve(0.6, 180.0, 2.0, bad)
    with pytest.raises(ValueError, match="exponent"):
        fan_curve(0.6, 180.0, bad, RHO)
    with pytest.raises(ValueError, match="voltage"):
        speed_at_voltage(bad, 13.5, 1.0)
    with pytest.raises(ValueError, match="rated_voltage"):
        speed_at_voltage(12.0, bad, 1.0)
    with pytest.raises(ValueError, match="speed_ratio"):
        Fan(curve, bad, 60.0, RHO)
    with pytest.raises(ValueError, match="at_rest"):
        Fan(curve, 1.0, bad, RHO)
    with pytest.raises(ValueError, match="density"):
        Fan(curve, 1.0, 60.0, bad)


# where driving pressure and losses meet


@settings(deadline=None)
@given(
    top=st.floats(20.0, 400.0), free=st.floats(0.1, 2.0), loss=st.floats(0.1, 500.0),
    ram=st.floats(-15.0, 700.0),
)  # fmt: skip
def test_parabola_against_parabola_is_solved_exactly(
    top: float,
    free: float,
    loss: float,
    ram: float,
) -> None:
    system = loss_through_point(1.0, loss, 2.0)
    found = operating_flow(ram, [[fan(free, top), system]])
    assert found.converged.all()
    exact = np.sqrt((top + ram) / (loss + top / free**2))
    assert float(found.total[0]) == pytest.approx(exact, rel=1e-7)


@settings(deadline=None)
@given(
    ram=st.floats(-50.0, 800.0), speed=st.sampled_from([0.0, 0.3, 0.7, 1.0]),
    grille=st.floats(0.0, 300.0), shroud=st.floats(0.5, 200.0), bare=st.floats(0.5, 200.0),
    exponent=st.floats(1.0, 2.0),
)  # fmt: skip
def test_pressures_meet_on_every_path(
    ram: float, speed: float, grille: float, shroud: float, bare: float, exponent: float
) -> None:
    behind_fan: list[AirLaw] = [
        CORE, loss_through_point(1.0, shroud, 2.0), fan(0.6, 180.0, 1.6, speed)
    ]  # fmt: skip
    beside: list[AirLaw] = [CORE, loss_through_point(1.0, bare, exponent)]
    front: list[AirLaw] = [loss_through_point(1.0, grille, 2.0)]
    found = operating_flow([ram], [behind_fan, beside], front)
    assert found.converged.all()
    for laws, flow in zip((behind_fan, beside), found.paths, strict=True):
        drop = sum(float(law.drop(flow)[0][0]) for law in [*laws])
        drop += float(front[0].drop(found.total)[0][0])
        assert drop == pytest.approx(ram, abs=2e-6 + 2e-8 * (abs(ram) + 400))
    assert found.total == pytest.approx(found.paths.sum(axis=0))
    across = ram - float(front[0].drop(found.total)[0][0])
    assert float(found.pressure[0]) == pytest.approx(across)


def test_more_wind_and_more_fan_never_blow_less() -> None:
    ram = np.linspace(0, 700, 200)
    paths: list[list[AirLaw]] = [[CORE, fan(0.6, 180.0)], [CORE, loss_through_point(1.0, 30, 2.0)]]
    found = operating_flow(ram, paths, [loss_through_point(1.0, 80.0, 2.0)])
    assert found.converged.all()
    assert np.all(np.diff(found.total) > 0)
    speeds = np.linspace(0.05, 1.2, 100)
    turned = Fan(fan_curve(0.6, 180.0, 2.0, RHO), speeds, 60.0, RHO)
    more = operating_flow(np.full(100, 20.0), [[CORE, turned]])
    assert np.all(np.diff(more.total) > 0)


def test_fan_without_wind_draws_back_through_the_bare_part() -> None:
    paths: list[list[AirLaw]] = [[CORE, fan(0.6, 180.0)], [CORE]]
    found = operating_flow(0.0, paths, [loss_through_point(1.0, 200.0, 2.0)])
    assert found.paths[0, 0] > 0 > found.paths[1, 0]
    assert found.pressure[0] < 0


def test_equal_paths_share_equally_and_one_path_of_twice_the_size_is_the_same() -> None:
    one: list[AirLaw] = [loss_on_area(4.0, 0.1, RHO)]
    two = operating_flow(100.0, [one, one])
    whole = operating_flow(100.0, [[loss_on_area(4.0, 0.2, RHO)]])
    assert two.paths[0] == pytest.approx(two.paths[1])
    assert two.total == pytest.approx(whole.total, rel=1e-9)
    # by Bernoulli: V = sqrt(2 dp/(K rho))
    assert float(whole.total[0]) == pytest.approx(0.2 * np.sqrt(200 / (4 * RHO)), rel=1e-9)


def test_no_wind_no_fan_no_flow() -> None:
    off: list[AirLaw] = [CORE, fan(0.6, 180.0, 2.0, 0.0)]
    found = operating_flow(np.zeros(3), [off, [loss_through_point(1.0, 30.0, 2.0)]])
    assert found.converged.all()
    assert np.abs(found.total).max() < 1e-3


def test_stretched_laws_are_marked_sample_by_sample() -> None:
    paths: list[list[AirLaw]] = [[fan(0.3, 180.0), loss_through_point(1.0, 60.0, 2.0)]]
    found = operating_flow([0.0, 700.0], paths)
    assert found.extrapolated.tolist() == [False, True]
    core = operating_flow([2.0, 150.0], [[CORE]])  # Re below 100 at first
    assert core.extrapolated.tolist() == [True, False]


def test_what_never_meets_is_not_called_converged() -> None:
    nothing = PowerLoss(np.array([0.0, 1.0]), np.array(2.0))
    assert operating_flow(100.0, [[nothing]]).converged.tolist() == [False, True]


def test_samples_do_not_disturb_each_other() -> None:
    ram = np.array([0.0, 3.0, 250.0, 700.0])
    paths: list[list[AirLaw]] = [[CORE, fan(0.6, 180.0)], [CORE]]
    front: list[AirLaw] = [loss_through_point(1.0, 80.0, 2.0)]
    together = operating_flow(ram, paths, front)
    for at, one in enumerate(ram):
        alone = operating_flow(one, paths, front)
        assert together.total[at] == pytest.approx(float(alone.total[0]), rel=1e-6, abs=1e-6)


def test_losses_and_paths_that_are_none_are_refused() -> None:
    nothing: list[list[list[AirLaw]]] = [[], [[]], [[CORE], []]]
    for none in nothing:
        with pytest.raises(ValueError, match="one path or more"):
            operating_flow(1.0, none)
    with pytest.raises(ValueError, match="driving_pressure"):
        operating_flow(np.nan, [[CORE]])
    with pytest.raises(ValueError, match="loss_coefficient"):
        loss_on_area(-1.0, 0.1, RHO)
    with pytest.raises(ValueError, match="area"):
        loss_on_area(1.0, 0.0, RHO)
    with pytest.raises(ValueError, match="volume_flow"):
        loss_through_point(0.0, 1.0, 2.0)
    with pytest.raises(ValueError, match="pressure_drop"):
        loss_through_point(1.0, -1.0, 2.0)
    for exponent in (0.9, 2.1):
        with pytest.raises(ValueError, match="exponent must lie in 1 to 2"):
            loss_through_point(1.0, 1.0, exponent)


@settings(deadline=None)
@given(flow=st.floats(-2.0, 2.0), exponent=st.floats(1.0, 2.0))
def test_losses_are_odd_and_their_slope_is_true(flow: float, exponent: float) -> None:
    law = loss_through_point(0.5, 120.0, exponent)
    at, back = (float(law.drop(np.array(q))[0]) for q in (flow, -flow))
    assert back == -at
    assert float(law.drop(np.array(0.5))[0]) == pytest.approx(120.0)
    step = 1e-6
    slope = float(law.drop(np.array(flow))[1])
    numeric = (law.drop(np.array(flow + step))[0] - law.drop(np.array(flow - step))[0]) / (2 * step)
    if abs(flow) > 1e-3:
        assert slope == pytest.approx(float(numeric), rel=1e-3)
    assert not law.extrapolated(np.array(flow))


@pytest.mark.slow
def test_ten_thousand_operating_points() -> None:
    draw = np.random.default_rng(3)
    ram = draw.uniform(0, 700, 10_000)
    speeds = draw.choice([0.0, 0.6, 1.0], 10_000)
    turned = Fan(fan_curve(draw.uniform(0.4, 0.9, 10_000), 180.0, 2.0, RHO), speeds, 60.0, RHO)
    paths: list[list[AirLaw]] = [[CORE, turned], [CORE]]
    start = time.perf_counter()
    found = operating_flow(ram, paths, [loss_on_area(3.0, 0.15, RHO)])
    assert found.converged.all()
    assert time.perf_counter() - start < 3.0  # a tenth of that where nothing else runs


@given(st.floats(-1000, 10990))
def test_air_thins_upwards_as_its_weight_says(altitude: float) -> None:
    """dp/dz = -ρ g, with gravity falling by the inverse square of the distance to the centre."""
    low, high = standard_atmosphere(altitude), standard_atmosphere(altitude + 10)
    gravity = 9.80665 * (6356766 / (6356766 + altitude + 5)) ** 2
    mean = (low.density + high.density) / 2
    assert low.pressure - high.pressure == pytest.approx(mean * gravity * 10, rel=1e-6)
