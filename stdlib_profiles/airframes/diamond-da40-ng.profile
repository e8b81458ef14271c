profile "diamond-da40-ng" version 2
about "Fixed gear; indicated airspeeds. Every speed is second hand: check it against the flight manual"

# The alert levels are our choice (common practice, no source).
# The green arc begins at the stalling speed for 1200 kg, which is less than the maximum weight (1310 kg, some 1280 kg);
# no copy gives it there. The white arc begins at that for 1310 kg. Left out: 16400 ft at most; no altitude is read here.

source COPY second hand "a checklist file that cites the airplane flight manual, Doc. 6.01.15-E, Rev. 3"
source REPORT second hand "a report that quotes the airplane flight manual, Doc. 6.01.15-E, Rev. 4"
source TRADE common practice
source SENSOR common practice "reaches past the red line; set it to the sensor fitted"

maximum weight 1310 kg, arcs at 1200 kg, source REPORT "1310 kg", source COPY "1200 kg"

quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source SENSOR
quantity weight "Weight" from 700 to 1400 kg, step 1 kg, source SENSOR "as computed or entered before takeoff"
switch flaps "Flaps" up, takeoff, landing
switch air "Air, set by the pilot" smooth, rough

never_exceed: limit airspeed at most 172 kt, needs warning, source COPY
smooth_air: precaution airspeed from 130 to 172 kt, source COPY
airspeed_normal: when flaps is up and air is smooth normal airspeed from 64 to 130 kt,
  source COPY "from the stall with flaps up at 1200 kg; 58 kt at 1000 kg"

# Flaps

flaps_takeoff: when flaps is takeoff limit airspeed at most 110 kt, needs caution, source COPY
flap_limit: when flaps is landing limit airspeed at most 98 kt, needs caution, source COPY
flap_range: when flaps is landing normal airspeed from 60 to 98 kt,
  source REPORT "from the stall with landing flaps at 1310 kg",
  source COPY "59 kt at 1200 kg, 55 kt at 1000 kg"

# Manoeuvring speed
#
# It limits what the controls may be used for and not the flight, so the gauge is yellow from there to VNO only
# while the air is rough (common practice). The weight decides; where it is not known the lowest speed holds.

manoeuvring_light: when air is rough and (weight at most 1080 kg or weight failed)
  precaution airspeed from 101 to 130 kt, source COPY "up to 1080 kg", source TRADE "in rough air"
manoeuvring_medium: when air is rough and weight above 1080 kg and weight at most 1180 kg
  precaution airspeed from 108 to 130 kt, source COPY "up to 1180 kg", source TRADE "in rough air"
manoeuvring_heavy: when air is rough and weight above 1180 kg
  precaution airspeed from 113 to 130 kt, source COPY "above 1180 kg", source TRADE "in rough air"

rough_normal_light: when flaps is up and air is rough and (weight at most 1080 kg or weight failed)
  normal airspeed from 64 to 101 kt, source COPY, source TRADE "in rough air"
rough_normal_medium: when flaps is up and air is rough and weight above 1080 kg and weight at most 1180 kg
  normal airspeed from 64 to 108 kt, source COPY, source TRADE "in rough air"
rough_normal_heavy: when flaps is up and air is rough and weight above 1180 kg
  normal airspeed from 64 to 113 kt, source COPY, source TRADE "in rough air"
