profile "vedeneyev-m-14p" version 1
about "Nine cylinders, radial, air cooled, carburettor"

# The manuals give pressures in kgf/cm2; here they stand in bar, converted exactly (1 kgf/cm2 is 0.980665 bar). Which
# alert level each limit needs is our choice (common practice, no source).

source EM "Vedeneyev M-14P engine manual (in Russian)"
source FM "Yak-18T Flight Operations Manual, page 34"
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

condition running means rpm above 15 %,
  source TRADE "above cranking speed, below idle"

# Speed: in percent; 70 % are 2050 rpm. The takeoff rating may last 5 min; at what speed it begins
# was not on the pages read, so that its time is left out.

rpm_limit: limit rpm at most 99 %, needs warning, source RECALL "takeoff, 360 hp, about 2900 rpm"

# Cylinder heads. The highest values are from memory, "for a short time" without saying how long.

cht_limit: limit cht at most 240 C, needs warning, source RECALL "for a short time"
cht_high: precaution cht from 220 to 240 C, source RECALL "220 C: the maximum, but for a short time"
cht_takeoff: normal cht from 140 to 190 C, source FM "for takeoff"
cht_cool: when running precaution cht from 120 to 140 C, source FM "140 C: minimum for takeoff"
cht_glide: when running precaution cht below 120 C, source FM "not to fall below it in a glide"

# Oil

oil_temp_limit: limit oil_temp at most 85 C, needs warning, source RECALL "for a short time"
oil_temp_high: precaution oil_temp from 75 to 85 C, source RECALL "75 C: the maximum, but for a short time"
oil_temp_takeoff: normal oil_temp from 40 to 65 C, source FM "for takeoff"
oil_temp_cold: when running precaution oil_temp below 40 C, source FM "minimum for takeoff"

# Oil pressure: 1 kgf/cm2 is the minimum at idle. With zero or negative g it may fall to 0.5 to 1 kgf/cm2 for 0.5 s,
# so the warning may wait that long.
# Left out: 1.8 kgf/cm2 for 5 s with all such time adding up to 5 min over the life of the engine. Nothing here counts
# over a life, and the value it is a dip from is not given.

oil_pressure_min: when running limit oil_pressure at least 0.980665 bar except for 0.5 s, needs warning,
  source EM "1 kgf/cm2 at idle; 0.5 s with zero or negative g"
oil_pressure_dip: when running limit oil_pressure at least 0.4903325 bar, needs warning,
  source EM "0.5 kgf/cm2 with zero or negative g"
oil_pressure_run_up: when rpm from 69 to 71 % normal oil_pressure from 3.92266 to 5.88399 bar,
  source EM "4 to 6 kgf/cm2 at 70 %", source TRADE "1 % on either side"

carburettor_normal: normal carburettor_temp from 10 to 45 C, source EM

# Left out: the boost of the run-up, which is given against the pressure outside and with a tolerance (60 to 90 mmHg
# more); it is held in one test, and no gauge reads that difference. Fuel pressure: given for the same test alone.
