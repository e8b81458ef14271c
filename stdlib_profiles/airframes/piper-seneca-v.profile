profile "piper-seneca-v" version 1
about
  "Two engines, retractable gear; indicated airspeeds. Every speed is second hand: check it against the handbook"

# The alert levels are our choice (common practice, no source).

source COPY second hand "a checklist file that cites the Seneca V Pilot's Operating Handbook"
source TRADE common practice
source SENSOR common practice "reaches past the red line; set it to the sensor fitted"

engine retractable gear

quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source SENSOR
quantity weight "Weight" from 3000 to 5000 lb, step 1 lb,
  source SENSOR "as computed or entered before takeoff"
switch flaps "Flaps" up, extended
switch gear "Landing gear" down, extending, retracting, up
switch air "Air, set by the pilot" smooth, rough
switch wheels "Weight on wheels" on_ground, in_air
switch engine_out "An engine has stopped" no, yes

condition single_engine means engine_out is yes and wheels is in_air, source TRADE

never_exceed: limit airspeed at most 204 kt, needs warning, source COPY
smooth_air: precaution airspeed from 164 to 204 kt, source COPY
airspeed_normal: when flaps is up and gear is up and air is smooth normal airspeed from 67 to 164 kt,
  source COPY "from the stall with flaps and gear up"

# Flaps and gear

flap_limit: when flaps is extended limit airspeed at most 113 kt, needs caution, source COPY
flap_range: when flaps is extended normal airspeed from 61 to 113 kt,
  source COPY "from the stall with flaps and gear down"
gear_limit: when gear is down limit airspeed at most 128 kt, needs caution, source COPY
gear_extending: when gear is extending limit airspeed at most 128 kt, needs caution, source COPY
gear_retracting: when gear is retracting limit airspeed at most 107 kt, needs caution, source COPY

# One engine
#
# On a dial VMC is a red line and VYSE a blue one at all times. Here the gauge is red below VMC, and yellow from
# there to VYSE, while one engine has stopped in flight: with both running an aircraft is slower than that in
# every landing (common practice). A blue line at VYSE is for the rules to show.

vmc: when single_engine limit airspeed at least 66 kt, needs warning,
  source COPY "minimum control speed", source TRADE "with one engine stopped in flight"
vyse: when single_engine precaution airspeed below 88 kt,
  source COPY "best rate of climb on one engine", source TRADE "with one engine stopped in flight"

# Manoeuvring speed
#
# It limits what the controls may be used for and not the flight, so the gauge is yellow from there to VNO only
# while the air is rough (common practice). Between the two published weights a straight line is on the safe
# side of the square root that the speed goes with. Below the lower weight nothing is published; its speed is
# held there and is too high for so light an aircraft.

curve manoeuvring_speed over weight: 3205 lb -> 113 kt, 4407 lb -> 135 kt, otherwise 113 kt,
  source COPY "113 kt at 3205 lb, 135 kt at 4407 lb", source TRADE "straight between them"
manoeuvring: when air is rough precaution airspeed from manoeuvring_speed to 164 kt,
  source COPY, source TRADE "in rough air"
rough_normal: when flaps is up and gear is up and air is rough normal airspeed from 67 to manoeuvring_speed,
  source COPY, source TRADE "in rough air"
