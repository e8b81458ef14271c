profile "pratt-whitney-canada-pt6a-67" version 2
about "Turboprop, free turbine; two of them in one military aircraft"

# Which alert level each limit needs is our choice (common practice, no source).

source TM "US Army TM 1-1510-223-10, Table 5-1, pages 5-7 and 5-8, Change 3"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine turbine

quantity torque "Torque" from 0 to 150 %, step 1 %, source SENSOR
quantity tgt "Turbine gas temperature" from 0 to 1300 C, step 1 C, accuracy 5 C, source SENSOR
quantity n1 "Gas generator speed" from 0 to 120 %, step 0.1 %, source SENSOR
quantity prop_rpm "Propeller speed" from 0 to 2100 rpm, step 10 rpm, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 250 psi, step 1 psi, accuracy 2 psi, source SENSOR
quantity oil_temp "Oil temperature" from -60 to 150 C, step 1 C, accuracy 2 C, source SENSOR

switch propeller "Propeller" forward, reverse

condition running means n1 above 55 %, source TRADE "above the start, below idle at 62 %"
condition powered means n1 above 72 %, source TM "72 % is about high idle"

# Torque: full torque for as long as wanted, 138 % for 20 s, 54 % while the propeller turns below 1000 rpm or the oil
# pressure is low. Above the line between the climb ratings at 1500 and 1700 rpm it is yellow (common practice).

curve torque_climb over prop_rpm: 1500 rpm -> 94 %, 1700 rpm -> 83 %, source TM "maximum cruise and climb"

torque_limit: limit torque at most 100 % except for 20 s, needs warning, source TM "transient 20 s"
torque_max: limit torque at most 138 %, needs warning, source TM "transient"
torque_slow: when prop_rpm below 1000 rpm limit torque at most 54 %, needs warning, source TM
torque_low_oil: when running and oil_pressure below 90 psi limit torque at most 54 %, needs caution,
  source TM "60 to 90 psi in an emergency only, and up to 54 %"
torque_reverse: when propeller is reverse limit torque at most 75 %, needs caution, source TM
torque_high: when prop_rpm from 1500 to 1700 rpm precaution torque above torque_climb,
  source TRADE "above the climb ratings in TM"

# Turbine gas temperature: four plateaus, each with its time.

tgt_start: when not running limit tgt at most 1000 C, needs warning, source TM "start, 5 s"
tgt_continuous: when running limit tgt at most 830 C except for 5 min, needs caution,
  source TM "continuous; takeoff 840 C, 5 min"
tgt_takeoff: when running limit tgt at most 840 C except for 20 s, needs warning,
  source TM "takeoff; transient 20 s"
tgt_max: when running limit tgt at most 870 C, needs warning, source TM "transient"
tgt_idle: when running and not powered precaution tgt above 750 C, source TM "low idle"
tgt_reverse: when propeller is reverse limit tgt at most 760 C, needs caution, source TM
tgt_high: when powered precaution tgt from 810 to 840 C, source TRADE "between climb and takeoff, both in TM"
tgt_normal: when powered normal tgt at most 810 C, source TRADE "up to the climb rating in TM"

# Speeds

n1_limit: limit n1 at most 104 %, needs warning, source TM
n1_reverse: when propeller is reverse limit n1 at most 88 %, needs caution, source TM
n1_low: when running precaution n1 below 62 %, source TM "least at low idle"
n1_normal: normal n1 from 62 to 104 %, source TRADE "between idle and the limit, both in TM"
prop_limit: limit prop_rpm at most 1700 rpm except for 20 s, needs warning, source TM "transient 20 s"
prop_max: limit prop_rpm at most 1870 rpm, needs warning, source TM "transient"
prop_reverse: when propeller is reverse limit prop_rpm at most 1650 rpm, needs caution, source TM
prop_low: when running precaution prop_rpm below 1000 rpm, source TM "least at idle"
prop_normal: normal prop_rpm from 1000 to 1700 rpm, source TRADE "between idle and the limit, both in TM"

# Oil: 90 to 135 psi with power; up to 200 psi for 20 s and at a start. Down to 40 psi is named as a transient without
# a time of its own, so that the minimum at idle, 60 psi, holds at once.

oil_pressure_limit: when powered limit oil_pressure at most 135 psi except for 20 s, needs caution,
  source TM "transient 20 s"
oil_pressure_max: limit oil_pressure at most 200 psi, needs warning, source TM "start and transient"
oil_pressure_min: when running limit oil_pressure at least 60 psi, needs warning, source TM "idle"
oil_pressure_low: when powered precaution oil_pressure from 60 to 90 psi, source TM "in an emergency only"
oil_pressure_normal: when powered normal oil_pressure from 90 to 135 psi, source TM

oil_temp_limit: limit oil_temp at most 105 C except for 10 min, needs caution, source TM "110 C for 10 min"
oil_temp_max: limit oil_temp at most 110 C, needs warning, source TM "10 min"
oil_temp_min: limit oil_temp at least -40 C, needs caution, source TM
oil_temp_power: when powered limit oil_temp at least 10 C, needs caution, source TM "takeoff to reverse"
oil_temp_high: precaution oil_temp from 105 to 110 C, source TRADE "between the two limits"
oil_temp_normal: normal oil_temp from 10 to 105 C, source TM

# Left out: what is counted over a life (10 h without a boost pump, 150 h with aviation gasoline), and the duty of the
# starter. A start may have 1000 C for 5 s; what holds after them is not given.
