"""Limits that depend on something else at the same instant: steps, windows, switches, curves, other readings."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

CONSTANT = Shape(
    "a maximum and a minimum that always hold",
    {
        "engine": """
source SHEET "Cessna 150M POH, Section 2, 1976 model"
source SENSOR common practice
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, source SENSOR
oil_hot: limit oil_temp at most 240 F, needs warning, source SHEET
oil_low: limit oil_pressure at least 10 psi, needs warning, source SHEET
oil_high: limit oil_pressure at most 100 psi, needs warning, source SHEET
"""
    },
    """
use profile "engine"
oil_temp at most 240 F is green
oil_temp above 240 F is red with warning "OIL HOT"
oil_pressure below 10 psi is red with warning "OIL PRESS LOW"
oil_pressure from 10 to 100 psi is green
oil_pressure above 100 psi is red with warning "OIL PRESS HIGH"
""",
    {
        "maximum a degree too high": slip(
            {"oil_temp at": ("240", "241"), "oil_temp above": ("240", "241")}, "unguarded-limit", "missing-alert"
        ),
        "minimum in another unit": slip(
            {"oil_pressure below": ("10 psi", "0.1 bar")}, "gap", "unguarded-limit", "missing-alert"
        ),
        "no alert": slip({"oil_temp above": (' with warning "OIL HOT"', "")}, "missing-alert"),
        "advisory for a warning": slip({"oil_pressure below": ("warning", "caution")}, "missing-alert"),
    },
)

IDLE_AND_FLIGHT = Shape(
    "a minimum that steps from idle to flight",
    {
        "engine": """
source SUPPLEMENT second hand
  "a flight school's course text that cites the supplement of the Cessna 172 with the TAE 125, Section 2"
source TRADE common practice
quantity rpm "Propeller speed" from 0 to 3000 rpm, step 10 rpm, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 10 bar, step 0.1 bar, source TRADE
condition running means rpm above 400 rpm, source TRADE
idle_min: when running limit oil_pressure at least 1.2 bar, needs warning, source SUPPLEMENT "idle"
flight_min: when rpm above 910 rpm limit oil_pressure at least 2.3 bar, needs warning,
  source SUPPLEMENT "takeoff power and in flight",
  source TRADE "taken to begin above the top of idle, which SUPPLEMENT gives as 890 rpm plus or minus 20"
pressure_max: limit oil_pressure at most 6.0 bar, needs warning, source SUPPLEMENT
"""
    },
    """
use profile "engine"
parked: when not running then oil_pressure below 1.2 bar is unmarked
low_idle: when running or rpm failed then oil_pressure below 1.2 bar is red with warning "OIL PRESS"
idle: oil_pressure from 1.2 to 2.3 bar is yellow
low_flight: when rpm above 910 rpm or rpm failed then oil_pressure below 2.3 bar is red with warning "OIL PRESS FLIGHT"
oil_pressure from 2.3 to 6.0 bar is green
oil_pressure above 6.0 bar is red with warning "OIL PRESS HIGH"
""",
    {
        "step at another speed": slip({"low_flight:": ("910", "1910")}, "unguarded-limit", "missing-alert"),
        "one minimum for both": slip({"low_flight:": ("2.3", "1.9")}, "unguarded-limit", "missing-alert"),
        "nothing for a dead tachometer": slip({"low_flight:": ("rpm or rpm failed", "rpm")}, "lost-guard"),
    },
)

WINDOW = Shape(
    "a limit that holds only inside windows of two other readings",
    {
        "engine": """
source POH "Kodiak 100 POH AM901.201, page 2-7"
source TRADE common practice
quantity ng "Gas generator speed" from 0 to 110 %, step 0.1 %, source TRADE
quantity oil_temp "Oil temperature" from -50 to 130 C, step 1 C, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 200 psi, step 1 psi, source TRADE
condition running means ng at least 52 %, source POH "idle: 52 % and above"
oil_unsafe: when running limit oil_pressure at least 40 psi, needs warning, source POH "below: shut down or land"
oil_reduced: when ng above 72 % and oil_temp from 60 to 70 C limit oil_pressure at least 85 psi, needs caution,
  source POH "40 to 85 psi: reduced power, finish the flight"
oil_high: limit oil_pressure at most 105 psi, needs warning, source POH
"""
    },
    """
use profile "engine"
oil_pressure below 40 psi is red with warning "OIL PRESS" unless not running and not ng failed
parked: when not running then oil_pressure below 40 psi is unmarked
oil_pressure from 40 to 85 psi is yellow
weak: when (ng above 72 % or ng failed) and (oil_temp from 60 to 70 C or oil_temp failed)
  then oil_pressure below 85 psi is red with caution "OIL PRESS WEAK"
oil_pressure from 85 to 105 psi is green
oil_pressure above 105 psi is red with warning "OIL PRESS HIGH"
""",
    {
        "window of the speed too narrow": slip({"weak:": ("72", "75")}, "unguarded-limit", "missing-alert"),
        "window of the temperature too narrow": slip({"weak:": ("70", "65")}, "unguarded-limit", "missing-alert"),
        "nothing for a dead oil probe": slip(
            {"weak:": ("(oil_temp from 60 to 70 C or oil_temp failed)", "oil_temp from 60 to 70 C")}, "lost-guard"
        ),
    },
)

TORQUE_BY_PROPELLER = Shape(
    "a maximum that switches with another reading, and then with a time",
    {
        "engine": """
