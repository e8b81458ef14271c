"""Limits of airframes: by weight, altitude, flap angle, gear and its direction, and by serial number."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

BY_WEIGHT = Shape(
    "a speed that steps with the weight",
    {
        "airframe": """
source AFM second hand "a checklist file that cites the Diamond DA 40 NG AFM 6.01.15-E, Rev. 3"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 220 kt, step 1 kt, source TRADE
quantity weight "Weight, as set before the flight" from 900 to 1310 kg, step 10 kg, source TRADE
never_exceed: limit airspeed at most 172 kt, needs warning, source AFM
smooth_air: precaution airspeed from 130 to 172 kt, source AFM "VNO"
light: when weight at most 1080 kg precaution airspeed above 101 kt, source AFM "VA"
medium: when weight at most 1180 kg precaution airspeed above 108 kt, source AFM "VA"
heavy: precaution airspeed above 113 kt, source AFM "VA"
"""
    },
    """
use profile "airframe"
airspeed at most 101 kt is green
from_101: when weight at most 1080 kg then airspeed from 101 to 172 kt is yellow
when weight above 1080 kg then airspeed from 101 to 108 kt is green
from_108: when weight from 1080 to 1180 kg then airspeed from 108 to 172 kt is yellow
when weight above 1180 kg then airspeed from 108 to 113 kt is green
from_113: when weight above 1180 kg then airspeed from 113 to 172 kt is yellow
when weight failed then airspeed from 101 to 172 kt is yellow
airspeed above 172 kt is red with warning "VNE"
""",
    {
        "one speed for all": slip(
            {
                "from_101:": ("from 101", "from 113"),
                "airspeed at": ("101", "113"),
                "when weight above 1080": None,
                "when weight above 1180": None,
            },
            "unmarked-precaution",
        ),
        "pounds for kilograms": slip({"from_113:": ("1180 kg", "2650 lb")}, "gap", "unmarked-precaution"),
    },
)

BY_ALTITUDE = Shape(
    "speeds that fall with the altitude from a height on",
    {
        # 4 kt for each 1000 ft above 16,000 ft: 203 kt less 56 at 30,000 ft. VNO falls by 3 kt.
        "airframe": """
source POH second hand "a checklist file that cites the Beech A36TC POH, P/N 36-590003-3"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source TRADE
quantity altitude "Pressure altitude" from -1000 to 30000 ft, step 100 ft, source TRADE
curve vne over altitude: 16000 ft -> 203 kt, 30000 ft -> 147 kt, otherwise 147 kt
curve vno over altitude: 16000 ft -> 165 kt, 30000 ft -> 123 kt, otherwise 123 kt
never_exceed: limit airspeed at most vne, needs warning, source POH "203 kt, less 4 kt per 1000 ft above 16,000 ft"
smooth_air: precaution airspeed from vno to vne, source POH "165 kt, less 3 kt per 1000 ft",
  source TRADE "from the same height on, which POH does not say"
"""
    },
    """
use profile "airframe"
airspeed below vno is green
yellow_arc: airspeed from vno to vne is yellow
red_line: airspeed above vne is red with warning "VNE"
prove when altitude at most 16000 ft then airspeed above 203 kt is red
prove when altitude at least 25000 ft then airspeed above 167 kt is red
""",
    {
        "the fixed line of sea level": slip(
            {"yellow_arc:": ("vne", "203 kt"), "red_line:": ("vne", "203 kt")}, "unguarded-limit", "missing-alert"
        ),
        "half the slope": slip(
            {
                "curve vno": ("curve", "curve slow over altitude: 16000 ft -> 203 kt, 30000 ft -> 175 kt\ncurve"),
                "yellow_arc:": ("to vne", "to slow"),
                "red_line:": ("above vne", "above slow"),
            },
            "unguarded-limit",
            "missing-alert",
            "lost-guard",
        ),
        "no value for a dead altimeter": slip(
            {"curve vne": ("30000 ft -> 147 kt, otherwise 147 kt", "30000 ft -> 147 kt")}, "lost-guard"
        ),
    },
)

BY_FLAP_ANGLE = Shape(
    "a speed for each flap angle",
    {
        "airframe": """
source POH second hand "a checklist file that cites the Cessna 208B POH"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source TRADE
quantity flap_angle "Flap angle" from 0 to 40 deg, step 1 deg, source TRADE
max_speed: limit airspeed at most 175 kt, needs warning, source POH "VMO, and with flaps up to 10 degrees"
flaps_20: when flap_angle above 10 deg limit airspeed at most 150 kt, needs caution, source POH "10 to 20 degrees"
flaps_full: when flap_angle above 20 deg limit airspeed at most 125 kt, needs caution, source POH
"""
    },
    """
use profile "airframe"
airspeed at most 175 kt is green
airspeed above 175 kt is red with warning "VMO"
flaps_10_20: when flap_angle above 10 deg or flap_angle failed
  then airspeed above 150 kt is red with caution "FLAPS 150"
flaps_over_20: when flap_angle above 20 deg or flap_angle failed
  then airspeed above 125 kt is red with caution "FLAPS 125"
""",
    {
        "at the angle itself": slip({"flaps_over_20:": ("above 20", "above 25")}, "unguarded-limit", "missing-alert"),
        "miles for knots": slip({"flaps_over_20:": ("125 kt", "150 mph")}, "unguarded-limit", "missing-alert"),
        "nothing for a dead angle sensor": slip({"flaps_over_20:": ("deg or flap_angle failed", "deg")}, "lost-guard"),
    },
)

GEAR = Shape(
    "speeds of the landing gear, by its direction",
    {
        "airframe": """
