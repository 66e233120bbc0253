"""What departs from an operating case: something has failed, or is tried otherwise."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Upset:
    """Departures of one circuit from its case; the default is none.

    Parameters
    ----------
    stuck : float or None
        Opening at which every thermostat stands, whatever it senses; None: they move. [-]
    pump_speed : float
        Share of the engine pump's speed that a slipping belt leaves. [-]
    fan_speed : float
        Share of the speed that the fan would have; 0 is a dead fan. [-]
    heater_shut : bool
        The heater's tap is shut though the case has it open.
    core_share : float
        Share of the radiator's core that liquid passes: the rest holds air or dirt. [-]
    cap_holds : bool
        Whether the cap holds its pressure.

    Raises
    ------
    ValueError
        Where a share does not lie from 0 to 1, or the core's is 0.
    """

    stuck: float | None = None
    pump_speed: float = 1.0
    fan_speed: float = 1.0
    heater_shut: bool = False
    core_share: float = 1.0
    cap_holds: bool = True

    def __post_init__(self) -> None:
        shares = {"stuck": self.stuck, "pump_speed": self.pump_speed, "fan_speed": self.fan_speed}
        for name, share in {**shares, "core_share": self.core_share}.items():
            if share is not None and not 0 <= share <= 1:
                raise ValueError(f"{name} must lie from 0 to 1, got {share:g}")
        if self.core_share == 0:
            raise ValueError("core_share must lie above 0, got 0")


NOTHING_UPSET = Upset()
