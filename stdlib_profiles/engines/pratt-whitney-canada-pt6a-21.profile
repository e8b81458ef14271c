profile "pratt-whitney-canada-pt6a-21" version 2
about "Turboprop, free turbine, as in one aircraft"

# Every figure is second hand: the sheet is an upload by nobody named. Check each against the handbook. Which alert level
# each limit needs is our choice (common practice, no source).

source SHEET second hand "Beechcraft C90B engine operating limitations sheet, an upload by nobody named"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine turbine

quantity torque "Torque" from 0 to 2000 lbft, step 10 lbft, source SENSOR
quantity itt "Interstage turbine temperature" from 0 to 1300 C, step 1 C, accuracy 5 C, source SENSOR
quantity ng "Gas generator speed" from 0 to 110 %, step 0.1 %, source SENSOR
quantity prop_rpm "Propeller speed" from 0 to 2600 rpm, step 10 rpm, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 250 psi, step 1 psi, accuracy 2 psi, source SENSOR
quantity oil_temp "Oil temperature" from -60 to 150 C, step 1 C, accuracy 2 C, source SENSOR

# Question: what tells this aircraft's display that the propeller is in reverse?

switch propeller "Propeller" forward, reverse

condition running means ng above 50 %, source TRADE "above the start, below idle at 58 %"

# Power
#
# Left out: 660 C at idle, for the sheet does not say what counts as idle. During a start 1090 C may last 2 s; what
# holds after them is not given, so that only the 1090 C stand here. Left out: that reverse may last 1 min.

torque_limit: limit torque at most 1315 lbft except for 2 s, needs warning,
  source SHEET "takeoff and continuous; transient 2 s"
torque_max: limit torque at most 1500 lbft, needs warning, source SHEET "transient"
torque_normal: normal torque from 0 to 1315 lbft, source TRADE "up to the rating in SHEET"
itt_start: when not running limit itt at most 1090 C, needs warning, source SHEET "start, 2 s"
itt_limit: when running limit itt at most 695 C except for 2 s, needs warning,
  source SHEET "takeoff and continuous; transient 2 s"
itt_max: when running limit itt at most 825 C, needs warning, source SHEET "transient"
itt_reverse: when propeller is reverse limit itt at most 695 C, needs warning, source SHEET "maximum reverse"
itt_normal: when running normal itt at most 695 C, source TRADE "up to the rating in SHEET"

# Speeds: no time is given for the transients, so the takeoff limits hold at once.

ng_limit: limit ng at most 101.5 %, needs warning, source SHEET "takeoff"
ng_max: limit ng at most 102.6 %, needs warning, source SHEET "transient"
ng_reverse: when propeller is reverse limit ng at most 88 %, needs caution, source SHEET "maximum reverse"
ng_low: when running precaution ng below 58 %, source SHEET "least at low idle"
ng_normal: normal ng from 58 to 101.5 %, source TRADE "between idle and the limit, both in SHEET"
prop_limit: limit prop_rpm at most 2200 rpm, needs warning, source SHEET "takeoff"
prop_max: limit prop_rpm at most 2420 rpm, needs warning, source SHEET "transient"
prop_reverse: when propeller is reverse limit prop_rpm at most 2100 rpm, needs caution, source SHEET "reverse"
prop_low: when running precaution prop_rpm below 1100 rpm, source SHEET "least at low idle"

# Oil
#
# 80 to 100 psi are asked for above 72 % with the oil at 60 to 70 C. A very cold start and a transient may reach
# 200 psi; the sheet gives no time for that.

oil_pressure_max: limit oil_pressure at most 200 psi, needs warning, source SHEET "very cold start, transient"
oil_pressure_high: when ng above 72 % and oil_temp from 60 to 70 C limit oil_pressure at most 100 psi,
  needs caution, source SHEET
oil_pressure_window: when ng above 72 % and oil_temp from 60 to 70 C limit oil_pressure at least 80 psi,
  needs caution, source SHEET
oil_pressure_min: when running limit oil_pressure at least 40 psi, needs warning, source SHEET "unsafe below"
oil_pressure_low: when running precaution oil_pressure from 40 to 80 psi, source SHEET "undesirable"
oil_pressure_normal: when ng above 72 % normal oil_pressure from 80 to 100 psi, source SHEET
oil_pressure_cold: when ng above 72 % precaution oil_pressure from 100 to 200 psi,
  source TRADE "between normal and the maximum, both in SHEET"

oil_temp_max: limit oil_temp at most 99 C, needs warning, source SHEET
oil_temp_min: limit oil_temp at least -40 C, needs caution, source SHEET "start"
oil_temp_power: when ng above 72 % limit oil_temp at least 0 C, needs caution,
  source SHEET "other than start and takeoff", source TRADE "above 72 %: as for the oil pressure"
oil_temp_takeoff: precaution oil_temp from -40 to 10 C, source SHEET "10 C: minimum for takeoff"
oil_temp_heater: precaution oil_temp below 55 C, source SHEET "for the fuel heater"
oil_temp_normal: normal oil_temp from 55 to 99 C, source TRADE "between the two, both in SHEET"
