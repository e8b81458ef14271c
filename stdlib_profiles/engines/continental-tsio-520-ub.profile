profile "continental-tsio-520-ub" version 1
about "Six cylinders, air cooled, fuel injected, turbocharged, as in one aircraft"

# Every figure is second hand: check each against the handbook. Which alert level a limit needs is our choice (common
# practice, no source).

source COPY second hand
  "a checklist file that cites the Pilot's Operating Handbook of the Beechcraft A36TC, P/N 36-590003-3"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed, altitude  # injected, so a pump feeds it; turbocharged

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity manifold_pressure "Manifold pressure" from 5 to 45 inHg, step 0.1 inHg, source SENSOR
quantity tit "Turbine inlet temperature" from 0 to 2000 F, step 1 F, accuracy 10 F, source SENSOR
quantity cht[6] "Cylinder head temperature" from -40 to 320 C, step 1 C, accuracy 3 C, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 150 C, step 1 C, accuracy 2 C, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR
quantity fuel_flow "Fuel flow" from 0 to 45 gal/h, step 0.1 gal/h, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Power
#
# Left out: while the oil is at 24 to 38 C the manifold pressure may pass its limit by 1 to 2 inHg for "some
# minutes". The copy says neither how long nor which of the two, so the limit holds always.
# Left out: what is advised for cruise climb, cruise and descent; settings, no limits.

rpm_limit: limit rpm at most 2700 rpm, needs warning, source COPY
manifold_pressure_limit: limit manifold_pressure at most 36.0 inHg, needs warning,
  source COPY "takeoff and continuous, 2700 rpm"
warm_up: when running and (oil_temp below 24 C or oil_pressure below 30 psi) limit rpm at most 1200 rpm,
  needs caution within 10 s, source COPY "until the oil has 24 C and its pressure is normal",
  source TRADE "10 s"
fuel_flow_limit: limit fuel_flow at most 34.2 gal/h, needs caution, source COPY "full power, 32.5 to 34.2"

# Temperatures

tit_limit: limit tit at most 1650 F, needs warning, source COPY
cht_limit: limit cht at most 238 C, needs warning, source COPY
oil_temp_limit: limit oil_temp at most 116 C, needs warning, source COPY
oil_temp_takeoff: precaution oil_temp below 24 C, source COPY "minimum for takeoff, shown at all times"
oil_temp_advised: precaution oil_temp from 24 to 38 C, source COPY "38 C is recommended for takeoff"

# Oil pressure: the gauge is red below 10 psi at once. The warning may wait for 30 s after a start (COPY) and for
# 5 s later, which is common practice.

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source COPY
oil_pressure_min: when running limit oil_pressure at least 10 psi, source COPY "minimum at idle"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source COPY "10 psi within 30 s of the start, or stop the engine"
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source COPY, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source COPY
oil_pressure_low: when running precaution oil_pressure from 10 to 30 psi,
  source TRADE "between the limit and normal; a sound engine may idle here"
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the limit; usual while the oil is cold"

# Left out: the duty of the starter (30 s in 4 min) and 4 min at idle before the engine is stopped: what no
# gauge here reads. Left out: idle may stop the engine above 18000 ft.
