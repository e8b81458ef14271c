profile "continental-tsio-520-r" version 1
about
  "Six cylinders, air cooled, fuel injected, turbocharged: power, fuel flow and suction, as in one aircraft"

# Which alert level each limit needs is our choice (common practice, no source). Temperatures and oil pressure are not
# here: their limits were not among the pages read.

source POH "Cessna T210M Pilot's Operating Handbook, 1978 model"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed, altitude  # injected, so a pump feeds it; turbocharged

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity manifold_pressure "Manifold pressure" from 5 to 45 inHg, step 0.1 inHg, source SENSOR
quantity fuel_flow "Fuel flow" from 0 to 250 lb/h, step 1 lb/h, source SENSOR
quantity fuel_pressure "Metered fuel pressure" from 0 to 30 psi, step 0.1 psi, source SENSOR
quantity suction "Suction" from 0 to 10 inHg, step 0.1 inHg, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Power: 310 hp for 5 min, 285 hp for as long as wanted.
#
# A momentary overshoot of the manifold pressure by 2 to 3 inHg is tolerated, one that persists or reaches 3 inHg is
# not; on the first takeoff of the day, with cold oil, it may pass the line until the throttle is reduced. The handbook
# gives no time for either. So the red line holds at once, and the 3 inHg stand beside it.

rpm_limit: limit rpm at most 2700 rpm, needs warning, source POH "takeoff"
rpm_takeoff_time: limit rpm at most 2600 rpm except for 5 min, needs caution,
  source POH "2700 rpm: takeoff, 5 min"
rpm_takeoff: precaution rpm from 2600 to 2700 rpm, source TRADE "the takeoff range"
manifold_pressure_limit: limit manifold_pressure at most 36.5 inHg, needs warning, source POH "red line"
manifold_pressure_takeoff_time: limit manifold_pressure at most 35 inHg except for 5 min, needs caution,
  source POH "36.5 inHg: takeoff, 5 min"
manifold_pressure_takeoff: precaution manifold_pressure from 35 to 36.5 inHg, source TRADE "the takeoff range"
manifold_pressure_overboost: limit manifold_pressure below 39.5 inHg, needs warning, source POH "3 inHg over"

# Fuel: one dial has two lines in pounds an hour and in psi; the two are different readings and are kept apart.
# Left out: the white arc for climb, 120 to 162 lb/h. It is neither normal nor a precaution, and the language has
# no range for it; 162 to 186 lb/h carries no marking (takeoff mixture is 178 to 186 lb/h).

fuel_flow_limit: limit fuel_flow at most 186 lb/h, needs caution, source POH "red line"
fuel_flow_normal: normal fuel_flow from 36 to 120 lb/h, source POH "cruise"
fuel_pressure_max: limit fuel_pressure at most 19.5 psi, needs caution, source POH "at 186 lb/h"
fuel_pressure_min: when running limit fuel_pressure at least 3.0 psi, needs warning, source POH "red line"

suction_normal: when running normal suction from 4.6 to 5.4 inHg, source POH
