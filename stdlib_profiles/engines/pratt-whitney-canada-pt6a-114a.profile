profile "pratt-whitney-canada-pt6a-114a" version 2
about "Turboprop, free turbine, as in one aircraft; power alone"

# Every figure is second hand: check each against the handbook. Which alert level a limit needs is our choice (common
# practice, no source). Oil is not here: the copy does not give it.
# The copies disagree on the turbine temperature: one gives 740 C in its column "max continuous (cruise)", one of the
# type certificate data sheet 805 C for takeoff and continuous. What lies between them is yellow, the tighter reading.

source COPY second hand "a checklist file that cites the Pilot's Operating Handbook of the Cessna 208B"
source TYPE second hand "a copy of the type certificate data sheet, as for the PT6A-114 series"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine turbine

quantity torque "Torque" from 0 to 2500 lbft, step 10 lbft, source SENSOR
quantity itt "Interstage turbine temperature" from 0 to 1300 C, step 1 C, accuracy 5 C, source SENSOR
quantity ng "Gas generator speed" from 0 to 110 %, step 0.1 %, source SENSOR
quantity prop_rpm "Propeller speed" from 0 to 2600 rpm, step 10 rpm, source SENSOR

# Question: what tells this aircraft's display that the propeller is in reverse?

switch propeller "Propeller" forward, reverse

condition running means ng above 50 %, source TRADE "above the start, below idle at 52 %"

# Left out: 685 C at idle, for the copy does not say up to which speed that is. A start may have 1090 C for 2 s; what
# holds after them is not given. Left out: 12 % before fuel is introduced; a step of the start. Left out: that reverse may last
# 1 min.

torque_limit: limit torque at most 1865 lbft, needs warning, source COPY
torque_normal: normal torque from 0 to 1865 lbft, source TRADE "up to the limit in COPY"
itt_start: when not running limit itt at most 1090 C, needs warning, source COPY "start, 2 s"
itt_limit: when running limit itt at most 805 C, needs warning, source COPY "takeoff",
  source TYPE "takeoff and continuous"
itt_high: when running precaution itt from 740 to 805 C,
  source COPY "740 C: max continuous (cruise)", source TYPE "805 C: takeoff and continuous"
itt_normal: when running normal itt at most 740 C, source COPY "max continuous (cruise)"
ng_limit: limit ng at most 101.6 %, needs warning, source COPY
ng_low: when running precaution ng below 52 %, source COPY "least at idle"
ng_normal: normal ng from 52 to 101.6 %, source TRADE "between idle and the limit, both in COPY"
prop_limit: limit prop_rpm at most 1900 rpm, needs warning, source COPY
prop_reverse: when propeller is reverse limit prop_rpm at most 1825 rpm, needs caution,
  source COPY "reverse, 1 min"
