profile "cessna-a185f" version 2
about
  "Fixed gear, 1975 model, 3350 lb; airspeeds, probably calibrated. Every speed is second hand: check it against the manual"

# The alert levels are our choice (common practice, no source).
# The manual gives miles per hour, and the copy beside it whole knots: 210 mph are 182.5 kt. The copy's knots
# are used; each is within 1 kt of what the miles come to.
# In manuals of that time such speeds are probably calibrated, not indicated (from memory): compare them with the
# airspeed correction table before a gauge is marked by them.

source COPY second hand "a checklist file that cites the owner's manual, 1975"
source TRADE common practice
source SENSOR common practice "reaches past the red line; set it to the sensor fitted"

maximum weight 3350 lb, arcs at 3350 lb, source COPY "the weight that its speeds stand under",
  source TRADE "taken as that of the stalls"

quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source SENSOR
switch flaps "Flaps" up, extended
switch air "Air, set by the pilot" smooth, rough

never_exceed: limit airspeed at most 182 kt, needs warning, source COPY "210 mph"
smooth_air: precaution airspeed from 148 to 182 kt, source COPY "from 170 mph"
airspeed_normal: when flaps is up and air is smooth normal airspeed from 56 to 148 kt,
  source COPY "from the stall with flaps up, 65 mph"
flap_limit: when flaps is extended limit airspeed at most 96 kt, needs caution, source COPY "110 mph"
flap_range: when flaps is extended normal airspeed from 49 to 96 kt,
  source COPY "from the stall with flaps, 56 mph"

# Manoeuvring speed limits what the controls may be used for and not the flight, so the gauge is yellow from
# there to VNO only while the air is rough (common practice). It is lower for a lighter aircraft; how much is not in the
# copy.

manoeuvring: when air is rough precaution airspeed from 117 to 148 kt,
  source COPY "135 mph", source TRADE "in rough air"
rough_normal: when flaps is up and air is rough normal airspeed from 56 to 117 kt,
  source COPY, source TRADE "in rough air"