source AFM second hand "a handbook's supplement S07 Rev. 2 of the Diamond DA42 with TAE 125-02-114, 10 August 2016"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source TRADE
switch gear "Landing gear" down, extending, retracting, up
engine retractable gear
gear_down: when gear is down or gear is extending limit airspeed at most 194 kt, needs caution, source AFM "VLE, VLO"
retracting: when gear is retracting limit airspeed at most 156 kt, needs caution, source AFM "VLO"
"""
    },
    """
use profile "airframe"
airspeed at most 155 kt is green
airspeed above 155 kt is yellow
gear_speed: when gear is not up then airspeed above 194 kt is red with caution "GEAR 194"
gear_going_up: when gear is retracting then airspeed above 156 kt is red with caution "GEAR 156"
""",
    {
        "one speed for both directions": slip({"gear_going_up:": None}, "unguarded-limit", "missing-alert"),
        "extended only, not on the way": slip({"gear_speed:": ("not up", "down")}, "unguarded-limit", "missing-alert"),
    },
)

BY_SERIAL = Shape(
    "limits by serial number, the lower where it is not known",
    {
        "airframe": """
source POH second hand "a checklist file that cites the Beech V35B POH"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source TRADE
switch serial "Serial number" unknown, early, late
switch flaps "Flaps" up, extended
switch gear "Landing gear" down, up
engine retractable gear
never_exceed: limit airspeed at most 196 kt, needs warning, source POH
flaps_late: when flaps is extended limit airspeed at most 123 kt, needs caution, source POH
flaps_early: when flaps is extended and serial is not late limit airspeed at most 117 kt, needs caution,
  source POH "early serial numbers"
gear_late: when gear is down limit airspeed at most 154 kt, needs caution, source POH
gear_early: when gear is down and serial is not late limit airspeed at most 145 kt, needs caution,
  source POH "early serial numbers"
"""
    },
    """
use profile "airframe"
condition may_be_early means serial is not late
airspeed at most 167 kt is green
airspeed from 167 to 196 kt is yellow
airspeed above 196 kt is red with warning "VNE"
when flaps is extended then airspeed above 123 kt is red with caution "FLAPS 123"
when flaps is extended and may_be_early then airspeed above 117 kt is red with caution "FLAPS 117"
when gear is down then airspeed above 154 kt is red with caution "GEAR 154"
when gear is down and may_be_early then airspeed above 145 kt is red with caution "GEAR 145"
""",
    {
        "not known taken for late": slip(
            {"condition may_be_early": ("not late", "early")}, "unguarded-limit", "missing-alert"
        ),
        "gear for flaps": slip(
            {"when gear is down and": ("gear is down", "flaps is extended")}, "unguarded-limit", "missing-alert"
        ),
    },
)

ROTORCRAFT = Shape(
    "a speed by weight, density altitude, torque and doors",
    {
        # Less 3.5 kt (heavy: 7 kt) for each 1000 ft above 3000 ft.
        "airframe": """
source CARDS second hand "flash cards on the Bell 206"
source TRADE common practice
quantity airspeed "Airspeed" from 0 to 160 kt, step 1 kt, source TRADE
quantity density_altitude "Density altitude" from -2000 to 15000 ft, step 100 ft, source TRADE
quantity weight "Weight, as set before the flight" from 1500 to 3200 lb, step 10 lb, source TRADE
quantity torque "Torque" from 0 to 120 %, step 1 %, source TRADE
switch doors "Doors" off, on
curve light over density_altitude: 3000 ft -> 130 kt, 15000 ft -> 88 kt, otherwise 69 kt
curve heavy over density_altitude: 3000 ft -> 122 kt, 15000 ft -> 38 kt, otherwise 38 kt
vne_light: limit airspeed at most light, needs warning, source CARDS "130 kt, less 3.5 kt per 1000 ft above 3000 ft"
vne_heavy: when weight above 3000 lb limit airspeed at most heavy, needs warning,
  source CARDS "122 kt, less 7 kt per 1000 ft", source TRADE "above 3000 ft too"
vne_power: when torque above 85 % limit airspeed at most 80 kt, needs warning, source CARDS
vne_doors: when doors is off limit airspeed at most 69 kt, needs warning, source CARDS "with passengers"
"""
    },
    """
use profile "airframe"
condition maybe_heavy means weight above 3000 lb or weight failed
airspeed at most light is green
airspeed above light is red with warning "VNE"
heavy_vne: when maybe_heavy then airspeed above heavy is red with warning "VNE HEAVY"
power_vne: when torque above 85 % or torque failed then airspeed above 80 kt is red with warning "VNE POWER"
when doors is off then airspeed above 69 kt is red with warning "VNE DOORS"
""",
    {
        "the light line for the heavy aircraft": slip(
            {"heavy_vne:": ("above heavy", "above light")}, "unguarded-limit", "missing-alert"
        ),
        "the power forgotten": slip({"power_vne:": None}, "unguarded-limit", "missing-alert"),
        "nothing for a dead torque sensor": slip({"power_vne:": (" or torque failed", "")}, "lost-guard"),
    },
)

AIRFRAMES = (BY_WEIGHT, BY_ALTITUDE, BY_FLAP_ANGLE, GEAR, BY_SERIAL, ROTORCRAFT)
