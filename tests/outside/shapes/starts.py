"""Limits after an event, and what must not be done until something else is so."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

PRESSURE_IN_TIME = Shape(
    "a minimum that holds from some seconds after the start on",
    {
        "engine": """
source POH second hand "a checklist file that cites the Beech A36TC POH, P/N 36-590003-3"
source TRADE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, source TRADE
condition running means rpm above 400 rpm, source TRADE
oil_up: when running for at least 30 s limit oil_pressure at least 10 psi, needs warning,
  source POH "within 30 s of the start"
"""
    },
    """
use profile "engine"
oil_pressure at least 10 psi is green
resting: when not running then oil_pressure below 10 psi is unmarked
coming: when running for less than 30 s then oil_pressure below 10 psi is yellow
late: when running for at least 30 s or rpm failed then oil_pressure below 10 psi is red with warning "OIL PRESS"
""",
    {
        "a minute": slip({"late:": ("30", "60")}, "gap", "unguarded-limit", "missing-alert"),
        "thirty seconds and thirty more": slip({"late:": ('PRESS"', 'PRESS" after 30 s')}, "late-alert"),
        "nothing for a dead tachometer": slip({"late:": (" or rpm failed", "")}, "lost-guard", "blank-on-failure"),
    },
)

COLD_START_PRESSURE = Shape(
    "a higher maximum for the first seconds",
    {
        "engine": """
source SUPPLEMENT second hand
  "a flight school's course text that cites the supplement of the Cessna 172 with the TAE 125, Section 2"
source TRADE common practice
quantity rpm "Propeller speed" from 0 to 3000 rpm, step 10 rpm, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 10 bar, step 0.1 bar, source TRADE
condition running means rpm above 400 rpm, source TRADE
cold_start: limit oil_pressure at most 6.5 bar, needs warning, source SUPPLEMENT "cold start: less than 20 s"
pressure_max: when running for at least 20 s limit oil_pressure at most 6.0 bar, needs warning, source SUPPLEMENT
"""
    },
    """
use profile "engine"
oil_pressure at most 6.0 bar is green
oil_pressure from 6.0 to 6.5 bar is yellow
high: when running for at least 20 s or rpm failed then oil_pressure above 6.0 bar is red with warning "OIL PRESS HIGH"
top: oil_pressure above 6.5 bar is red with warning "OIL PRESS MAX"
""",
    {
        "the gauge of another source: 6.5 bar flat": slip({"high:": None}, "unguarded-limit", "missing-alert"),
        "a minute of cold start": slip({"high:": ("20 s", "1 min")}, "unguarded-limit", "missing-alert"),
    },
)

COLD_START_TURBINE = Shape(
    "a long time limit after a cold start, and idle until it is over",
    {
        "engine": """
source SPECIFICATION "Citation Encore specification, page 38 (PW535A)"
source TRADE common practice
quantity n1 "Fan speed" from 0 to 110 %, step 0.1 %, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 300 psi, step 1 psi, source TRADE
cold_oil: limit oil_pressure at most 270 psi, needs warning, source SPECIFICATION "cold start"
usual_oil: limit oil_pressure at most 140 psi except for 400 s, needs caution, source SPECIFICATION
stay_at_idle: when oil_pressure at least 140 psi limit n1 at most 30 %, needs caution,
  source SPECIFICATION "idle until the oil pressure is below 140 psi", source TRADE "30 %: idle is given by N2 alone"
"""
    },
    """
use profile "engine"
n1 at least 0 % is green
stay: when oil_pressure at least 140 psi or oil_pressure failed then n1 above 30 % is red with caution "IDLE COLD OIL"
oil_pressure at most 140 psi is green
oil_pressure from 140 to 270 psi is yellow
long: oil_pressure above 140 psi for more than 400 s is red with caution "OIL PRESS TIME"
top: oil_pressure above 270 psi is red with warning "OIL PRESS HIGH"
""",
    {
        "the time in minutes": slip({"long:": ("400 s", "400 min")}, "late-alert"),
        "released too early": slip({"stay:": ("140", "200")}, "unguarded-limit", "missing-alert"),
        "nothing for a dead oil pressure probe": slip(
            {"stay:": (" or oil_pressure failed then n1", " then n1")}, "lost-guard"
        ),
    },
)

START_TEMPERATURE = Shape(
    "a temperature that only a start may reach, for seconds",
    {
        "engine": """
