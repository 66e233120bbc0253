"""The radiator: how much air passes it, and how much heat that air can take."""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.conditions import Conditions
from swapwright.circuits.graph import Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.upset import NOTHING_UPSET, Upset
from swapwright.physics.air import (
    air_conductivity,
    air_density,
    air_heat_capacity,
    air_prandtl,
    air_viscosity,
    ram_pressure,
    standard_atmosphere,
)
from swapwright.physics.air_flow import AirFlow, AirLaw, loss_on_area, operating_flow
from swapwright.physics.convection import overall_conductance, tube_nusselt
from swapwright.physics.cores import (
    Core,
    air_side_conductance,
    core_resistance,
    heat_transfer_coefficient,
    louvre_reynolds,
)
from swapwright.physics.exchangers import conductance_at_rating
from swapwright.physics.fans import Fan, fan_curve, speed_at_voltage
from swapwright.physics.liquids import LiquidState, Mixture
from swapwright.physics.louvred_fins import LouvredFin

ARRANGEMENT: Final = "cross-flow, both unmixed"
FIN_CONDUCTIVITY = 200.0  # W/(m K), aluminium; copper and brass let more through
TUBE_CONDUCTIVITY = 180.0  # W/(m K)
BETWEEN_PLATES = 7.54  # Nusselt number of laminar flow between two warm plates
LOUVRE_SHARE = 0.85  # of the fin's height that is slit; common practice
RATED_AIR = 293.15  # K of the air at which cores are rated; common practice
FAN_AIR = 1.2  # kg/m³, at which fan data are stated; common practice
WARMED = 15.0  # K by which the mean air in the core is taken to be above the outside
SMALLEST_BARE = 0.02  # of the core: a shroud never closes it all


@dataclass(frozen=True)
class Face:
    """Air at the face of one radiator in one case."""

    flow: AirFlow
    core: Core  # the whole of it
    density: Column  # mean over the core [kg/m³]
    capacity_rate: Column  # of the air that passes forwards [W/K]
    inlet: Column  # [K]
    fan_share: Column  # of the core behind the fan


@dataclass(frozen=True)
class Tubes:
    """All tubes of a core beside each other."""

    passage: Column  # [m²]
    diameter: Column  # hydraulic [m]
    area: Column  # inside [m²]
    resistance: Column  # of their walls [K/W]


@dataclass(frozen=True)
class WarmedCore:
    """A core in one case: its heat transfer as far as the coolant does not change it."""

    outer: Column  # air-side conductance [W/K]
    tubes: Tubes
    factor: Column  # on the whole conductance

    def taken(self, samples: NDArray[np.intp]) -> "WarmedCore":
        """The same for some samples."""
        tubes = (self.tubes.passage, self.tubes.diameter, self.tubes.area, self.tubes.resistance)
        factor = self.factor if self.factor.size == 1 else self.factor[samples]
        return WarmedCore(self.outer[samples], Tubes(*(each[samples] for each in tubes)), factor)

    def conductance(self, volume_flow: Column, liquid: LiquidState) -> Column:
        """Overall UA at a coolant flow. [W/K]"""
        tubes = self.tubes
        speed = np.abs(volume_flow) / tubes.passage
        Re = liquid.density * speed * tubes.diameter / liquid.viscosity
        Pr = liquid.viscosity * liquid.heat_capacity / liquid.conductivity
        Nu = tube_nusselt(Re, Pr, BETWEEN_PLATES).nusselt
        inner = Nu * liquid.conductivity / tubes.diameter * tubes.area
        return overall_conductance(self.outer, inner, tubes.resistance) * self.factor


