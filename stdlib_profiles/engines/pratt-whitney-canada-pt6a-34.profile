profile "pratt-whitney-canada-pt6a-34" version 2
about "Turboprop, free turbine, as in one aircraft"

# The handbook gives rows of conditions over columns of readings. Which alert level each limit needs is our choice
# (common practice, no source), and so is that a rating ends where the next begins.

source POH "Kodiak 100 Pilot's Operating Handbook, AM901.201, page 2-7 (sample, marked not for flight)"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine turbine

quantity torque "Torque" from 0 to 2500 lbft, step 10 lbft, source SENSOR
quantity itt "Interstage turbine temperature" from 0 to 1300 C, step 1 C, accuracy 5 C, source SENSOR
quantity ng "Gas generator speed" from 0 to 110 %, step 0.1 %, source SENSOR
quantity prop_rpm "Propeller speed" from 0 to 2600 rpm, step 10 rpm, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 250 psi, step 1 psi, accuracy 2 psi, source SENSOR
quantity oil_temp "Oil temperature" from -60 to 150 C, step 1 C, accuracy 2 C, source SENSOR

# Question: what tells this aircraft's display that the propeller is in reverse?

switch propeller "Propeller" forward, reverse

condition running means ng above 50 %, source TRADE "above the start, below idle at 52.5 %"

# Torque
#
# Up to 2000 rpm more torque is allowed: 1970 instead of 1790 lbft for takeoff, but that for 5 min, and 1840 instead of
# 1670 lbft for climb and cruise. Nothing limits the time above 1670 lbft at full speed: it is yellow (common practice).
# In reverse 1875 lbft is the limit, at any speed of the propeller. Left out: that reverse may last 1 min.

torque_limit: when prop_rpm above 2000 rpm and propeller is not reverse
  limit torque at most 1790 lbft except for 20 s,
  needs warning, source POH "takeoff; transient 20 s"
torque_reverse: when propeller is reverse limit torque at most 1875 lbft, needs warning,
  source POH "maximum reverse"
torque_limit_slow: limit torque at most 1970 lbft except for 20 s, needs warning,
  source POH "takeoff up to 2000 rpm; transient 20 s"
torque_time_slow: when prop_rpm at most 2000 rpm limit torque at most 1840 lbft except for 5 min,
  needs caution,
  source POH "1970 lbft up to 2000 rpm: 5 min; climb up to 2000 rpm: 1840 lbft"
torque_max: limit torque at most 2100 lbft, needs warning, source POH "transient"
torque_high: when prop_rpm above 2000 rpm precaution torque from 1670 to 1790 lbft,
  source TRADE "between climb and takeoff, both in POH"
torque_high_slow: when prop_rpm at most 2000 rpm precaution torque from 1840 to 1970 lbft,
  source TRADE "between climb and takeoff, both in POH"
torque_normal: normal torque from 0 to 1670 lbft, source TRADE "up to the climb rating in POH"
torque_normal_slow: when prop_rpm at most 2000 rpm normal torque from 0 to 1840 lbft,
  source TRADE "up to the climb rating in POH"

# Interstage turbine temperature
#
# A start has a limit of its own; the time it may last was not on the page read. Left out: 740 C for cruise.

itt_start: when not running limit itt at most 1090 C, needs warning, source POH "start"
itt_limit: when running limit itt at most 790 C except for 2 s, needs warning,
  source POH "takeoff; transient 2 s"
itt_max: when running limit itt at most 850 C, needs warning, source POH "transient"
itt_idle: when running and ng at most 55.5 % precaution itt above 685 C,
  source POH "at idle; raise Ng if above"
itt_high: when running precaution itt from 765 to 790 C, source TRADE "between climb and takeoff, both in POH"
itt_normal: when running and ng above 55.5 % normal itt at most 765 C,
  source TRADE "up to the climb rating in POH"

# Speeds
#
# Footnote 9 stands at the transient of the propeller, and its text is cut off in the copy: no time is known for it, so
# that 2200 rpm hold at once.

ng_limit: limit ng at most 101.6 % except for 2 s, needs warning, source POH "takeoff; transient 2 s"
ng_max: limit ng at most 102.6 %, needs warning, source POH "transient"
ng_low: when running precaution ng below 52.5 %, source POH "idle: 52.5 to 55.5 %"
ng_normal: normal ng from 52.5 to 101.6 %, source TRADE "between idle and the limit, both in POH"
prop_limit: limit prop_rpm at most 2200 rpm, needs warning, source POH "takeoff"
prop_max: limit prop_rpm at most 2420 rpm, needs warning, source POH "transient"
prop_reverse: when propeller is reverse limit prop_rpm at most 2100 rpm, needs caution, source POH "reverse"

# Oil
#
# 85 psi is the minimum above 72 % with the oil at 60 to 70 C. Between 40 and 85 psi the engine may finish a flight at
# reduced power, below 40 psi it must be shut down.

oil_pressure_max: limit oil_pressure at most 105 psi, needs caution, source POH
oil_pressure_window: when ng above 72 % and oil_temp from 60 to 70 C limit oil_pressure at least 85 psi,
  needs caution, source POH
oil_pressure_min: when running limit oil_pressure at least 40 psi, needs warning,
  source POH "below: shut down or land; also the minimum at idle"
oil_pressure_low: when ng above 72 % precaution oil_pressure from 40 to 85 psi,
  source POH "reduced power only, finish the flight"
oil_pressure_normal: when ng above 72 % normal oil_pressure from 85 to 105 psi, source POH

oil_temp_max: limit oil_temp at most 99 C, needs warning, source POH
oil_temp_min: limit oil_temp at least -40 C, needs caution, source POH "start and idle"
oil_temp_power: when ng above 72 % limit oil_temp at least 0 C, needs caution,
  source POH "climb, cruise and reverse", source TRADE "above 72 %: as for the oil pressure"
oil_temp_takeoff: precaution oil_temp from -40 to 10 C, source POH "10 C: minimum for takeoff"
oil_temp_heater: precaution oil_temp below 55 C, source POH "before takeoff power, for the fuel heater"
oil_temp_normal: normal oil_temp from 55 to 99 C,
  source TRADE "between the two, both in POH; 74 to 80 C preferred"