source TM "US Army TM 1-1510-223-10, Table 5-1, pages 5-7 and 5-8, Change 3"
source TRADE common practice
quantity n1 "Gas generator speed" from 0 to 110 %, step 1 %, source TRADE
quantity tgt "Turbine gas temperature" from 0 to 1200 C, step 1 C, source TRADE
switch starter "Starter" off, on
condition starting means starter is on and n1 below 62 % until n1 at least 62 %, source TM "low idle: 62 % and above"
start_top: limit tgt at most 1000 C, needs warning, source TM "start"
start_time: when starting limit tgt at most 870 C except for 5 s, needs warning,
  source TM "start: 5 s", source TRADE "counted from the transient limit on"
running_top: when not starting limit tgt at most 870 C, needs warning, source TM "transient"
"""
    },
    """
use profile "engine"
tgt at most 830 C is green
tgt from 830 to 870 C is yellow
start: when starting then tgt from 870 to 1000 C is yellow
too_long: when starting then tgt above 870 C for more than 5 s is red with warning "TGT START"
flying: when not starting then tgt above 870 C is red with warning "TGT"
top: tgt above 1000 C is red with warning "HOT START"
accept lost-guard on start_time because "whether it is a start is remembered by the gas generator's speed alone"
accept lost-guard on running_top because "whether it is a start is remembered by the gas generator's speed alone"
""",
    {
        "the time of another engine": slip({"too_long:": ("5", "20")}, "late-alert"),
        "the start forgotten": slip({"too_long:": None}, "unguarded-limit", "missing-alert"),
    },
)

WARM_UP_TURBOCHARGED = Shape(
    "a speed that is not to be passed until oil is warm and has pressure",
    {
        "engine": """
source POH second hand "a checklist file that cites the Beech A36TC POH, P/N 36-590003-3"
source TRADE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source TRADE
quantity oil_temp "Oil temperature" from -40 to 150 C, step 1 C, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, source TRADE
warm_up: when oil_temp below 24 C or oil_pressure below 30 psi limit rpm at most 1200 rpm, needs caution within 10 s,
  source POH "until 24 C and oil pressure in green: 30 psi", source TRADE "10 s"
speed: limit rpm at most 2700 rpm, needs warning, source POH
oil_usual: normal oil_temp from 38 to 116 C, source POH "at least 38 C is recommended"
pressure_usual: normal oil_pressure from 30 to 60 psi, source POH
"""
    },
    """
use profile "engine"
condition warming means oil_temp below 24 C or oil_pressure below 30 psi
  until oil_temp above 26 C and oil_pressure at least 30 psi, set after 5 s
condition warming_or_blind means warming or oil_temp failed or oil_pressure failed
rpm at most 2700 rpm is green
rpm above 2700 rpm is red with warning "OVERSPEED"
cold: when warming_or_blind then rpm above 1200 rpm is red with caution "ENGINE COLD" after 3 s
""",
    {
        "warm oil is enough": slip(
            {
                "condition warming means": (
                    "C or oil_pressure below 30 psi\n  until oil_temp above 26 C and oil_pressure at least 30 psi",
                    "C\n  until oil_temp above 26 C",
                ),
            },
            "unguarded-limit",
            "missing-alert",
        ),
        "dead probes forgotten": slip(
            {"condition warming_or_blind": ("warming or oil_temp failed or oil_pressure failed", "warming")},
            "lost-guard",
        ),
        "the delays add up to more than 10 s": slip({"condition warming means": ("5", "8")}, "late-alert"),
    },
)

WARM_UP_DIESEL = Shape(
    "two minutes of idle, then a speed until two temperatures are reached",
    {
        "engine": """
source SUPPLEMENT second hand
  "a flight school's course text that cites the supplement of the Cessna 172 with the TAE 125, Section 2"
source TRADE common practice
quantity rpm "Propeller speed" from 0 to 3000 rpm, step 10 rpm, source TRADE
quantity oil_temp "Oil temperature" from -50 to 170 C, step 1 C, source TRADE
quantity coolant "Coolant temperature" from -50 to 150 C, step 1 C, source TRADE
condition running means rpm above 400 rpm, source TRADE
first: when running for less than 2 min limit rpm at most 910 rpm, needs caution,
  source SUPPLEMENT "idle for 2 min; idle is 890 rpm plus or minus 20"
