profile "cessna-150m" version 1
about "Fixed gear; indicated airspeeds"

# The alert levels are our choice (common practice, no source).

source POH "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 2"
source ARCS "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 7, airspeed indicator"
source SENSOR common practice "reaches past the red line; set it to the sensor fitted"

quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt, source SENSOR
switch flaps "Flaps" up, extended

never_exceed: limit airspeed at most 141 kt, needs warning, source POH
smooth_air: precaution airspeed from 107 to 141 kt, source ARCS "yellow arc: smooth air only"
flap_limit: when flaps is not up limit airspeed at most 85 kt, needs caution,
  source ARCS "white arc, from 42 kt (stall with flaps) up to here"
airspeed_normal: when flaps is up normal airspeed from 47 to 107 kt,
  source ARCS "green arc, from the stall with flaps up"
