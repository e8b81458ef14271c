"""Limits that move with another reading, give way to one, or go by what was configured."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

TORQUE_BY_CURVE = Shape(
    "a maximum that moves with two other readings, with a value for when one is not valid",
    {
        # Of the chart itself nothing could be read: every point is invented, only the last value is published.
        "engine": """
source POH "Cessna 208B EX POH, page 518"
source TRADE common practice "invented: the chart was not read, only that torque falls along it"
quantity oat "Outside air temperature" from -60 to 60 C, step 1 C, source TRADE
quantity altitude "Pressure altitude" from 0 to 25000 ft, step 100 ft, source TRADE
quantity torque "Torque" from 0 to 3000 lbft, step 1 lbft, source TRADE
curve by_temperature over oat: -20 C -> 2700 lbft, 40 C -> 2397 lbft, otherwise 2397 lbft
curve by_altitude over altitude: 5000 ft -> 2700 lbft, 25000 ft -> 2397 lbft, otherwise 2397 lbft
hot: limit torque at most by_temperature, needs warning, source POH "otherwise 2397 lbft", source TRADE
high: limit torque at most by_altitude, needs warning, source POH "otherwise 2397 lbft", source TRADE
"""
    },
    """
use profile "engine"
torque at most 2397 lbft is green
torque from 2397 lbft to by_temperature is yellow unless torque above by_altitude
torque above by_temperature is red with warning "TORQUE TEMP"
torque above by_altitude is red with warning "TORQUE ALT"
""",
    {
        "one of the two left out": slip({"torque above by_altitude": None}, "gap", "unguarded-limit", "missing-alert"),
        "a fixed red line": slip(
            {"torque above by_temperature": ("by_temperature", "2600 lbft")},
            "conflict",
            "gap",
            "unguarded-limit",
            "missing-alert",
        ),
        "no value for a dead probe": slip(
            {"curve by_temperature": ("40 C -> 2397 lbft, otherwise 2397 lbft", "40 C -> 2397 lbft")}, "lost-guard"
        ),
        "a value for a dead probe that is too high": slip(
            {"curve by_temperature": ("otherwise 2397", "otherwise 2500")}, "lost-guard"
        ),
    },
)

BOOST_OVER_AMBIENT = Shape(
    "a range relative to the pressure outside",
    {
        # 60 and 90 mm of mercury, 25.4 mm to the inch.
        "engine": """
source MANUAL "Vedeneyev M-14P engine manual (in Russian), run-up at Nominal II"
source TRADE common practice
quantity rpm "Engine speed" from 0 to 110 %, step 1 %, source TRADE
quantity ambient "Ambient pressure" from 15 to 32 inHg, step 0.1 inHg, source TRADE
quantity boost "Pressure behind the blower" from 10 to 45 inHg, step 0.1 inHg, source TRADE
let least = ambient + 60 inHg / 25.4
let most = ambient + 90 inHg / 25.4
condition nominal means rpm from 69 to 71 %, source MANUAL "70 %", source TRADE "a step to either side"
run_up: when nominal limit boost from least to most, needs caution, source MANUAL "Po + 75 mmHg, plus or minus 15"
"""
    },
    """
use profile "engine"
condition checking means nominal or rpm failed
boost at least 10 inHg is green
low: when checking then boost below least is red with caution "BOOST LOW"
high: when checking then boost above most is red with caution "BOOST HIGH"
blind: when checking and ambient failed then boost at least 10 inHg is red with caution "BOOST UNKNOWN"
""",
    {
        "the range of sea level only": slip({"low:": ("least", "32.3 inHg")}, "unguarded-limit", "missing-alert"),
        "no lower end": slip({"low:": None}, "unguarded-limit", "missing-alert"),
        "nothing for a dead ambient probe": slip({"blind:": None}, "lost-guard"),
    },
)

COLD_OIL_OVERBOOST = Shape(
    "an exceedance that cold oil makes tolerable",
    {
        "engine": """
