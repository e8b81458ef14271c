profile "beechcraft-v35b" version 2
about
  "Retractable gear, 3400 lb; indicated airspeeds. Every speed is second hand: check it against the handbook"

# The alert levels are our choice (common practice, no source).
# Aircraft with early serial numbers have lower speeds for flaps and gear; the higher ones hold from D-8872 on. While
# nobody has set the switch to `late`, the lower speeds hold.

source COPY second hand "a checklist file that cites the V35, V35A, V35B Pilot's Operating Handbook"
source TRADE common practice
source SENSOR common practice "reaches past the red line; set it to the sensor fitted"

engine retractable gear
maximum weight 3400 lb, arcs at 3400 lb, source COPY "the weight that its speeds stand under",
  source TRADE "taken as that of the stalls"

quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source SENSOR
switch flaps "Flaps" up, extended
switch gear "Landing gear" down, moving, up
switch air "Air, set by the pilot" smooth, rough
switch serials "Serial numbers, set once; late: D-8872 and on" early, late

never_exceed: limit airspeed at most 196 kt, needs warning, source COPY
smooth_air: precaution airspeed from 167 to 196 kt, source COPY
airspeed_normal: when flaps is up and gear is up and air is smooth normal airspeed from 64 to 167 kt,
  source COPY "from the stall with flaps and gear up, 3400 lb"

# Flaps and gear

flap_limit: when flaps is extended limit airspeed at most 123 kt, needs caution, source COPY "from D-8872 on"
early_flaps: when flaps is extended and serials is early limit airspeed at most 117 kt, needs caution,
  source COPY "before D-8872"
flap_range: when flaps is extended normal airspeed from 52 to 123 kt,
  source COPY "from the stall with flaps and gear down, 3400 lb"
gear_limit: when gear is not up limit airspeed at most 154 kt, needs caution,
  source COPY "gear down and while it moves, from D-8872 on"
early_gear: when gear is not up and serials is early limit airspeed at most 145 kt, needs caution,
  source COPY "before D-8872"

# Manoeuvring speed
#
# It limits what the controls may be used for and not the flight, so the gauge is yellow from there to VNO only
# while the air is rough (common practice). It is lower for a lighter aircraft; how much is not in the copy.

manoeuvring: when air is rough precaution airspeed from 134 to 167 kt,
  source COPY "3400 lb", source TRADE "in rough air"
rough_normal: when flaps is up and gear is up and air is rough normal airspeed from 64 to 134 kt,
  source COPY, source TRADE "in rough air"
