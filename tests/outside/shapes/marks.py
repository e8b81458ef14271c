"""What a marking table says: bands of other colours, in mid-scale, left unmarked on purpose, printed with holes; one
engine on two electrical systems, and an aircraft stricter than its engine."""

from __future__ import annotations

from tests.outside.shapes.shape import Shape, slip

WHITE_ARC = Shape(
    "a white arc, a stretch without marking that is allowed, and a second instrument on the same dial",
    {
        # One dial has its lower end in psi and its upper in lb/h. No unit turns one into the other: two quantities.
        "engine": """
source POH "Cessna T210M POH, 1978 model"
source TRADE common practice
quantity fuel_flow "Fuel flow" from 0 to 250 lb/h, step 1 lb/h, source TRADE
quantity fuel_pressure "Fuel pressure" from 0 to 30 psi, step 0.5 psi, source TRADE
flow_max: limit fuel_flow at most 186 lb/h, needs caution, source POH
pressure_min: limit fuel_pressure at least 3.0 psi, needs warning, source POH
cruise: normal fuel_flow from 36 to 120 lb/h, source POH "green arc"
"""
    },
    """
use profile "engine"
fuel_flow below 36 lb/h is unmarked
fuel_flow from 36 to 120 lb/h is green
climb: fuel_flow from 120 to 162 lb/h is white
fuel_flow_hole: fuel_flow from 162 to 186 lb/h is unmarked
fuel_flow above 186 lb/h is red with caution "FUEL FLOW"
fuel_pressure below 3.0 psi is red with warning "FUEL PRESS"
fuel_pressure at least 3.0 psi is unmarked
prove fuel_flow from 121 to 162 lb/h is white
prove fuel_flow from 163 to 186 lb/h is unmarked
""",
    {
        "the hole as printed": slip({"fuel_flow_hole:": None}, "gap"),
        "the white arc over the green": slip({"climb:": ("120", "100")}, "conflict"),
        "green where it is most often used": slip(
            {"fuel_flow below": ("36", "60"), "fuel_flow from": ("36", "60")}, "normal-not-green"
        ),
        "the pressure equivalent taken for the limit": slip(
            {"fuel_pressure below": ("3.0", "2.5")}, "gap", "unguarded-limit", "missing-alert"
        ),
    },
)

MID_SCALE = Shape(
    "a yellow range in the middle of the scale",
    {
        "engine": """
source MANUAL "Cessna 182 Owner's Manual, 1973 model"
source TRADE common practice
quantity carburettor_air "Carburettor air temperature" from -40 to 60 C, step 1 C, source TRADE
icing: precaution carburettor_air from -15 to 5 C, source MANUAL "icing"
cold_and_dry: normal carburettor_air below -15 C, source MANUAL
warm: normal carburettor_air above 5 C, source MANUAL
"""
    },
    """
use profile "engine"
carburettor_air below -15 C is green
ice: carburettor_air from -15 to 5 C is yellow
carburettor_air above 5 C is green
""",
    {
        "the sign lost": slip({"ice:": ("-15 to 5", "5 to 15")}, "gap", "conflict", "unmarked-precaution"),
        "ends at freezing": slip(
            {"ice:": ("to 5", "to 0"), "carburettor_air above": ("5", "0")}, "unmarked-precaution"
        ),
    },
)

STEPPED_GREEN = Shape(
    "a green arc whose top steps up with the altitude under a fixed red line",
    {
        # That the top steps is published for gauges of this kind; the two lower values are invented.
        "engine": """
source POH "Cessna 150M POH, 1976 model, Section 2"
source RECALL from memory
source TRADE common practice "invented: where the steps are was not read"
quantity altitude "Altitude" from 0 to 15000 ft, step 100 ft, source TRADE
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source TRADE
red_line: limit rpm at most 2750 rpm, needs warning, source POH
low: when altitude below 5000 ft normal rpm from 2000 to 2550 rpm, source RECALL "2000", source TRADE "2550"
middle: when altitude from 5000 to 10000 ft normal rpm from 2000 to 2650 rpm, source RECALL, source TRADE
high: when altitude above 10000 ft normal rpm from 2000 to 2750 rpm, source RECALL
"""
    },
    """
use profile "engine"
rpm at most 2000 rpm is unmarked
sea_level: when altitude below 5000 ft then rpm from 2000 to 2550 rpm is green
when altitude below 5000 ft then rpm from 2550 to 2750 rpm is unmarked
middle_green: when altitude from 5000 to 10000 ft then rpm from 2000 to 2650 rpm is green
when altitude from 5000 to 10000 ft then rpm from 2650 to 2750 rpm is unmarked
when altitude above 10000 ft then rpm from 2000 to 2750 rpm is green
when altitude failed then rpm from 2000 to 2550 rpm is green
when altitude failed then rpm from 2550 to 2750 rpm is yellow
red_radial: rpm above 2750 rpm is red with warning "OVERSPEED"
prove when altitude below 5000 ft then rpm from 2560 to 2750 rpm is never green
""",
    {
        "a step an altitude too late": slip({"sea_level:": ("5000", "4000")}, "gap"),
        "the red line stepped too": slip(
            {"red_radial:": ("red_radial: rpm", "red_radial: when altitude above 10000 ft then rpm")},
            "gap",
            "unguarded-limit",
            "missing-alert",
            "lost-guard",
        ),
    },
)