source POH second hand "a checklist file that cites the Beech A36TC POH, P/N 36-590003-3"
source TRADE common practice
quantity oil_temp "Oil temperature" from -40 to 150 C, step 1 C, source TRADE
quantity map "Manifold pressure" from 10 to 45 inHg, step 0.1 inHg, source TRADE
map_max: when oil_temp outside 24 to 38 C limit map at most 36.0 inHg, needs warning, source POH
map_cold_oil: limit map at most 38.0 inHg, needs warning, source POH "oil at 24 to 38 C: 1 to 2 inHg more"
map_cold_time: limit map at most 36.0 inHg except for 3 min, needs caution,
  source POH "some minutes", source TRADE "three of them"
"""
    },
    """
use profile "engine"
map at most 36.0 inHg is green
map from 36.0 to 38.0 inHg is yellow
high: when oil_temp outside 24 to 38 C or oil_temp failed then map above 36.0 inHg is red with warning "OVERBOOST"
too_long: map above 36.0 inHg for more than 3 min is red with caution "BOOST TIME"
high_cold: map above 38.0 inHg is red with warning "OVERBOOST 38"
""",
    {
        "tolerated at any oil temperature below 38 C": slip(
            {"high:": ("outside 24 to", "above")}, "late-alert", "missing-alert"
        ),
        "tolerated without end": slip({"too_long:": ("than 3", "than 30")}, "late-alert"),
    },
)

FUEL_TYPE = Shape(
    "a limit by what was filled in, the worst case where nobody knows",
    {
        "engine": """
source SUPPLEMENT second hand
  "a flight school's course text that cites the supplement of the Cessna 172 with the TAE 125, table 2-3a"
source TRADE common practice
quantity fuel_temp "Fuel temperature in the tank" from -60 to 100 C, step 1 C, source TRADE
switch fuel "Fuel filled in" unknown, jet, diesel
switch wheels "Weight on wheels" ground, air
jet_ground: when wheels is ground limit fuel_temp at least -30 C, needs caution, source SUPPLEMENT "before takeoff"
jet_air: limit fuel_temp at least -35 C, needs warning, source SUPPLEMENT "in flight"
diesel_ground: when wheels is ground and fuel is not jet limit fuel_temp above 0 C, needs caution,
  source SUPPLEMENT "before takeoff; more than 10 % diesel, or not known: as diesel"
diesel_air: when fuel is not jet limit fuel_temp at least -5 C, needs warning, source SUPPLEMENT "in flight"
"""
    },
    """
use profile "engine"
condition may_be_diesel means fuel is not jet
fuel_temp at least -35 C is green
fuel_temp below -35 C is red with warning "FUEL COLD"
when wheels is ground then fuel_temp below -30 C is red with caution "FUEL COLD START"
diesel: when may_be_diesel then fuel_temp below -5 C is red with warning "DIESEL COLD"
when may_be_diesel and wheels is ground then fuel_temp at most 0 C is red with caution "DIESEL COLD START"
""",
    {
        "the unknown taken for jet fuel": slip(
            {"condition may_be_diesel": ("not jet", "diesel")}, "unguarded-limit", "missing-alert"
        ),
        "zero left out": slip({"when may_be_diesel": ("at most", "below")}, "unguarded-limit", "missing-alert"),
    },
)

AVOID_WITH_TORQUE = Shape(
    "speeds to avoid while another reading is high",
    {
        "engine": """
source SHAPES second hand "a collection of published limits that names no document for this one"
source TRADE common practice
quantity prop "Propeller speed" from 0 to 2200 rpm, step 2 rpm, source TRADE
quantity torque "Torque" from 0 to 100 psi, step 1 psi, source TRADE
vibration: when torque above 20 psi avoid prop from 1358 to 1630 rpm, needs caution, source SHAPES
"""
    },
    """
use profile "engine"
prop at least 0 rpm is green
shaking: when torque above 20 psi or torque failed then prop from 1358 to 1630 rpm is red with caution "PROP RANGE"
""",
    {
        "the arc ends early": slip({"shaking:": ("1630", "1600")}, "unguarded-limit", "missing-alert"),
        "the arc without its last number": slip(
            {"shaking:": ("from 1358 to", "below")}, "unguarded-limit", "missing-alert"
        ),
        "gated by another torque": slip({"shaking:": ("20", "30")}, "unguarded-limit", "missing-alert"),
    },
)

MOVING = (
    TORQUE_BY_CURVE,
    BOOST_OVER_AMBIENT,
    COLD_OIL_OVERBOOST,
    FUEL_TYPE,
    AVOID_WITH_TORQUE,
)
