profile "vedeneyev-m-14p" version 2
about "Nine cylinders, radial, air cooled, carburettor; every figure is second hand or from memory"

# The engine manual was read in an English translation that says of itself: for reference only, not approved by any
# authority. Check every figure against the manuals in force.
# They give pressures in kgf/cm2; here they stand in bar, converted exactly (1 kgf/cm2 is 0.980665 bar). Which alert
# level each limit needs is our choice (common practice, no source).

source EM second hand "Vedeneyev M-14P engine manual, a translation for reference only"
source FM second hand "Yak-18T Flight Operations Manual, page 34, an English copy"
source RECALL from memory "to be confirmed in the engine manual before flight"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled

quantity rpm "Crankshaft speed" from 0 to 120 %, step 1 %, source SENSOR
quantity cht "Cylinder head temperature" from -40 to 350 C, step 1 C, accuracy 3 C, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 150 C, step 1 C, accuracy 2 C, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 15 bar, step 0.1 bar, source SENSOR
quantity carburettor_temp "Carburettor air temperature" from -40 to 80 C, step 1 C, accuracy 1 C,
  source SENSOR

# No sensor tells a glide or a run-up from the rest of a flight.
# Question: what sets these on this aircraft? While nothing does, they stay in their first position.

switch throttle "Throttle" open, idle
switch phase "Phase, set by the pilot" other, run_up, takeoff, glide

condition running means rpm above 15 %,
  source TRADE "above cranking speed, below idle"

# Speed: in percent; 70 % are 2050 rpm. The takeoff rating may last 5 min; at what speed it begins
# was not on the pages read, so that its time is left out.

rpm_limit: limit rpm at most 99 %, needs warning, source RECALL "takeoff, 360 hp, about 2900 rpm"

# Cylinder heads. 140 to 190 C and 120 C hold in the phases that the manual names, not at all times. 220 C may be passed,
# up to 240 C, "for a short time" (from memory), without saying how long: so that 220 C holds at once.

cht_limit: limit cht at most 220 C, needs warning, source RECALL "the maximum, but for a short time"
cht_short: limit cht at most 240 C, needs warning, source RECALL "for a short time"
cht_run_up: when phase is run_up limit cht at most 190 C, needs caution, source FM "run-up at 70 %"
cht_takeoff: when phase is takeoff normal cht from 140 to 190 C,
  source EM "pages 31 and 33: ready for takeoff"
cht_not_ready: when phase is takeoff precaution cht below 140 C,
  source EM "pages 31 and 33: ready for takeoff from 140 C on"
cht_high: when phase is takeoff precaution cht above 190 C,
  source EM "pages 31 and 33: ready for takeoff up to 190 C"
cht_glide: when phase is glide limit cht at least 120 C, needs caution,
  source EM "pages 31 and 33: not to fall below it in a glide"

# Oil temperature: 75 C and 85 C likewise.

oil_temp_limit: limit oil_temp at most 75 C, needs warning, source RECALL "the maximum, but for a short time"
oil_temp_short: limit oil_temp at most 85 C, needs warning, source RECALL "for a short time"
oil_temp_run_up: when phase is run_up normal oil_temp from 40 to 75 C, source FM "run-up at 70 %"
oil_temp_takeoff: when phase is takeoff normal oil_temp from 40 to 65 C,
  source EM "pages 31 and 33: ready for takeoff"
oil_temp_high: when phase is takeoff precaution oil_temp from 65 to 75 C,
  source EM "pages 31 and 33: ready for takeoff up to 65 C"
oil_temp_not_ready: when phase is takeoff or phase is run_up precaution oil_temp below 40 C,
  source EM "ready for takeoff from 40 C on", source FM "run-up from 40 C on"

# Oil pressure: 1 kgf/cm2 is allowed only while gliding at the idle rating. For all else no minimum was on the pages
# read; the 4 kgf/cm2 of the run-up are held there, idling on the ground too, which is the safe side (our choice).
# With zero or negative g it may fall to 1.8 kgf/cm2 for 5 s and to 0.5 to 1 kgf/cm2 for 0.5 s. Nothing tells that g from
# a loss of pressure: red comes at once, and only the warning waits for the 5 s, down to 1.8 kgf/cm2. Left out: the half
# second, and that all such time adds up to 5 min over the life of the engine. Nothing here counts over a life.

oil_pressure_glide: when running and throttle is idle and phase is glide
  limit oil_pressure at least 0.980665 bar,
  needs warning, source EM "1 kgf/cm2: only gliding at the idle rating"
oil_pressure_min: when running and (throttle is open or phase is not glide)
  limit oil_pressure at least 3.92266 bar,
  needs warning within 5 s, source FM "4 kgf/cm2: run-up at 70 %", source EM "5 s with zero or negative g",
  source TRADE "held at every power"
oil_pressure_fall: when running and (throttle is open or phase is not glide)
  limit oil_pressure at least 1.765197 bar, needs warning,
  source EM "1.8 kgf/cm2, with zero or negative g"
oil_pressure_run_up: when phase is run_up and rpm from 69 to 71 %
  normal oil_pressure from 3.92266 to 5.88399 bar,
  source FM "4 to 6 kgf/cm2 at 70 %", source TRADE "1 % on either side"
oil_pressure_high: when phase is run_up and rpm from 69 to 71 % limit oil_pressure at most 5.88399 bar,
  needs caution,
  source FM "4 to 6 kgf/cm2 at 70 %", source TRADE "1 % on either side"

carburettor_normal: normal carburettor_temp from 10 to 45 C, source EM

# Left out: the boost of the run-up, which is given against the pressure outside and with a tolerance (60 to 90 mmHg
# more); it is held in one test, and no gauge reads that difference. Fuel pressure: given for the same test alone.
