"""An operating case as columns: speed, power, air, fan, heater."""

from dataclasses import dataclass

import numpy as np

from swapwright.circuits.inputs import Column, Inputs
from swapwright.library.cases import lacking
from swapwright.model.build import Case
from swapwright.model.values import Value
from swapwright.physics.air import air_density, standard_atmosphere
from swapwright.quantity import Measure

GRAVITY = 9.80665  # m/s²
ROLLING = 0.015  # of the weight; common practice
DRIVELINE = 0.90  # of the engine's power that reaches the road; common practice
FAN_RATED_VOLTAGE = 13.5  # V, at which fan data are stated; common practice


@dataclass(frozen=True)
class Conditions:
    """One case of one build."""

    id: str
    label: str
    speed_ratio: Column  # engine speed over rated speed
    power_share: Column  # power over rated power
    rated_power: Column  # [W]
    road_speed: Column  # [m/s]
    air: Column  # outside [K]
    altitude: Column  # [m]
    coolant: Column | None  # of all coolant where it is given and nothing is in balance [K]
    fan_on: bool
    fan_voltage: Column  # over the voltage that the fan's data are stated at [-]
    heater_open: bool

    @property
    def power(self) -> Column:
        """Of the engine. [W]"""
        return self.power_share * self.rated_power


def conditions(name: str, case: Case, inputs: Inputs) -> Conditions:
    """Read one case.

    Raises
    ------
    ValueError
        If the case lacks something, named as in ``lacking``.
    """
    missing = lacking(case)
    if missing:
        raise ValueError(f"case {name} does not say {', '.join(missing)}")
    reader = _Reader(name, inputs)
    rated = inputs.take("rated_power", inputs.assembly.engine)
    return Conditions(
        id=name,
        label=case.label or name,
        speed_ratio=reader.speed_ratio(case),
        power_share=reader.power_share(case),
        rated_power=rated,
        road_speed=reader.road_speed(case),
        air=reader.said("air", case.air),
        altitude=reader.said("altitude", case.altitude, 0.0),
        coolant=reader.said("coolant", case.coolant) if case.coolant.known else None,
        fan_on=case.fan == "on",
        fan_voltage=reader.said("fan_voltage", case.fan_voltage, FAN_RATED_VOLTAGE)
        / FAN_RATED_VOLTAGE,
        heater_open=case.heater == "open",
    )


def road_load(
    speed: Column, grade: Column, mass: Column, drag_area: Column, density: Column
) -> Column:
    """Power at the flywheel that steady driving takes.

    Parameters
    ----------
    speed : (S,)
        Over the road, against still air. [m/s]
    grade : (S,)
        Rise over way along the level; negative is downhill. [-]
    mass : (S,)
        Of car and trailer. [kg]
    drag_area : (S,)
        Drag coefficient times frontal area. [m²]
    density : (S,)
        Of the air. [kg/m³]

    Returns
    -------
    power : (S,)
        Climbing, rolling at 1.5 % of the weight, and drag, over 0.90 of the driveline; not below
        zero. [W]

    References
    ----------
    .. [1] Balance of forces of a vehicle in steady motion; rolling share and driveline
       efficiency are common practice, from memory.
    """
    slope = np.arctan(grade)
    weight = mass * GRAVITY
    force = weight * (np.sin(slope) + ROLLING * np.cos(slope))
    force = force + 0.5 * density * drag_area * speed**2
    return np.asarray(np.maximum(force * speed / DRIVELINE, 0.0))


class _Reader:
    """Reads the fields of one case."""

    def __init__(self, name: str, inputs: Inputs) -> None:
        self.name, self.inputs, self.engine = name, inputs, inputs.assembly.engine

    def said(self, field: str, value: Value, otherwise: float | None = None) -> Column:
        """A field as a column; its own spread counts. [SI]"""
        if isinstance(value.content, Measure):
            id = f"case {self.name}.{field}"
            return self.inputs.measure(id, f"case {self.name}", field, value.content)
        assert otherwise is not None, field
        return self.inputs.constant(otherwise)

    def speed_ratio(self, case: Case) -> Column:
        """Engine speed over rated speed. [-]"""
        if case.speed_share.known and not case.engine_speed.known:
            return self.said("speed_share", case.speed_share)
        rated = self.inputs.take("rated_speed", self.engine)
        if case.engine_speed.known:
            return self.said("engine_speed", case.engine_speed) / rated
        return self.inputs.take("idle_speed", self.engine) / rated

    def power_share(self, case: Case) -> Column:
        """Power over rated power. [-]"""
        rated = self.inputs.take("rated_power", self.engine)
        if case.power.known:
            return self.said("power", case.power) / rated
        if case.power_share.known:
            return self.said("power_share", case.power_share)
        return np.minimum(self._road_load(case) / rated, 1.0)

    def _road_load(self, case: Case) -> Column:
        """Power at the engine that the laden car needs on the case's road. [W]"""
        car = self.inputs.assembly.recipient
        altitude = self.said("altitude", case.altitude, 0.0)
        density = air_density(self.said("air", case.air), standard_atmosphere(altitude).pressure)
        mass = self.inputs.take("laden_mass", car) + self.said("trailer", case.trailer, 0.0)
        drag = self.inputs.take("drag_area", car)
        return road_load(self.road_speed(case), self.said("grade", case.grade), mass, drag, density)

    def road_speed(self, case: Case) -> Column:
        """Speed of the car over the road. [m/s]"""
        if case.road_speed.known:
            return self.said("road_speed", case.road_speed)
        return self.inputs.take("top_speed", self.inputs.assembly.recipient)
