"""Limits with times: several tiers, two delays on one instrument, dips, times that add up, rates and spreads."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

TWO_DELAYS = Shape(
    "one instrument, two delays: the higher, the sooner",
    {
        "engine": """
source MANUAL "Cirrus SR22 Information Manual, page 3-18, March 2010"
source TRADE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source TRADE
rpm_long: limit rpm below 2710 rpm, needs warning within 10 s, source MANUAL "2710 to 2730 rpm: after 10 s"
rpm_short: limit rpm at most 2730 rpm, needs warning within 5 s, source MANUAL "above: after 5 s"
"""
    },
    """
use profile "engine"
rpm below 2710 rpm is green
slight: rpm at least 2710 rpm is red with warning "RPM" after 10 s
plain: rpm above 2730 rpm is red with warning "RPM HIGH" after 5 s
prove rpm above 2730 rpm raises warning within 5 s
prove rpm at least 2710 rpm raises warning within 10 s
""",
    {
        "one delay for all": slip({"plain:": ("5", "10")}, "late-alert"),
        "held back instead of the alert alone": slip(
            {"slight:": ("rpm at least 2710 rpm is", "rpm at least 2710 rpm for more than 10 s is")},
            "gap",
            "late-alert",
        ),
    },
)

AMBER_THEN_RED = Shape(
    "amber at once and red in time at idle, amber in time and red at once above",
    {
        "engine": """
source CARDS second hand "flash cards on the T-6A (PT6A-68)"
source TRADE common practice
quantity n1 "Gas generator speed" from 0 to 110 %, step 0.1 %, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 200 psi, step 1 psi, source TRADE
condition idling means n1 at most 67 %, source CARDS "idle: 60 to 61 % on the ground, 67 % in flight"
unsafe: limit oil_pressure above 15 psi, needs warning, source CARDS "at once"
low_at_idle: when idling limit oil_pressure above 40 psi except for 5 s, needs warning, source CARDS
low_above_idle: when not idling limit oil_pressure above 40 psi, needs warning, source CARDS "at once"
weak_at_idle: when idling precaution oil_pressure from 15 to 40 psi, source CARDS "amber at once"
weak_above_idle: when not idling precaution oil_pressure from 40 to 90 psi, source CARDS "amber after 10 s"
usual: normal oil_pressure from 90 to 120 psi, source CARDS
"""
    },
    """
use profile "engine"
lost: oil_pressure at most 15 psi is red with warning "OIL PRESS"
idle_amber: when idling then oil_pressure from 15 to 40 psi is yellow with caution "OIL PX"
idle_red: when idling or n1 failed then oil_pressure at most 40 psi for more than 5 s is red
  with warning "OIL PRESS IDLE"
idle_rest: when idling then oil_pressure from 40 to 90 psi is green
low: when not idling then oil_pressure at most 40 psi is red with warning "OIL PRESS LOW"
weak: when not idling then oil_pressure from 40 to 90 psi is yellow with caution "OIL PX" after 10 s
oil_pressure at least 90 psi is green
at_once: prove when not idling then oil_pressure at most 40 psi raises warning within 0 s
""",
    {
        "the time of the other colour": slip({"idle_red:": ("5", "10")}, "late-alert"),
        "the delay on the red as well": slip({"low:": ('LOW"', 'LOW" after 10 s')}, "late-alert"),
        "the amber waits as well": slip(
            {
                "weak:": (
                    "then oil_pressure from 40 to 90 psi is",
                    "then oil_pressure from 40 to 90 psi for more than 10 s is",
                )
            },
            "gap",
            "unmarked-precaution",
            "blank-on-failure",
        ),
    },
)

DIP = Shape(
    "a dip that is tolerated for half a second, a smaller one for five",
    {
        # 1 kgf/cm2 is 98.0665 kPa exactly. The limit on all such time in the service life is not stated.
        "engine": """
source MANUAL "Vedeneyev M-14P engine manual (in Russian)"
source TRADE common practice
quantity load_factor "Normal load factor" from -5 to 8, step 0.1, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 1000 kPa, step 1 kPa, source TRADE
condition inverted means load_factor at most 0, source MANUAL "zero and negative g"
usual_min: when not inverted limit oil_pressure at least 392.266 kPa, needs warning,
  source MANUAL "4 kgf/cm2 at Nominal II", source TRADE "held here at every speed"
dip: when inverted limit oil_pressure at least 176.5197 kPa except for 0.5 s, needs warning within 1 s,
  source MANUAL "down to 0.5 kgf/cm2 for 0.5 s"
sag: when inverted limit oil_pressure at least 392.266 kPa except for 5 s, needs warning,
  source MANUAL "1.8 kgf/cm2 for 5 s"
bottom: limit oil_pressure at least 49.03325 kPa, needs warning within 1 s, source MANUAL "0.5 kgf/cm2"
"""
    },
    """
use profile "engine"
upright: when not inverted then oil_pressure below 392.266 kPa is red with warning "OIL PRESS"
sagging: oil_pressure from 49.03325 to 392.266 kPa is yellow
long_sag: oil_pressure below 392.266 kPa for more than 5 s is red with warning "OIL PRESS G"
dipping: oil_pressure below 176.5197 kPa for more than 0.5 s is red with warning "OIL PRESS DIP"
gone: oil_pressure below 49.03325 kPa is red with warning "OIL PRESS ZERO"
oil_pressure at least 392.266 kPa is green
""",
    {
        "the short time for the long": slip({"dipping:": ("0.5", "5")}, "late-alert"),
        "the load factor forgotten": slip({"upright:": ("upright: when not inverted then", "upright:")}, "conflict"),
    },
)

ADDS_UP = Shape(
    "time in a band that adds up",
    {
        # A limit cannot ask for a total: the profile states the longest stay, the rules are stricter.
        "engine": """
