"""Limits in tiers: the further above, the shorter."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

FIVE_TIERS = Shape(
    "five tiers of one temperature, each with its time",
    {
        "engine": """
source CARDS second hand "flash cards on the limits of the MH-60R (T700)"
source TRADE common practice
quantity tgt "Turbine gas temperature" from 0 to 1200 C, step 1 C, source TRADE
half_hour: limit tgt at most 810 C except for 30 min, needs caution, source CARDS
ten_minutes: limit tgt at most 851 C except for 10 min, needs caution, source CARDS
some_minutes: limit tgt at most 878 C except for 2.5 min, needs caution, source CARDS
seconds: limit tgt at most 903 C except for 12 s, needs warning, source CARDS
top: limit tgt at most 949 C, needs warning, source CARDS
"""
    },
    """
use profile "engine"
tgt at most 810 C is green
tgt from 810 to 949 C is yellow
t30: tgt above 810 C for more than 30 min is red with caution "TGT 30 MIN"
t10: tgt above 851 C for more than 10 min is red with caution "TGT 10 MIN"
t2: tgt above 878 C for more than 2.5 min is red with caution "TGT 2.5 MIN"
t12: tgt above 903 C for more than 12 s is red with warning "TGT 12 S"
tgt above 949 C is red with warning "TGT"
""",
    {
        "a tier left out": slip({"t10:": None}, "late-alert"),
        "a minute for a second": slip({"t12:": ("12 s", "12 min")}, "late-alert"),
        "the first tier left out": slip({"t30:": None}, "unguarded-limit", "missing-alert"),
        "an alert held back too long": slip({"t2:": ('MIN"', 'MIN" after 10 s')}, "late-alert"),
    },
)

THREE_TIERS = Shape(
    "continuous, five minutes, twenty seconds",
    {
        "engine": """
source TM "US Army TM 1-1510-223-10, Table 5-1, pages 5-7 and 5-8, Change 3"
source TRADE common practice
quantity tgt "Turbine gas temperature" from 0 to 1100 C, step 1 C, source TRADE
continuous: limit tgt at most 830 C except for 5 min, needs caution, source TM "maximum continuous"
takeoff: limit tgt at most 840 C except for 20 s, needs warning, source TM "takeoff, 5 min"
transient: limit tgt at most 870 C, needs warning, source TM "transient, 20 s"
cruise: normal tgt from 400 to 800 C, source TM "normal cruise and climb", source TRADE "400 C"
"""
    },
    """
use profile "engine"
tgt at most 830 C is green
tgt from 830 to 870 C is yellow
tgt above 830 C for more than 5 min is red with caution "TGT 5 MIN"
tgt above 840 C for more than 20 s is red with warning "TGT 20 S"
tgt above 870 C is red with warning "TGT"
""",
    {
        "the two times swapped": slip(
            {"tgt above 830": ("5 min", "20 s"), "tgt above 840": ("20 s", "5 min")}, "late-alert"
        ),
        "no time at all": slip(
            {"tgt above 830": ("tgt above 830 C for more than 5 min is", "tgt above 830 C is")}, "conflict"
        ),
    },
)

TRANSIENT = Shape(
    "a higher limit for seconds",
    {
        "engine": """
source CARDS second hand "flash cards on the limits of the T-6A (PT6A-68)"
source TRADE common practice
quantity itt "Interstage turbine temperature" from 0 to 1300 C, step 1 C, source TRADE
itt_max: limit itt at most 820 C except for 20 s, needs warning, source CARDS
itt_transient: limit itt at most 870 C, needs warning, source CARDS "transient, 20 s"
"""
    },
    """
use profile "engine"
itt at most 820 C is green
itt from 820 to 870 C is yellow
long: itt above 820 C for more than 20 s is red with warning "ITT"
top: itt above 870 C is red with warning "ITT HIGH"
""",
    {
        "a delay on top of the 20 s": slip({"long:": ('"ITT"', '"ITT" after 5 s')}, "late-alert"),
        "the colour is on time and the alert silent": slip({"long:": (' with warning "ITT"', "")}, "missing-alert"),
    },
)

OVERSHOOT = Shape(
    "a red line that may be passed by a little for a moment",
    {
        "engine": """
source POH "Cessna T210M POH, 1978 model"
source TRADE common practice
quantity map "Manifold pressure" from 10 to 45 inHg, step 0.1 inHg, source TRADE
red_line: limit map at most 36.5 inHg except for 5 s, needs caution within 3 s,
  source POH "2 to 3 inHg more for a moment", source TRADE "a moment is taken as 5 s"
overboost: limit map below 39.5 inHg, needs warning within 1 s, source POH "3 inHg over is not tolerated"
"""
    },
    """
use profile "engine"
map at most 36.5 inHg is green
map from 36.5 to 39.5 inHg is yellow
passing: map above 36.5 inHg for more than 5 s is red with caution "MAP" after 3 s
overboost_now: map at least 39.5 inHg is red with warning "OVERBOOST" after 1 s
""",
    {
        "the moment too long": slip({"passing:": ("than 5", "than 9")}, "late-alert"),
        "the alert held back too long": slip({"overboost_now:": ("1", "2")}, "late-alert"),
        "the end left out": slip({"overboost_now:": ("at least", "above")}, "late-alert", "missing-alert"),
    },
)

PROPELLER_OVERSPEED = Shape(
    "takeoff speed for minutes and overspeed for seconds",
    {
        "engine": """
source AFM "Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011"
source COPY second hand "a checklist file that cites the same manual, Rev. 3"
source TRADE common practice
quantity rpm "Propeller speed" from 0 to 3000 rpm, step 10 rpm, source TRADE
takeoff: limit rpm at most 2100 rpm except for 5 min, needs caution, source COPY "takeoff: 5 min", source AFM "2100"
overspeed: limit rpm at most 2300 rpm except for 20 s, needs warning, source COPY "overspeed: 20 s", source AFM "2300"
top: limit rpm at most 2500 rpm, needs warning, source COPY
yellow_arc: precaution rpm from 2100 to 2300 rpm, source AFM
"""
    },
    """
use profile "engine"
rpm at most 2100 rpm is green
rpm from 2100 to 2500 rpm is yellow
takeoff_time: rpm above 2100 rpm for more than 5 min is red with caution "RPM TIME"
overspeed_time: rpm above 2300 rpm for more than 20 s is red with warning "OVERSPEED"
rpm above 2500 rpm is red with warning "RPM MAX"
""",
    {
        "the gauge as printed, without the overspeed": slip(
            {"rpm above": ("2500", "2700"), "rpm from": ("2500", "2700")}, "late-alert"
        ),
        "takeoff power is not timed": slip({"takeoff_time:": None}, "unguarded-limit", "missing-alert"),
    },
)

TIERS = (
    FIVE_TIERS,
    THREE_TIERS,
    TRANSIENT,
    OVERSHOOT,
    PROPELLER_OVERSPEED,
)
