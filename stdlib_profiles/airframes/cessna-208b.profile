profile "cessna-208b" version 2
about "Turboprop, fixed gear; indicated airspeeds. Every speed is second hand: check it against the handbook"

# The alert levels are our choice (common practice, no source).
# The copy gives a maximum operating speed, VMO, in place of VNE and VNO, and no stall speeds: what is normal is
# not known here.

source COPY second hand "a checklist file that cites the 208B Pilot's Operating Handbook"
source RECALL from memory "manoeuvring speeds below 7500 lb; to be confirmed in the handbook before flight"
source TRADE common practice
source SENSOR common practice "reaches past the red line; set it to the sensor fitted"

quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source SENSOR
quantity weight "Weight" from 4000 to 9500 lb, step 10 lb,
  source SENSOR "as computed or entered before takeoff"
switch flaps "Flaps" up, to_10, to_20, full
switch air "Air, set by the pilot" smooth, rough

vmo: limit airspeed at most 175 kt, needs warning, source COPY

# Flaps

flaps_to_10: when flaps is to_10 limit airspeed at most 175 kt, needs caution, source COPY "up to 10 degrees"
flaps_to_20: when flaps is to_20 limit airspeed at most 150 kt, needs caution, source COPY "10 to 20 degrees"
flap_limit: when flaps is full limit airspeed at most 125 kt, needs caution,
  source COPY "more than 20 degrees"

# Manoeuvring speed
#
# It limits what the controls may be used for and not the flight, so the gauge is yellow from there on only
# while the air is rough (common practice). Speeds below 7500 lb are not in the copy; the handbook goes on to 6250 lb
# and 5000 lb (from memory). Between the weights a straight line is on the safe side of the square root that the speed
# goes with; below 5000 lb it is taken from that root. No speed is carried down to a lower weight.

curve manoeuvring_speed over weight:
  4000 lb -> 100 kt, 5000 lb -> 112 kt, 6250 lb -> 125 kt, 7500 lb -> 137 kt, 8750 lb -> 148 kt,
  otherwise 100 kt,
  source COPY "137 kt at 7500 lb, 148 kt at 8750 lb", source RECALL "125 kt at 6250 lb, 112 kt at 5000 lb",
  source TRADE "straight between them; 4000 lb by the square root of weight"
manoeuvring: when air is rough precaution airspeed from manoeuvring_speed to 175 kt,
  source COPY, source RECALL, source TRADE "in rough air"
