"""Published figures of engines, written down from the sources by hand: quantity, kind, least, most, unit, source and,
where it has them, the seconds it may last and those until its alert."""

from __future__ import annotations

Row = tuple[str | int | None, ...]


def oil(source: str, *, loss: str = "10", least: str = "10", most: str = "100") -> list[Row]:
    """Oil pressure as most profiles have it: red at once, a warning 5 s after a loss and 30 s after a start."""
    return [
        ("oil_pressure", "limit", None, most, "psi", source),
        ("oil_pressure", "limit", least, None, "psi", source),
        ("oil_pressure", "limit", loss, None, "psi", source, 0, 5),
        ("oil_pressure", "limit", "10", None, "psi", "AC", 0, 30),
    ]


ENGINES: dict[str, list[Row]] = {
    "continental-o-200-a": [
        ("rpm", "limit", None, "2750", "rpm", "POH"),
        ("rpm", "normal", "2000", "2750", "rpm", "RECALL"),
        ("cht", "limit", None, "525", "F", "RECALL"),
        ("oil_temp", "limit", None, "240", "F", "POH"),
        ("oil_temp", "limit", None, "225", "F", "RECALL"),
        ("oil_temp", "normal", "100", "225", "F", "RECALL"),
        *oil("POH"),
        ("oil_pressure", "normal", "30", "60", "psi", "RECALL"),
    ],
    "continental-o-470-u": [
        ("rpm", "limit", None, "2400", "rpm", "POH"),
        ("rpm", "normal", "2100", "2400", "rpm", "POH"),
        ("manifold_pressure", "normal", "15", "23", "inHg", "POH"),
        ("carburettor_temp", "precaution", "-15", "5", "C", "OM"),
        ("cht", "limit", None, "460", "F", "RECALL"),
        ("oil_temp", "limit", None, "240", "F", "RECALL"),
        *oil("RECALL"),
        ("oil_pressure", "normal", "30", "60", "psi", "RECALL"),
    ],
    "continental-io-520-d": [
        ("rpm", "limit", None, "2850", "rpm", "COPY"),
        ("rpm", "limit", None, "2700", "rpm", "COPY", 300),
        ("cht", "limit", None, "460", "F", "COPY"),
        ("oil_temp", "limit", None, "240", "F", "COPY"),
        *oil("COPY"),
        ("oil_pressure", "normal", "30", "60", "psi", "COPY"),
    ],
    "continental-io-520-b": [
        ("rpm", "limit", None, "2700", "rpm", "COPY"),
        ("manifold_pressure", "limit", None, "29.6", "inHg", "COPY"),
        ("cht", "limit", None, "460", "F", "COPY"),
        ("oil_temp", "limit", None, "240", "F", "COPY"),
        *oil("COPY", least="30", loss="30"),
        ("oil_pressure", "limit", "10", None, "psi", "SISTER"),
        ("oil_pressure", "limit", "10", None, "psi", "SISTER", 0, 5),
        ("oil_pressure", "normal", "30", "60", "psi", "COPY"),
    ],
    "continental-io-550-n": [
        ("rpm", "limit", None, "2700", "rpm", "SLIDES"),
        ("rpm", "limit", None, "2710", "rpm", "IM", 0, 10),
        ("rpm", "limit", None, "2730", "rpm", "IM", 0, 5),
        ("cht", "limit", None, "460", "F", "RECALL"),
        ("cht", "precaution", "420", "460", "F", "RECALL"),
        ("cht", "normal", "240", "420", "F", "RECALL"),
        ("oil_temp", "limit", None, "240", "F", "IM"),
        ("oil_temp", "normal", "100", "240", "F", "RECALL"),
        ("oil_pressure", "limit", None, "100", "psi", "RECALL"),
        ("oil_pressure", "limit", "10", None, "psi", "SLIDES"),
        ("oil_pressure", "limit", "10", None, "psi", "SLIDES", 0, 5),
        ("oil_pressure", "limit", "10", None, "psi", "AC", 0, 30),
        ("oil_pressure", "normal", "30", "60", "psi", "SERVICE"),
        ("oil_pressure", "precaution", "10", "30", "psi", "SERVICE"),
        ("oil_pressure", "precaution", "60", "100", "psi", "RECALL"),
    ],
    "continental-tsio-520-ub": [
        ("rpm", "limit", None, "2700", "rpm", "COPY"),
        ("manifold_pressure", "limit", None, "36.0", "inHg", "COPY"),
        ("rpm", "limit", None, "1200", "rpm", "COPY", 0, 10),
        ("fuel_flow", "limit", None, "34.2", "gal/h", "COPY"),
        ("tit", "limit", None, "1650", "F", "COPY"),
        ("cht", "limit", None, "238", "C", "COPY"),
        ("oil_temp", "limit", None, "116", "C", "COPY"),
        ("oil_temp", "precaution", None, "24", "C", "COPY"),
        ("oil_temp", "precaution", "24", "38", "C", "COPY"),
        ("oil_pressure", "limit", None, "100", "psi", "COPY"),
        ("oil_pressure", "limit", "10", None, "psi", "COPY"),
        ("oil_pressure", "limit", "10", None, "psi", "COPY", 0, 30),
        ("oil_pressure", "limit", "10", None, "psi", "COPY", 0, 5),
        ("oil_pressure", "normal", "30", "60", "psi", "COPY"),
    ],
    "continental-tsio-520-r": [
        ("rpm", "limit", None, "2700", "rpm", "POH"),
        ("rpm", "limit", None, "2600", "rpm", "POH", 300),
        ("manifold_pressure", "limit", None, "36.5", "inHg", "POH"),
        ("manifold_pressure", "limit", None, "35", "inHg", "POH", 300),
        ("manifold_pressure", "limit", None, "39.5", "inHg", "POH"),  # 3 over the line
        ("fuel_flow", "limit", None, "186", "lb/h", "POH"),
        ("fuel_flow", "normal", "36", "120", "lb/h", "POH"),
        ("fuel_pressure", "limit", None, "19.5", "psi", "POH"),
        ("fuel_pressure", "limit", "3.0", None, "psi", "POH"),
        ("suction", "normal", "4.6", "5.4", "inHg", "POH"),
    ],
    "continental-tsio-360-mb": [
        ("manifold_pressure", "limit", None, "36", "inHg", "ARTICLE"),
        ("manifold_pressure", "limit", None, "38", "inHg", "QUOTE"),
        ("tit", "limit", None, "1650", "F", "QUOTE"),
        ("cht", "limit", None, "460", "F", "QUOTE"),
        ("oil_temp", "limit", None, "240", "F", "QUOTE"),
        *oil("QUOTE"),
        ("oil_pressure", "normal", "30", "60", "psi", "QUOTE"),
    ],
    "technify-tae-125-02-99": [
        ("rpm", "limit", None, "2300", "rpm", "COURSE"),
        *(("rpm", "limit", None, "2300", "rpm", who, 20) for who in ("COURSE", "QUIZ")),
        *(("rpm", "limit", None, "2500", "rpm", who) for who in ("COURSE", "QUIZ")),
        ("rpm", "limit", None, "1400", "rpm", "COURSE", 0, 10),
        ("oil_pressure", "limit", None, "6.0", "bar", "COURSE"),
        *(("oil_pressure", "limit", None, "6.5", "bar", who) for who in ("COURSE", "QUIZ")),
        *(("oil_pressure", "limit", "1.2", None, "bar", who) for who in ("COURSE", "QUIZ")),
        ("oil_pressure", "limit", "1.2", None, "bar", "COURSE", 0, 3),
        ("oil_pressure", "limit", "2.3", None, "bar", "COURSE"),
        ("oil_temp", "limit", "-32", None, "C", "COURSE"),
        ("oil_temp", "precaution", "-32", "50", "C", "COURSE"),
        ("oil_temp", "limit", None, "140", "C", "COURSE"),
        ("coolant_temp", "limit", "-32", None, "C", "COURSE"),
        ("coolant_temp", "precaution", "-32", "60", "C", "COURSE"),
        ("coolant_temp", "limit", None, "105", "C", "COURSE"),
        ("gearbox_temp", "limit", "-30", None, "C", "COURSE"),
        ("gearbox_temp", "limit", None, "120", "C", "COURSE"),
        ("intake_temp", "limit", None, "75", "C", "COURSE"),
        *(("fuel_temp", "limit", None, "75", "C", who) for who in ("COURSE", "QUIZ")),
        ("tank_temp", "limit", None, "54", "C", "COURSE"),
        *(("tank_temp", "limit", least, None, "C", "COURSE") for least in ("-35", "-30", "-5", "0")),
    ],
    "vedeneyev-m-14p": [
        ("rpm", "limit", None, "99", "%", "RECALL"),
        *(("cht", "limit", None, most, "C", "RECALL") for most in ("220", "240")),
        ("cht", "limit", None, "190", "C", "FM"),  # in the run-up
        ("cht", "normal", "140", "190", "C", "EM"),  # ready for takeoff
        ("cht", "precaution", None, "140", "C", "EM"),  # not ready
        ("cht", "precaution", "190", None, "C", "EM"),
        ("cht", "limit", "120", None, "C", "EM"),  # in a glide
        *(("oil_temp", "limit", None, most, "C", "RECALL") for most in ("75", "85")),
        ("oil_temp", "precaution", "65", "75", "C", "EM"),  # not ready for takeoff
        ("oil_temp", "normal", "40", "75", "C", "FM"),  # in the run-up
        ("oil_temp", "normal", "40", "65", "C", "EM"),  # ready for takeoff
        *(("oil_temp", "precaution", None, "40", "C", who) for who in ("EM", "FM")),
        # In bar, as 1 kgf/cm2 is 0.980665 bar.
        ("oil_pressure", "limit", "0.980665", None, "bar", "EM"),  # gliding at the idle rating
        *(("oil_pressure", "limit", "3.92266", None, "bar", who, 0, 5) for who in ("FM", "EM")),
        ("oil_pressure", "limit", "1.765197", None, "bar", "EM"),
        ("oil_pressure", "limit", None, "5.88399", "bar", "FM"),
        ("oil_pressure", "normal", "3.92266", "5.88399", "bar", "FM"),
        ("carburettor_temp", "normal", "10", "45", "C", "EM"),
    ],
    "pratt-whitney-canada-pt6a-34": [
        ("torque", "limit", None, "1790", "lbft", "POH", 20),
        ("torque", "limit", None, "1875", "lbft", "POH"),  # in reverse
        ("torque", "limit", None, "1970", "lbft", "POH", 20),
        ("torque", "limit", None, "1840", "lbft", "POH", 300),
        ("torque", "limit", None, "2100", "lbft", "POH"),
        ("itt", "limit", None, "1090", "C", "POH"),
        ("itt", "limit", None, "790", "C", "POH", 2),
        ("itt", "limit", None, "850", "C", "POH"),
        ("itt", "precaution", "685", None, "C", "POH"),
        ("ng", "limit", None, "101.6", "%", "POH", 2),
        ("ng", "limit", None, "102.6", "%", "POH"),
        ("ng", "precaution", None, "52.5", "%", "POH"),
        *(("prop_rpm", "limit", None, most, "rpm", "POH") for most in ("2200", "2420", "2100")),
        ("oil_pressure", "limit", None, "105", "psi", "POH"),
        ("oil_pressure", "limit", "85", None, "psi", "POH"),
        ("oil_pressure", "limit", "40", None, "psi", "POH"),
        ("oil_pressure", "precaution", "40", "85", "psi", "POH"),
        ("oil_pressure", "normal", "85", "105", "psi", "POH"),
        ("oil_temp", "limit", None, "99", "C", "POH"),
        ("oil_temp", "limit", "-40", None, "C", "POH"),
        ("oil_temp", "limit", "0", None, "C", "POH"),
        ("oil_temp", "precaution", "-40", "10", "C", "POH"),
        ("oil_temp", "precaution", None, "55", "C", "POH"),
    ],
    "pratt-whitney-canada-pt6a-21": [
        ("torque", "limit", None, "1315", "lbft", "SHEET", 2),
        ("torque", "limit", None, "1500", "lbft", "SHEET"),
        ("itt", "limit", None, "1090", "C", "SHEET"),
        ("itt", "limit", None, "695", "C", "SHEET", 2),
        ("itt", "limit", None, "825", "C", "SHEET"),
        ("itt", "limit", None, "695", "C", "SHEET"),  # in reverse, where no transient is given
        ("ng", "limit", None, "88", "%", "SHEET"),  # in reverse
        ("prop_rpm", "precaution", None, "1100", "rpm", "SHEET"),  # at low idle
        ("oil_temp", "precaution", None, "55", "C", "SHEET"),  # for the fuel heater
        *(("ng", "limit", None, most, "%", "SHEET") for most in ("101.5", "102.6")),
        ("ng", "precaution", None, "58", "%", "SHEET"),
        *(("prop_rpm", "limit", None, most, "rpm", "SHEET") for most in ("2200", "2420", "2100")),
        *(("oil_pressure", "limit", None, most, "psi", "SHEET") for most in ("200", "100")),
        *(("oil_pressure", "limit", least, None, "psi", "SHEET") for least in ("80", "40")),
        ("oil_pressure", "precaution", "40", "80", "psi", "SHEET"),
        ("oil_pressure", "normal", "80", "100", "psi", "SHEET"),
        ("oil_temp", "limit", None, "99", "C", "SHEET"),
        *(("oil_temp", "limit", least, None, "C", "SHEET") for least in ("-40", "0")),
        ("oil_temp", "precaution", "-40", "10", "C", "SHEET"),
    ],
    "pratt-whitney-canada-pt6a-67": [
        ("torque", "limit", None, "100", "%", "TM", 20),
        ("torque", "limit", None, "138", "%", "TM"),
        *(("torque", "limit", None, most, "%", "TM") for most in ("54", "75")),
        ("tgt", "limit", None, "1000", "C", "TM"),
        ("tgt", "limit", None, "830", "C", "TM", 300),
        ("tgt", "limit", None, "840", "C", "TM", 20),
        ("tgt", "limit", None, "870", "C", "TM"),
        ("tgt", "limit", None, "760", "C", "TM"),
        ("tgt", "precaution", "750", None, "C", "TM"),
        *(("n1", "limit", None, most, "%", "TM") for most in ("104", "88")),
        ("n1", "precaution", None, "62", "%", "TM"),
        ("prop_rpm", "limit", None, "1700", "rpm", "TM", 20),
        *(("prop_rpm", "limit", None, most, "rpm", "TM") for most in ("1870", "1650")),
        ("prop_rpm", "precaution", None, "1000", "rpm", "TM"),
        ("oil_pressure", "limit", None, "135", "psi", "TM", 20),
        ("oil_pressure", "limit", None, "200", "psi", "TM"),
        ("oil_pressure", "limit", "60", None, "psi", "TM"),
        ("oil_pressure", "precaution", "60", "90", "psi", "TM"),
        ("oil_pressure", "normal", "90", "135", "psi", "TM"),
        ("oil_temp", "limit", None, "105", "C", "TM", 600),
        ("oil_temp", "limit", None, "110", "C", "TM"),
        *(("oil_temp", "limit", least, None, "C", "TM") for least in ("-40", "10")),
        ("oil_temp", "normal", "10", "105", "C", "TM"),
    ],
    "pratt-whitney-canada-pt6a-68": [
        ("torque", "limit", None, "100", "%", "CARDS", 20),
        ("torque", "limit", None, "131", "%", "CARDS"),
        ("torque", "limit", None, "100", "%", "DECK", 5),
        ("torque", "limit", None, "107", "%", "DECK"),
        ("torque", "limit", None, "20", "%", "CARDS"),
        ("itt", "limit", None, "1000", "C", "CARDS"),
        ("itt", "limit", None, "870", "C", "DECK", 5),  # at a start
        *(("n1", "precaution", None, most, "%", "CARDS") for most in ("60", "67")),
        ("itt", "limit", None, "820", "C", "CARDS", 20),
        ("itt", "limit", None, "870", "C", "CARDS"),
        ("itt", "precaution", "750", None, "C", "CARDS"),
        ("n1", "limit", None, "104", "%", "CARDS"),
        ("np", "limit", None, "100", "%", "CARDS", 20),
        ("np", "limit", None, "102", "%", "CARDS"),
        ("np", "limit", None, "110", "%", "DECK"),
        ("np", "avoid", "62", "80", "%", "CARDS", 5),
        ("oil_pressure", "limit", None, "200", "psi", "CARDS"),  # at a start
        ("oil_pressure", "limit", None, "130", "psi", "CARDS"),  # transient
        ("oil_pressure", "precaution", "120", "130", "psi", "CARDS"),
        ("oil_pressure", "limit", "90", None, "psi", "CARDS"),  # at idle
        ("oil_pressure", "precaution", "40", "90", "psi", "CARDS"),  # at idle; the one above idle stands below
        ("oil_pressure", "limit", "40", None, "psi", "CARDS", 5),
        ("oil_pressure", "precaution", "15", "40", "psi", "CARDS"),
        *(("oil_pressure", "limit", least, None, "psi", "CARDS") for least in ("15", "40")),
        ("oil_pressure", "precaution", "40", "90", "psi", "CARDS"),
        ("oil_pressure", "limit", "90", None, "psi", "CARDS", 10),  # above idle
        ("oil_pressure", "normal", "90", "120", "psi", "CARDS"),
        ("oil_temp", "limit", None, "105", "C", "CARDS"),  # in flight
        ("oil_temp", "limit", "10", None, "C", "CARDS"),
        ("oil_temp", "limit", None, "105", "C", "CARDS", 600),
        ("oil_temp", "limit", None, "110", "C", "CARDS"),
        ("oil_temp", "normal", "10", "105", "C", "CARDS"),
    ],
    "pratt-whitney-canada-pt6a-114a": [
        ("torque", "limit", None, "1865", "lbft", "COPY"),
        ("itt", "limit", None, "1090", "C", "COPY"),
        *(("itt", "limit", None, "805", "C", who) for who in ("COPY", "TYPE")),
        *(("itt", "precaution", "740", "805", "C", who) for who in ("COPY", "TYPE")),
        ("itt", "normal", None, "740", "C", "COPY"),
        ("ng", "limit", None, "101.6", "%", "COPY"),
        ("ng", "precaution", None, "52", "%", "COPY"),
        ("prop_rpm", "limit", None, "1900", "rpm", "COPY"),
        ("prop_rpm", "limit", None, "1825", "rpm", "COPY"),  # in reverse
    ],
}