source SHAPES second hand "a collection of published limits that names no document for this one"
source TRADE common practice
quantity torque "Torque" from 0 to 120 %, step 1 %, source TRADE
quantity nf "Power turbine speed" from 0 to 120 %, step 0.1 %, source TRADE
avoid_band: when torque above 33 % avoid nf from 71 to 88 % except for 60 s, needs caution,
  source SHAPES "71 to 88 % with torque above 33 %: 60 s in total"
"""
    },
    """
use profile "engine"
nf at least 0 % is green
passing: when torque above 33 % or torque failed then nf from 71 to 88 % is yellow
too_long: when torque above 33 % or torque failed then nf from 71 to 88 % for more than 60 s in total is red
  with caution "NF RANGE"
""",
    {
        "ten times as long": slip({"too_long:": ("60", "600")}, "late-alert"),
        "half the band": slip({"too_long:": ("88", "80")}, "unguarded-limit", "missing-alert"),
    },
)

STABILISED = Shape(
    "a range to avoid on the ground and only when it lasts",
    {
        "engine": """
source CARDS second hand "flash cards on the T-6A (PT6A-68)"
source TRADE common practice
quantity np "Propeller speed" from 0 to 110 %, step 1 %, source TRADE
switch wheels "Weight on wheels" ground, air
resonance: when wheels is ground avoid np from 62 to 80 % except for 10 s, needs caution,
  source CARDS "stabilised, on the ground", source TRADE "stabilised is taken as 10 s"
"""
    },
    """
use profile "engine"
np at least 0 % is green
resonance_arc: when wheels is ground then np from 62 to 80 % for more than 10 s is red with caution "NP RANGE"
""",
    {
        "in the air instead": slip({"resonance_arc:": ("ground", "air")}, "unguarded-limit", "missing-alert"),
        "lasts too long": slip({"resonance_arc:": ("10", "20")}, "late-alert"),
    },
)

SPREAD = Shape(
    "a difference between two readings of a kind",
    {
        "engine": """
source POH second hand "a checklist file that cites the Beech V35B POH"
source TRADE common practice
quantity mag_drop[2] "Speed lost on one magneto" from 0 to 500 rpm, step 5 rpm, source TRADE
switch check "Magneto check" off, on
let difference = spread of mag_drop
drop_max: when check is on limit mag_drop at most 150 rpm, needs caution, source POH "at 1700 rpm"
difference_max: when check is on limit difference at most 50 rpm, needs caution, source POH "at 1700 rpm"
"""
    },
    """
use profile "engine"
when check is on then mag_drop at most 150 rpm is green
when check is on then mag_drop above 150 rpm is red with caution "MAG {n}"
when check is off then mag_drop at least 0 rpm is unmarked
difference_small: when check is on then difference at most 50 rpm is green
difference_high: when check is on then difference above 50 rpm is red with caution "MAG DIFFERENCE"
when check is off then difference at least 0 rpm is unmarked
""",
    {
        "each magneto by itself alone": slip(
            {"difference_high:": None, "difference_small:": ("most 50", "least 0")}, "unguarded-limit", "missing-alert"
        ),
        "the other figure": slip(
            {"difference_high:": ("50", "75"), "difference_small:": ("50", "75")}, "unguarded-limit", "missing-alert"
        ),
    },
)

COOLING = Shape(
    "a rate of change, and one element against the others",
    {
        # No figure for one cylinder against the others was at hand: 75 F stands for the shape alone.
        "engine": """
source SUPPLEMENT second hand "a flight manual supplement of one light aeroplane, as somebody quotes it"
source TRADE common practice
quantity cht[4] "Cylinder head temperature" from 0 to 600 F, step 1 F, source TRADE
let cooling = fall of cht per min, from 0 to 400 F
let off_mean = deviation of cht
cools: limit cooling at most 50 F, needs caution within 10 s,
  source SUPPLEMENT "50 F per min when power is reduced", source TRADE "10 s"
odd_one: limit off_mean at most 75 F, needs caution, source TRADE "no figure was found in a document"
"""
    },
    """
use profile "engine"
cooling at most 50 F is green
falling: cooling above 50 F is red with caution "CHT {n} COOLING" after 5 s
off_mean at most 75 F is green
odd: off_mean above 75 F is red with caution "CHT {n} ODD"
""",
    {
        "in degrees of the other scale": slip(
            {"falling:": ("50 F", "50 C"), "cooling at": ("50 F", "50 C")}, "unguarded-limit", "missing-alert"
        ),
        "held back too long": slip({"falling:": ("5 s", "15 s")}, "late-alert"),
        "one cylinder only": slip({"odd:": ("off_mean", "off_mean[1]")}, "gap", "unguarded-limit", "missing-alert"),
    },
)

CLOCK = (
    TWO_DELAYS,
    AMBER_THEN_RED,
    DIP,
    ADDS_UP,
    STABILISED,
    SPREAD,
    COOLING,
)
