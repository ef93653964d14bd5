"""Heat of the engine: what coolant and oil take of it, by load and by use, and how hot the oil grows."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    air_mass_flow_kg_s=(0.0, 3.0),
    fuel_mass_flow_kg_s=(0.0, 0.5),
    heat_capacity_j_kgk=(900.0, 2000.0),
    valve_temperature_k=(600.0, 2200.0),
    outlet_temperature_k=(400.0, 2200.0),
)
def exhaust_side_heat(
    air_mass_flow_kg_s: Array,
    fuel_mass_flow_kg_s: Array,
    heat_capacity_j_kgk: Array,
    valve_temperature_k: Array,
    outlet_temperature_k: Array,
) -> Array:
    """Heat that the exhaust loses to ports and manifold.

    Parameters
    ----------
    air_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 3.
    fuel_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 0.5.
    heat_capacity_j_kgk : array
        Of the exhaust. [J/(kg*K)] Valid 900 to 2000.
    valve_temperature_k : array
        As it leaves the valves. [K] Valid 600 to 2200.
    outlet_temperature_k : array
        Behind the manifold. [K] Valid 400 to 2200.

    Returns
    -------
    exhaust_side_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    (air_mass_flow_kg_s + fuel_mass_flow_kg_s) * heat_capacity_j_kgk * (valve_temperature_k - outlet_temperature_k)

    Source
    ------
    heywood-1988, sec. 12.3

    Examples
    --------
    >>> round(exhaust_side_heat(0.2, 0.016, 1330.0, 1300.0, 1170.0))
    37346
    """
    leaving = air_mass_flow_kg_s + fuel_mass_flow_kg_s
    return leaving * heat_capacity_j_kgk * (valve_temperature_k - outlet_temperature_k)


@valid(
    friction_mean_effective_pressure_pa=(0.0, 1e6), displacement_m3=(5e-5, 0.05), speed_rad_s=(0.0, 1500.0)
)
def friction_heat(friction_mean_effective_pressure_pa: Array, displacement_m3: Array, speed_rad_s: Array) -> Array:
    """Heat of friction, a supercharger's drive not counted.

    Parameters
    ----------
    friction_mean_effective_pressure_pa : array
        Rubbing and the engine's own drives. [Pa] Valid 0 to 1e6.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-5 to 0.05.
    speed_rad_s : array
        Of the crank. [rad/s] Valid 0 to 1500.

    Returns
    -------
    friction_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    friction_mean_effective_pressure_pa * displacement_m3 * speed_rad_s / (4 * pi)

    Source
    ------
    heywood-1988, eq. 2.19

    Examples
    --------
    >>> round(friction_heat(2.0e5, 2.0e-3, 733.0))
    23332
    """
    return friction_mean_effective_pressure_pa * displacement_m3 * speed_rad_s / (4.0 * np.pi)


@valid(
    crown_heat_w=(0.0, 1e5),
    cylinders=(1.0, 16.0),
    ring_conductance_w_mk=(50.0, 5000.0),
    splash_conductance_w_mk=(0.0, 1000.0),
    jet_conductance_w_mk=(0.0, 1000.0),
    oil_jets=(0.0, 1.0),
)
def crown_heat_to_oil(
    crown_heat_w: Array,
    cylinders: Array,
    ring_conductance_w_mk: Array,
    splash_conductance_w_mk: Array,
    jet_conductance_w_mk: Array,
    oil_jets: Array,
) -> Array:
    """Heat that the oil takes from the undersides of all pistons; rings carry the rest to the bores.

    The two paths share as they conduct, as if oil and bore were equally hot.

    Parameters
    ----------
    crown_heat_w : array
        Into one crown. [W] Valid 0 to 1e5.
    cylinders : array
        Number of cylinders. [1] Valid 1 to 16.
    ring_conductance_w_mk : array
        From the ring belt into the bore, over the bore. [W/(m*K)] Valid 50 to 5000.
    splash_conductance_w_mk : array
        From the underside into splashed oil, over the bore. [W/(m*K)] Valid 0 to 1000.
    jet_conductance_w_mk : array
        What oil jets add to that. [W/(m*K)] Valid 0 to 1000.
    oil_jets : array
        Whether there are any; 1 or 0. [1] Valid 0 to 1.

    Returns
    -------
    crown_heat_to_oil_w : array
        Of the engine. [W]

    Equation
    --------
    to_oil = splash_conductance_w_mk + jet_conductance_w_mk * oil_jets
    crown_heat_w * cylinders * to_oil / (ring_conductance_w_mk + to_oil)

    Source
    ------
    own-computation, two paths in parallel

    Examples
    --------
    >>> round(float(crown_heat_to_oil(4.0e3, 4, 640.0, 115.0, 90.0, 1)))
    3882
    """
    to_oil = splash_conductance_w_mk + jet_conductance_w_mk * np.asarray(oil_jets, dtype=float)
    return crown_heat_w * cylinders * to_oil / (ring_conductance_w_mk + to_oil)


@valid(
    fuel_power_w=(0.0, 10e6),
    wall_share=(0.0, 0.6),
    exhaust_side_heat_w=(-1e4, 1e6),
    port_share=(0.0, 1.0),
    crown_oil_heat_w=(0.0, 3e5),
    friction_heat_w=(0.0, 1e6),
    friction_to_coolant=(0.0, 1.0),
    wall_factor=(0.3, 3.0),
)
def coolant_heat(
    fuel_power_w: Array,
    wall_share: Array,
    exhaust_side_heat_w: Array,
    port_share: Array,
    crown_oil_heat_w: Array,
    friction_heat_w: Array,
    friction_to_coolant: Array,
    wall_factor: Array = 1.0,
) -> Array:
    """Heat to the coolant at full load: walls and ports, less what manifold and oil carry off, with piston friction.

    Parameters
    ----------
    fuel_power_w : array
        Heat that the fuel brings. [W] Valid 0 to 10e6.
    wall_share : array
        Walls, ports and manifold, less what warms the charge, over the fuel's heat. [1] Valid 0 to 0.6.
    exhaust_side_heat_w : array
        Of ports and manifold. [W] Valid -1e4 to 1e6.
    port_share : array
        Part of it that goes into the head; the manifold gives the rest to the air. [1] Valid 0 to 1.
    crown_oil_heat_w : array
        From pistons to the oil. [W] Valid 0 to 3e5.
    friction_heat_w : array
        Of all friction. [W] Valid 0 to 1e6.
    friction_to_coolant : array
        Part of it that goes through the bores. [1] Valid 0 to 1.
    wall_factor : array
        On walls and ports, for what test beds find beyond this sum. [1] Valid 0.3 to 3.

    Returns
    -------
    coolant_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    walls = fuel_power_w * wall_share - (1 - port_share) * exhaust_side_heat_w
    wall_factor * walls - crown_oil_heat_w + friction_to_coolant * friction_heat_w

    Source
    ------
    heywood-1988, sec. 12.3

    Examples
    --------
    >>> round(coolant_heat(750e3, 0.11, 30e3, 0.5, 3e3, 30e3, 0.42))
    77100
    """
    walls = fuel_power_w * wall_share - (1.0 - np.asarray(port_share)) * exhaust_side_heat_w
    return wall_factor * walls - crown_oil_heat_w + friction_to_coolant * friction_heat_w


@valid(
    crown_oil_heat_w=(0.0, 3e5),
    friction_heat_w=(0.0, 1e6),
    friction_to_coolant=(0.0, 1.0),
    turbo_heat_w=(0.0, 2e4),
    turbos=(0.0, 8.0),
)
def oil_heat(
    crown_oil_heat_w: Array,
    friction_heat_w: Array,
    friction_to_coolant: Array,
    turbo_heat_w: Array,
    turbos: Array,
) -> Array:
    """Heat to the oil at full load: undersides of pistons, friction but that of the bores, bearings of turbochargers.

    Parameters
    ----------
    crown_oil_heat_w : array
        From pistons. [W] Valid 0 to 3e5.
    friction_heat_w : array
        Of all friction. [W] Valid 0 to 1e6.
    friction_to_coolant : array
        Part of it that goes through the bores. [1] Valid 0 to 1.
    turbo_heat_w : array
        That one turbocharger gives to the oil. [W] Valid 0 to 2e4.
    turbos : array
        How many there are. [1] Valid 0 to 8.

    Returns
    -------
    oil_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    crown_oil_heat_w + (1 - friction_to_coolant) * friction_heat_w + turbos * turbo_heat_w

    Source
    ------
    heywood-1988, sec. 12.3 and 13.6

    Examples
    --------
    >>> round(float(oil_heat(3e3, 30e3, 0.42, 2e3, 1)))
    22400
    """
    rubbed = (1.0 - np.asarray(friction_to_coolant)) * friction_heat_w
    return crown_oil_heat_w + rubbed + turbos * np.asarray(turbo_heat_w)


@valid(heat_w=(-2e4, 1e6), duty_share=(0.0, 1.0))
def mean_heat(heat_w: Array, duty_share: Array) -> Array:
    """Heat that has to be shed on the mean while the use lasts.

    Parameters
    ----------
    heat_w : array
        At full load. [W] Valid -2e4 to 1e6.
    duty_share : array
        Mean over full load, by the use. [1] Valid 0 to 1.

    Returns
    -------
    mean_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    heat_w * duty_share

    Source
    ------
    common-practice

    Examples
    --------
    >>> mean_heat(80e3, 0.6)
    48000.0
    """
    return heat_w * duty_share


@valid(
    mean_heat_w=(0.0, 3e5),
    coolant_temperature_k=(320.0, 500.0),
    air_temperature_k=(230.0, 330.0),
    block_conductance_w_k=(10.0, 3000.0),
    sump_conductance_w_k=(1.0, 1000.0),
    oil_cooler=(0.0, 1.0),
    cooler_heat_w=(0.0, 2e5),
    at_difference_k=(5.0, 120.0),
    cooler_opens_k=(300.0, 400.0),
)
def oil_temperature(
    mean_heat_w: Array,
    coolant_temperature_k: Array,
    air_temperature_k: Array,
    block_conductance_w_k: Array,
    sump_conductance_w_k: Array,
    oil_cooler: Array,
    cooler_heat_w: Array,
    at_difference_k: Array,
    cooler_opens_k: Array,
) -> Array:
    """Oil in the sump when the use has lasted: heat in equals heat out through block, sump and cooler.

    Parameters
    ----------
    mean_heat_w : array
        To the oil, mean of the use. [W] Valid 0 to 3e5.
    coolant_temperature_k : array
        Of the coolant about which the oil runs. [K] Valid 320 to 500.
    air_temperature_k : array
        At sump and cooler. [K] Valid 230 to 330.
    block_conductance_w_k : array
        From oil through galleries, walls and a plate cooler into coolant. [W/K] Valid 10 to 3000.
    sump_conductance_w_k : array
        From oil through the sump into air. [W/K] Valid 1 to 1000.
    oil_cooler : array
        Whether oil runs through an air cooler; 1 or 0. [1] Valid 0 to 1.
    cooler_heat_w : array
        That it gives off at its rated difference, in the air of the use. [W] Valid 0 to 2e5.
    at_difference_k : array
        Rated oil less air temperature. [K] Valid 5 to 120.
    cooler_opens_k : array
        Oil at which its thermostat lets oil through. [K] Valid 300 to 400.

    Returns
    -------
    oil_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    cooler = oil_cooler * cooler_heat_w / at_difference_k
    warmed = mean_heat_w + block_conductance_w_k * coolant_temperature_k + sump_conductance_w_k * air_temperature_k
    bare = warmed / (block_conductance_w_k + sump_conductance_w_k)
    cooled = (warmed + cooler * air_temperature_k) / (block_conductance_w_k + sump_conductance_w_k + cooler)
    max(cooled, min(bare, cooler_opens_k))

    Source
    ------
    own-computation, steady balance of heat; conductances of a class

    Examples
    --------
    >>> given = (14e3, 370.0, 308.0, 260.0, 35.0)
    >>> [round(float(oil_temperature(*given, cooler, 9e3, 60.0, 358.0) - 273.15)) for cooler in (0, 1)]
    [137, 103]
    """
    cooler = np.asarray(oil_cooler, dtype=float) * cooler_heat_w / at_difference_k
    warmed = (
        mean_heat_w + block_conductance_w_k * coolant_temperature_k + sump_conductance_w_k * air_temperature_k
    )
    still = block_conductance_w_k + sump_conductance_w_k
    bare = warmed / still
    cooled = (warmed + cooler * air_temperature_k) / (still + cooler)
    return np.maximum(cooled, np.minimum(bare, cooler_opens_k))


@valid(
    gas_temperature_k=(600.0, 2200.0),
    air_mass_flow_kg_s=(1e-3, 3.0),
    fuel_mass_flow_kg_s=(1e-5, 0.5),
    heat_capacity_j_kgk=(900.0, 2000.0),
    turbine_work_w=(0.0, 3e5),
    pipe_loss_k=(0.0, 400.0),
)
def catalyst_temperature(
    gas_temperature_k: Array,
    air_mass_flow_kg_s: Array,
    fuel_mass_flow_kg_s: Array,
    heat_capacity_j_kgk: Array,
    turbine_work_w: Array,
    pipe_loss_k: Array,
) -> Array:
    """Exhaust that reaches the catalyst, full load held; a rich exhaust holds no air to burn there.

    Misfire brings air and fuel together in the bed and adds hundreds of kelvins that are not in here.  Not a number
    where more is taken from the exhaust than it holds.

    Parameters
    ----------
    gas_temperature_k : array
        Behind the manifold. [K] Valid 600 to 2200.
    air_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 1e-3 to 3.
    fuel_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 1e-5 to 0.5.
    heat_capacity_j_kgk : array
        Of the exhaust. [J/(kg*K)] Valid 900 to 2000.
    turbine_work_w : array
        Taken from it for the compressors; 0 without turbochargers. [W] Valid 0 to 3e5.
    pipe_loss_k : array
        Lost to housing and pipe on the way. [K] Valid 0 to 400.

    Returns
    -------
    catalyst_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    flow = air_mass_flow_kg_s + fuel_mass_flow_kg_s
    gas_temperature_k - turbine_work_w / (flow * heat_capacity_j_kgk) - pipe_loss_k

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(catalyst_temperature(1130.0, 0.2, 0.016, 1250.0, 14e3, 60.0)))
    1018
    """
    flow = air_mass_flow_kg_s + fuel_mass_flow_kg_s
    left = gas_temperature_k - turbine_work_w / (flow * np.asarray(heat_capacity_j_kgk)) - pipe_loss_k
    return np.where(left > 0.0, left, np.nan)[()]