# How far each source can be trusted, and the beginning of its name. From memory: RECALL, in every profile.
STATUS: dict[str, dict[str, tuple[str, str]]] = {
    "continental-o-200-a": {"POH": ("document", "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 2")},
    "continental-o-470-u": {
        "POH": ("document", "Cessna 182Q Pilot's Operating Handbook, 1980 model, Section 7"),
        "OM": ("document", "Cessna 182 Owner's Manual, 1973 model"),
    },
    "continental-io-520-d": {"COPY": ("second hand", "a checklist file that cites the owner's manual of the")},
    "continental-io-520-b": {
        "COPY": ("second hand", "a checklist file that cites the Pilot's Operating Handbook of the Beechcraft V35B"),
        "SISTER": ("second hand", "a checklist file that cites the owner's manual of the Cessna A185F, 1975"),
    },
    "continental-io-550-n": {
        "IM": ("document", "Cirrus SR22 Information Manual, page 3-18, March 2010"),
        "SLIDES": ("second hand", "Cirrus SR22 engine training slides, 23 December 2003"),
        "SERVICE": ("document", "Cirrus SR22 maintenance manual, extract"),
    },
    "continental-tsio-520-ub": {"COPY": ("second hand", "a checklist file that cites the Pilot's Operating Handbook")},
    "continental-tsio-520-r": {"POH": ("document", "Cessna T210M Pilot's Operating Handbook, 1978 model")},
    "continental-tsio-360-mb": {
        "ARTICLE": ("second hand", "a trade article"),
        "QUOTE": ("second hand", "a data file that says it quotes the type certificate data sheet E9CE"),
    },
    "technify-tae-125-02-99": {
        "COURSE": ("second hand", "a flying school's course text"),
        "QUIZ": ("second hand", "a file of questions on the Diamond DA40D"),
    },
    "vedeneyev-m-14p": {
        "EM": ("second hand", "Vedeneyev M-14P engine manual, a translation for reference only"),
        "FM": ("second hand", "Yak-18T Flight Operations Manual, page 34, an English copy"),
    },
    "pratt-whitney-canada-pt6a-34": {"POH": ("document", "Kodiak 100 Pilot's Operating Handbook, AM901.201, page 2-7")},
    "pratt-whitney-canada-pt6a-21": {"SHEET": ("second hand", "Beechcraft C90B engine operating limitations sheet")},
    "pratt-whitney-canada-pt6a-67": {"TM": ("document", "US Army TM 1-1510-223-10, Table 5-1, pages 5-7 and 5-8")},
    "pratt-whitney-canada-pt6a-68": {
        "CARDS": ("second hand", "flash cards on the limits of the T-6A"),
        "DECK": ("second hand", "another deck of flash cards on the limits of the T-6A"),
    },
    "pratt-whitney-canada-pt6a-114a": {
        "COPY": ("second hand", "a checklist file that cites the Pilot's Operating"),
        "TYPE": ("second hand", "a copy of the type certificate data sheet"),
    },
}