PRINTED = Shape(
    "a printed table that ends at the step of the display, and one with a real hole",
    {
        "engine": """
source CARDS second hand "flash cards on the T-6A (PT6A-68)"
source TRADE common practice
quantity oil_temp "Oil temperature" from -50 to 150 C, step 1 C, source TRADE
quantity oil_pressure "Oil pressure" from 0 to 200 psi, step 1 psi, source TRADE
oil_long: limit oil_temp at most 105 C except for 10 min, needs caution, source CARDS "106 to 110 C: 10 min"
oil_max: limit oil_temp at most 110 C, needs warning, source CARDS
oil_usual: normal oil_temp from 10 to 105 C, source CARDS
oil_extended: precaution oil_temp from 105 to 110 C, source CARDS, source TRADE "joined to the range below"
pressure_usual: normal oil_pressure from 90 to 120 psi, source CARDS
pressure_low: precaution oil_pressure from 40 to 90 psi, source CARDS
"""
    },
    """
use profile "engine"
oil_temp below 10 C is unmarked
oil_temp from 10 to 105 C is green
extended: oil_temp from 105 to 110 C is yellow
oil_temp above 105 C for more than 10 min is red with caution "OIL TEMP TIME"
oil_temp above 110 C is red with warning "OIL HOT"
idle: oil_pressure from 15 to 40 psi is white
oil_pressure below 15 psi is unmarked
between: oil_pressure from 40 to 90 psi is yellow
oil_pressure from 90 to 120 psi is green
oil_pressure above 120 psi is unmarked
""",
    {
        "as printed: 10 to 105, 106 to 110": slip({"extended:": ("105", "106")}, "hairline-gap", "unmarked-precaution"),
        "as printed: 15 to 40, 90 to 120": slip({"between:": None}, "gap", "unmarked-precaution"),
    },
)

BUS_BANDS = """
volts_low: volts below 24.1 V is red with caution "LOW VOLTS"
volts from 24.1 to 25 V is yellow
volts from 25 to 30 V is green
volts from 30 to 32 V is yellow
volts_high: volts above 32 V is red with warning "OVER VOLTS"
"""

TWO_SYSTEMS = Shape(
    "one engine on two electrical systems",
    {
        "engine": """
source SHEET "Cessna 150M POH, Section 2, 1976 model"
source SENSOR common practice
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, source SENSOR
oil_hot: limit oil_temp at most 240 F, needs warning, source SHEET
""",
        "bus-28v": """
source AFM "Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011"
source SENSOR common practice
quantity volts "Bus voltage" from 0 to 40 V, step 0.1 V, source SENSOR
volts_min: limit volts at least 24.1 V, needs caution, source AFM
volts_max: limit volts at most 32 V, needs warning, source AFM
volts_usual: normal volts from 25 to 30 V, source AFM
volts_weak: precaution volts from 24.1 to 25 V, source AFM
volts_strong: precaution volts from 30 to 32 V, source AFM
""",
        "bus-14v": """
source TRADE common practice "no document was at hand"
quantity volts "Bus voltage" from 0 to 20 V, step 0.1 V, source TRADE
volts_min: limit volts at least 12.5 V, needs caution, source TRADE
volts_max: limit volts at most 15.5 V, needs warning, source TRADE
volts_usual: normal volts from 13.5 to 14.8 V, source TRADE
""",
    },
    """
use profile "engine"
use profile "bus-28v"
oil_temp at most 240 F is green
oil_temp above 240 F is red with warning "OIL HOT"
"""
    + BUS_BANDS,
    {
        "the bands of one on the other": slip(
            {'use profile "bus-28v"': ('"bus-28v"', '"bus-14v"')},
            "beyond-sensor",
            "unreachable-band",
            "missing-alert",
            "normal-not-green",
        ),
        "half the volts": slip({"volts_high:": ("32", "16")}, "conflict", "unreachable-band"),
    },
)

STRICTER_AIRCRAFT = Shape(
    "an aircraft that is stricter than its engine",
    {
        "engine": """
source POH "Cessna 150M POH, Section 2, 1976 model"
source SENSOR common practice
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, source SENSOR
engine_oil: limit oil_temp at most 240 F, needs warning, source POH
""",
        "aircraft": """
source RECALL from memory "older gauges and data sheets"
source SENSOR common practice
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, source SENSOR
aircraft_oil: limit oil_temp at most 225 F, needs warning, source RECALL
""",
    },
    """
use profile "engine"
use profile "aircraft"
oil_temp at most 225 F is green
oil_temp above 225 F is red with warning "OIL HOT"
""",
    {
        "the limit of the engine alone": slip(
            {"oil_temp at": ("225", "240"), "oil_temp above": ("225", "240")}, "unguarded-limit", "missing-alert"
        ),
    },
)

MARKS = (WHITE_ARC, MID_SCALE, STEPPED_GREEN, PRINTED, TWO_SYSTEMS, STRICTER_AIRCRAFT)
