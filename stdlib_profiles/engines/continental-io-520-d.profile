profile "continental-io-520-d" version 1
about "Six cylinders, air cooled, fuel injected, constant speed propeller"

# Every figure is second hand: check each against the owner's manual. Which alert level a limit needs is our choice
# (common practice, no source).

source COPY second hand "a checklist file that cites the owner's manual of the Cessna A185F, 1975"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed  # injected, so a pump feeds it

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity cht[6] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Engine speed: 300 hp for takeoff, 285 hp for as long as wanted.

rpm_limit: limit rpm at most 2850 rpm, needs warning, source COPY "takeoff"
rpm_takeoff_time: limit rpm at most 2700 rpm except for 5 min, needs caution, source COPY "takeoff, 5 min"
rpm_takeoff: precaution rpm from 2700 to 2850 rpm, source TRADE "the takeoff range"

# Temperatures: neither a normal range nor a minimum for takeoff is given.

cht_limit: limit cht at most 460 F, needs warning, source COPY
oil_temp_limit: limit oil_temp at most 240 F, needs warning, source COPY

# Oil pressure: the gauge is red below the minimum at once, the warning may wait for 30 s after a start and for
# 5 s later (the 5 s are common practice).

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source COPY
oil_pressure_min: when running limit oil_pressure at least 10 psi, source COPY
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source COPY, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source COPY
oil_pressure_low: when running precaution oil_pressure from 10 to 30 psi,
  source TRADE "between the limit and normal; a sound engine may idle here"
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the limit; usual while the oil is cold"

# Left out: oil quantity (at least 9 of 12 US quarts), which no gauge of this profile reads.