class Radiator:
    """One radiator with its fan, over all samples."""

    def __init__(self, element: Element, inputs: Inputs, upset: Upset = NOTHING_UPSET) -> None:
        self.inputs, self.unit, self.upset = inputs, element.subject, upset
        self.car = element.subject.partition(".")[0]
        assembly = inputs.assembly
        fans = [part.id for part in assembly.parts_of_kind("fan")]
        self.fans = (*fans, self.car)

    def _take(self, fact: str) -> Column:
        return self.inputs.take(fact, self.unit, self.car)

    # -- the core ------------------------------------------------------------

    @cached_property
    def width(self) -> Column:
        """Along the tubes of a cross-flow core. [m]"""
        return self._take("radiator_core_width")

    @cached_property
    def height(self) -> Column:
        """[m]"""
        return self._take("radiator_core_height")

    @cached_property
    def depth(self) -> Column:
        """Along the air, all rows. [m]"""
        return self._take("radiator_core_depth")

    @cached_property
    def tube_pitch(self) -> Column:
        """From tube to tube. [m]"""
        return self._take("radiator_tube_pitch")

    @cached_property
    def tube_width(self) -> Column:
        """Thickness of a tube across the air; it leaves room for a fin. [m]"""
        return np.minimum(self._take("radiator_tube_width"), 0.6 * self.tube_pitch)

    def core(self, share: Column | float = 1.0) -> Core:
        """A share of the core, by its face. One row of the whole depth stands for all rows."""
        fin_height = self.tube_pitch - self.tube_width
        fin = LouvredFin(
            fin_pitch=self._take("radiator_fin_pitch"),
            fin_height=fin_height,
            fin_depth=self.depth,
            fin_thickness=self._take("radiator_fin_thickness"),
            louvre_pitch=self._take("radiator_louvre_pitch"),
            louvre_length=LOUVRE_SHARE * fin_height,
            louvre_angle=self._take("radiator_louvre_angle"),
            tube_pitch=self.tube_pitch,
            tube_depth=self.depth,
            tube_thickness=self.tube_width,
        )
        return Core(fin, share * self.width * self.height, 1.0)

    # -- air -------------------------------------------------------------------

    def face(self, case: Conditions) -> Face:
        """Air through the core where ram pressure, fan and losses meet."""
        pressure = standard_atmosphere(case.altitude).pressure
        mean = case.air + WARMED
        density, viscosity = air_density(mean, pressure), air_viscosity(mean)
        covered = self._covered()
        fan = self._fan(case, density)
        behind: list[AirLaw] = [core_resistance(self.core(covered), density, viscosity), fan]
        bare = [core_resistance(self.core(1 - covered), density, viscosity)]
        outside = air_density(case.air, pressure)
        ram = ram_pressure(case.road_speed, outside) * self.inputs.take(
            "ram_share", self.car, typical="air_share"
        )
        grille = loss_on_area(self._take_of_car("grille_loss"), self.width * self.height, outside)
        flow = operating_flow(ram, [behind, bare], [grille])
        forwards = np.maximum(flow.paths, 0).sum(axis=0)
        rate = forwards * density * air_heat_capacity(mean)
        return Face(flow, self.core(), density, rate, case.air, covered)

    def _covered(self) -> Column:
        return np.clip(self._take_of_car("shroud_share"), 0.05, 1 - SMALLEST_BARE)

    def _take_of_car(self, fact: str) -> Column:
        return self.inputs.take(fact, self.car)

    def _fan(self, case: Conditions, density: Column) -> Fan:
        inputs = self.inputs
        curve = fan_curve(
            inputs.take("fan_free_air_flow", *self.fans),
            inputs.take("fan_shut_off_pressure", *self.fans),
            inputs.typical("fan_exponent", self.fans[0]),
            FAN_AIR,
        )
        disc = np.pi / 4 * inputs.take("fan_diameter", *self.fans) ** 2
        rest = loss_on_area(inputs.typical("fan_at_rest_loss", self.fans[0]), disc, density)
        return Fan(curve, self._fan_speed(case), rest.coefficient, density)

    def _fan_speed(self, case: Conditions) -> Column:
        """Over the speed of its data: by voltage, or with the engine where a belt drives it."""
        if self.inputs.yes("fan_is_electric", self.car) is False:
            return case.speed_ratio * self.upset.fan_speed
        if not case.fan_on:
            return self.inputs.constant(0.0)
        return speed_at_voltage(case.fan_voltage, 1.0, 0.85)

    # -- heat ------------------------------------------------------------------

    def warmed(self, face: Face) -> "WarmedCore":
        """All of the core's heat transfer that hangs on air and sizes alone."""
        outer = self._air_side(face.core, face.flow.total, face.density)
        tubes = self._tubes()
        return WarmedCore(outer, tubes, self._rating(tubes) * self.upset.core_share)

    def _air_side(self, core: Core, air: Column, density: Column) -> Column:
        """Conductance from the tubes' walls to the air. [W/K]"""
        mean = self.inputs.constant(313.15)  # air laws barely move with it
        Re = louvre_reynolds(core, air, density, air_viscosity(mean))
        h = heat_transfer_coefficient(core, Re, air_conductivity(mean), air_prandtl(mean)).value
        return air_side_conductance(core, h, FIN_CONDUCTIVITY)

    def _tubes(self) -> Tubes:
        wall = np.minimum(self._take("radiator_tube_wall"), 0.3 * self.tube_width)
        gap, breadth = self.tube_width - 2 * wall, self.depth - 2 * wall
        number = self.height / self.tube_pitch
        area = number * 2 * (gap + breadth) * self.width
        return Tubes(
            number * gap * breadth,
            2 * gap * breadth / (gap + breadth),
            area,
            wall / (TUBE_CONDUCTIVITY * area),
        )

    def _rating(self, tubes: Tubes) -> Column:
        """Factor on the sizes' UA: what its maker states over what they give at that point."""
        point = [self._said(fact) for fact in RATED_POINT]
        if any(each is None for each in point):
            return self.inputs.typical("core_trust", self.unit)
        heat, coolant, air, difference = (self._take(fact) for fact in RATED_POINT)
        density, warm = self.inputs.constant(FAN_AIR), RATED_AIR + difference
        share = self.inputs.take("coolant_glycol_share", self.inputs.assembly.build.id)
        liquid = Mixture("ethylene", np.clip(share, 0.0, 0.7)).at(np.clip(warm, 273.15, 403.15))
        first = coolant * liquid.density * liquid.heat_capacity
        second = air * density * air_heat_capacity(self.inputs.constant(RATED_AIR))
        rated = conductance_at_rating(ARRANGEMENT, heat, first, second, warm, RATED_AIR)
        sizes = WarmedCore(self._air_side(self.core(), air, density), tubes, np.ones(1))
        return rated / sizes.conductance(coolant, liquid)

    def _said(self, fact: str) -> object:
        return self.inputs.said(fact, self.unit, self.car)


RATED_POINT = (
    "radiator_heat",
    "radiator_rated_coolant_flow",
    "radiator_rated_air_flow",
    "radiator_rated_difference",
)