then_slow: when oil_temp at most 50 C or coolant at most 60 C limit rpm at most 1400 rpm, needs caution,
  source SUPPLEMENT "until oil is above 50 C and coolant above 60 C"
overspeed: limit rpm at most 2500 rpm, needs warning, source SUPPLEMENT
"""
    },
    """
use profile "engine"
rpm at most 2500 rpm is green
rpm above 2500 rpm is red with warning "OVERSPEED"
idle_first: when running for less than 2 min then rpm above 910 rpm is red with caution "IDLE FIRST"
warm: when oil_temp at most 50 C or oil_temp failed or coolant at most 60 C or coolant failed
  then rpm above 1400 rpm is red with caution "WARM UP"
""",
    {
        "one minute of idle": slip({"idle_first:": ("2", "1")}, "unguarded-limit", "missing-alert"),
        "and for or": slip(
            {"warm:": ("or oil_temp failed or coolant at most 60 C or coolant failed", "and coolant at most 60 C")},
            "unguarded-limit",
            "missing-alert",
            "lost-guard",
        ),
        "the probe of the oil dead": slip({"warm:": (" or oil_temp failed", "")}, "lost-guard"),
    },
)

WARM_FUEL_HEATER = Shape(
    "oil that must be warm before takeoff power",
    {
        "engine": """
source POH "Kodiak 100 POH AM901.201, page 2-7"
source TRADE common practice
quantity torque "Torque" from 0 to 2500 lbft, step 1 lbft, source TRADE
quantity oil_temp "Oil temperature" from -50 to 130 C, step 1 C, source TRADE
heater: when oil_temp below 55 C limit torque at most 1670 lbft, needs caution,
  source POH "at least 55 C before takeoff power", source TRADE "takeoff power begins above maximum climb, 1670 lbft"
torque_max: limit torque at most 2100 lbft, needs warning, source POH
"""
    },
    """
use profile "engine"
torque at most 2100 lbft is green
torque above 2100 lbft is red with warning "TORQUE"
cold: when oil_temp below 55 C or oil_temp failed then torque above 1670 lbft is red with caution "OIL COLD"
""",
    {
        "in degrees of the other scale": slip({"cold:": ("55 C", "55 F")}, "unguarded-limit", "missing-alert"),
        "until it is red": slip(
            {"cold:": ("above 1670 lbft is red", "from 1670 to 2100 lbft is yellow")}, "unguarded-limit"
        ),
    },
)

COLD_LOAD = Shape(
    "half power while any of three is cold",
    {
        "engine": """
source AFM "Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011"
source COPY second hand "a checklist file that cites the same manual, Rev. 3"
source TRADE common practice
quantity load "Engine load" from 0 to 100 %, step 1 %, source TRADE
quantity oil_temp "Oil temperature" from -50 to 170 C, step 1 C, source TRADE
quantity coolant_temp "Coolant temperature" from -50 to 150 C, step 1 C, source TRADE
quantity gearbox_temp "Gearbox temperature" from -50 to 150 C, step 1 C, source TRADE
condition cold means oil_temp below 50 C or coolant_temp below 60 C or gearbox_temp below 35 C,
  source AFM "where green begins", source TRADE "below green is taken as cold"
half: when cold limit load at most 50 %, needs caution, source COPY
"""
    },
    """
use profile "engine"
load at most 92 % is green
load from 92 to 100 % is yellow
cold_load: when cold or oil_temp failed or coolant_temp failed or gearbox_temp failed
  then load above 50 % is red with caution "COLD: LOAD 50"
""",
    {
        "the gearbox left out": slip(
            {"cold_load:": ("when cold", "when oil_temp below 50 C or coolant_temp below 60 C")},
            "unguarded-limit",
            "missing-alert",
        ),
        "a switch by hand": slip(
            {"cold_load:": ("cold_load: when cold", 'switch warm "Warm" no, yes\ncold_load: when cold and warm is no')},
            "unguarded-limit",
            "missing-alert",
        ),
    },
)

STARTS = (
    PRESSURE_IN_TIME,
    COLD_START_PRESSURE,
    COLD_START_TURBINE,
    START_TEMPERATURE,
    WARM_UP_TURBOCHARGED,
    WARM_UP_DIESEL,
    WARM_FUEL_HEATER,
    COLD_LOAD,
)