source POH "Kodiak 100 POH AM901.201, page 2-7"
source TRADE common practice
quantity prop "Propeller speed" from 0 to 2600 rpm, step 10 rpm, source TRADE
quantity torque "Torque" from 0 to 2500 lbft, step 1 lbft, source TRADE
fast_prop: when prop above 2000 rpm limit torque at most 1790 lbft except for 20 s, needs warning, source POH "takeoff"
five_minutes: limit torque at most 1790 lbft except for 5 min, needs caution, source POH "1970 lbft: 5 min"
slow_prop: limit torque at most 1970 lbft except for 20 s, needs warning, source POH "with the propeller at 2000 rpm"
transient: limit torque at most 2100 lbft, needs warning, source POH "transient: 20 s"
"""
    },
    """
use profile "engine"
torque at most 1790 lbft is green
torque from 1790 to 2100 lbft is yellow
fast: when prop above 2000 rpm or prop failed then torque above 1790 lbft for more than 20 s is red
  with warning "TORQUE PROP"
long: torque above 1790 lbft for more than 5 min is red with caution "TORQUE TIME"
high: torque above 1970 lbft for more than 20 s is red with warning "TORQUE 1970"
top: torque above 2100 lbft is red with warning "TORQUE"
""",
    {
        "the switch at another speed": slip({"fast:": ("2000", "2200")}, "late-alert", "missing-alert"),
        "no time limit": slip({"long:": None}, "unguarded-limit", "missing-alert"),
        "nothing for a dead propeller tachometer": slip({"fast:": ("or prop failed then", "then")}, "lost-guard"),
    },
)

TORQUE_BELOW_PROPELLER_SPEED = Shape(
    "a maximum that falls below a speed of the propeller",
    {
        "engine": """
source TM "US Army TM 1-1510-223-10, Table 5-1, pages 5-7 and 5-8, Change 3"
source TRADE common practice
quantity prop "Propeller speed" from 0 to 2000 rpm, step 10 rpm, source TRADE
quantity torque "Torque" from 0 to 150 %, step 1 %, source TRADE
torque_max: limit torque at most 100 % except for 20 s, needs warning, source TM
torque_transient: limit torque at most 138 %, needs warning, source TM "transient: 20 s"
slow_prop: when prop below 1000 rpm limit torque at most 54 %, needs warning, source TM
"""
    },
    """
use profile "engine"
torque at most 100 % is green
torque from 100 to 138 % is yellow
torque above 100 % for more than 20 s is red with warning "TORQUE"
torque above 138 % is red with warning "OVERTORQUE"
slow: when prop below 1000 rpm or prop failed then torque above 54 % is red with warning "TORQUE SLOW"
""",
    {
        "the same limit at every speed": slip({"slow:": None}, "unguarded-limit", "missing-alert", "late-alert"),
        "the limit of another range": slip({"slow:": ("54", "94")}, "unguarded-limit", "missing-alert"),
    },
)

TORQUE_BY_AIRSPEED = Shape(
    "two tiers that both step with the airspeed",
    {
        "engine": """
source CARDS second hand "flash cards on the limits of the MH-60R (T700)"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt, source TRADE
quantity torque "Torque" from 0 to 150 %, step 1 %, source TRADE
slow_long: limit torque at most 120 % except for 10 s, needs warning, source CARDS "up to 80 kt"
slow_top: limit torque at most 144 %, needs warning, source CARDS "up to 80 kt: 10 s"
fast_long: when airspeed above 80 kt limit torque at most 106 % except for 10 s, needs warning, source CARDS
fast_top: when airspeed above 80 kt limit torque at most 127 %, needs warning, source CARDS "10 s"
"""
    },
    """
use profile "engine"
condition fast means airspeed above 80 kt or airspeed failed
torque at most 106 % is green
torque from 106 to 144 % is yellow
when fast then torque above 106 % for more than 10 s is red with warning "TORQUE 106"
fast_torque: when fast then torque above 127 % is red with warning "TORQUE 127"
torque above 120 % for more than 10 s is red with warning "TORQUE 120"
torque above 144 % is red with warning "TORQUE 144"
""",
    {
        "the tiers of slow flight alone": slip({"fast_torque:": ("above 127", "above 144")}, "late-alert"),
        "the step at another airspeed": slip(
            {"condition fast": ("80", "90")}, "unguarded-limit", "missing-alert", "late-alert"
        ),
        "a dead airspeed probe taken for slow flight": slip(
            {"condition fast": (" or airspeed failed", "")}, "lost-guard"
        ),
    },
)

STEPS = (
    CONSTANT,
    IDLE_AND_FLIGHT,
    WINDOW,
    TORQUE_BY_PROPELLER,
    TORQUE_BELOW_PROPELLER_SPEED,
    TORQUE_BY_AIRSPEED,
)
