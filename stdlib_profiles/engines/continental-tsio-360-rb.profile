profile "continental-tsio-360-rb" version 1
about "Six cylinders, air cooled, fuel injected, turbocharged: power and turbine inlet, as in one aircraft"

# Every figure is second hand: check each against the handbook. Which alert level a limit needs is our choice (common
# practice, no source). Oil and heads are not here: the copy does not give them.

source COPY second hand "a checklist file that cites the Pilot's Operating Handbook of the Piper Seneca V"
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed, altitude  # injected, so a pump feeds it; turbocharged

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity manifold_pressure "Manifold pressure" from 5 to 45 inHg, step 0.1 inHg, source SENSOR
quantity tit "Turbine inlet temperature" from 0 to 2000 F, step 1 F, accuracy 10 F, source SENSOR

rpm_limit: limit rpm at most 2600 rpm, needs warning, source COPY "takeoff and continuous"
manifold_pressure_limit: limit manifold_pressure at most 38 inHg, needs warning,
  source COPY "takeoff and continuous"

# Turbine inlet: 1650 F holds at any time. That up to 1700 F is tolerated for 60 s while peak is looked for stands
# beside it and makes nothing weaker: no sensor tells that from anything else, and the tightest wins.

tit_limit: limit tit at most 1650 F, needs warning, source COPY
tit_peak_time: limit tit at most 1650 F except for 60 s, needs warning,
  source COPY "while finding peak, up to 1700 F"
tit_max: limit tit at most 1700 F, needs warning, source COPY "while finding peak"

# Left out: feathering, which must be done before the speed falls to 800 rpm; a procedure.
