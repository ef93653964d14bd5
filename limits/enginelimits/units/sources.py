"""Where each formula, constant and reference value comes from: one entry an id, alphabetical."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

SourceKind = Literal["published", "standard", "common practice", "memory", "own computation"]


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, or the plain statement that there is none.  ``year`` 0 means undated."""

    title: str
    authors: str
    year: int
    kind: SourceKind


SOURCES: Mapping[str, Source] = MappingProxyType(
    {
        "ams-6417": Source("Steel bars and forgings, vacuum melted, 1.6 % silicon", "SAE", 2011, "standard"),
        "anderson-2020": Source(
            "Novel method to estimate the octane ratings of ethanol-gasoline mixtures using base fuel "
            "properties, Energy & Fuels, doi 10.1021/acs.energyfuels.9b04204",
            "Anderson, Wallington",
            2020,
            "published",
        ),
        "ashrae-fundamentals": Source(
            "ASHRAE Handbook: Fundamentals, chapter on psychrometrics",
            "ASHRAE",
            2009,
            "published",
        ),
        "asme-b1-1": Source("Unified inch screw threads, UN and UNR thread form", "ASME", 2003, "standard"),
        "asme-section-ii-d": Source(
            "Boiler and Pressure Vessel Code, section II part D: yield strength by temperature",
            "ASME",
            2010,
            "standard",
        ),
        "astm-d2270": Source(
            "Practice for calculating viscosity index from kinematic viscosity at 40 and 100 degC",
            "ASTM",
            2010,
            "standard",
        ),
        "astm-d2699": Source(
            "Test method for research octane number of spark-ignition engine fuel", "ASTM", 2019, "standard"
        ),
        "astm-d341": Source(
            "Practice for viscosity-temperature charts for liquid petroleum products", "ASTM", 2009, "standard"
        ),
        "astm-d4814": Source(
            "Specification for automotive spark-ignition engine fuel", "ASTM", 2020, "standard"
        ),
        "astm-d5798": Source(
            "Specification for ethanol fuel blends for flexible-fuel automotive spark-ignition engines",
            "ASTM",
            2021,
            "standard",
        ),
        "astm-d8291": Source(
            "Test method for mitigation of low-speed pre-ignition by engine oils, sequence IX",
            "ASTM",
            2021,
            "standard",
        ),
        "bhandari-2010": Source("Design of Machine Elements, 3rd edition", "Bhandari", 2010, "published"),
        "bipm-si-2019": Source(
            "The International System of Units (SI), 9th edition", "BIPM", 2019, "standard"
        ),
        "buck-1981": Source(
            "New equations for computing vapor pressure and enhancement factor, J. Appl. "
            "Meteorol. 20, 1527-1532",
            "Buck",
            1981,
            "published",
        ),
        "chase-1998": Source(
            "NIST-JANAF thermochemical tables, 4th edition",
            "Chase",
            1998,
            "published",
        ),
        "chen-flynn-1965": Source(
            "Development of a single cylinder compression ignition research engine, SAE 650733",
            "Chen, Flynn",
            1965,
            "published",
        ),
        "chupka-2015": Source(
            "Heat of vaporization measurements for ethanol blends up to 50 volume percent in several "
            "hydrocarbon blendstocks and implications for knock in SI engines, SAE 2015-01-0763",
            "Chupka et al.",
            2015,
            "published",
        ),
        "codata-2018": Source(
            "CODATA recommended values of the fundamental physical constants",
            "Tiesinga et al.",
            2021,
            "published",
        ),
        "cohen-rogers-saravanamuttoo-1996": Source(
            "Gas Turbine Theory, 4th edition", "Cohen, Rogers, Saravanamuttoo", 1996, "published"
        ),
        "common-practice": Source("common practice, no source", "", 0, "common practice"),
        "din-70020": Source(
            "Motor vehicles, engine power, terms and test conditions",
            "DIN",
            1976,
            "standard",
        ),
        "doe-afdc": Source(
            "Alternative Fuels Data Center: properties of fuels", "US Department of Energy", 2014, "published"
        ),
        "doe-e85-handbook": Source(
            "Handbook for handling, storing, and dispensing E85, DOE/GO-102016-4854",
            "US Department of Energy",
            2016,
            "published",
        ),
        "douaud-eyzat-1978": Source(
            "Four-octane-number method for predicting the anti-knock behavior of fuels and engines, SAE 780080",
            "Douaud, Eyzat",
            1978,
            "published",
        ),
        "dubois-ocvirk-1953": Source(
            "Analytical derivation and experimental evaluation of short-bearing approximation for full journal "
            "bearings, "
            "NACA report 1157",
            "DuBois, Ocvirk",
            1953,
            "published",
        ),
        "en-10269": Source(
            "Steels and nickel alloys for fasteners with specified elevated and/or low temperature properties",
            "CEN",
            2013,
            "standard",
        ),
        "en-228": Source("Automotive fuels, unleaded petrol", "CEN", 2012, "standard"),
        "eu-136-2014": Source("Regulation (EU) No 136/2014", "European Commission", 2014, "standard"),
        "gillespie-1992": Source("Fundamentals of Vehicle Dynamics", "Gillespie", 1992, "published"),
        "gulder-1984": Source(
            "Correlations of laminar combustion data for alternative S.I. engine fuels, SAE 841000",
            "Gulder",
            1984,
            "published",
        ),
        "heywood-1988": Source("Internal Combustion Engine Fundamentals", "Heywood", 1988, "published"),
        "hires-1978": Source(
            "The prediction of ignition delay and combustion intervals for a homogeneous charge, spark ignition "
            "engine, SAE 780232",
            "Hires, Tabaczynski, Novak",
            1978,
            "published",
        ),
        "hohenberg-1979": Source(
            "Advanced approaches for heat transfer calculations, SAE 790825",
            "Hohenberg",
            1979,
            "published",
        ),
        "iapws-if97": Source(
            "Revised release on the IAPWS industrial formulation 1997 for water and steam",
            "IAPWS",
            2007,
            "standard",
        ),
        "iso-1585": Source("Road vehicles, engine test code, net power", "ISO", 1992, "standard"),
        "iso-2533": Source("Standard atmosphere", "ISO", 1975, "standard"),
        "iso-898-1": Source(
            "Mechanical properties of fasteners made of carbon steel and alloy steel, part 1",
            "ISO",
            2013,
            "standard",
        ),
        "jindal-2010": Source("Machine Design", "Jindal", 2010, "published"),
        "kalghatgi-2001": Source(
            "Fuel anti-knock quality, part I: engine studies, SAE 2001-01-3584", "Kalghatgi", 2001, "published"
        ),
        "kays-london-1984": Source("Compact Heat Exchangers, 3rd edition", "Kays, London", 1984, "published"),
        "khurmi-gupta-machine-design": Source(
            "A Textbook of Machine Design", "Khurmi, Gupta", 2005, "published"
        ),
        "khurmi-gupta-theory-of-machines": Source("Theory of Machines", "Khurmi, Gupta", 2005, "published"),
        "kolchin-demidov-1984": Source("Design of Automotive Engines", "Kolchin, Demidov", 1984, "published"),
        "kuzhagaliyeva-2022": Source(
            "Artificial intelligence-driven design of fuel mixtures, Communications Chemistry 5:111",
            "Kuzhagaliyeva et al.",
            2022,
            "published",
        ),
        "li-2024": Source(
            "Fatigue of C70 crackable connecting-rod steel, Fatigue Fract. Eng. Mater. Struct., "
            "doi 10.1111/ffe.14370",
            "Li et al.",
            2024,
            "published",
        ),
        "livengood-wu-1955": Source(
            "Correlation of autoignition phenomena in internal combustion engines and rapid compression machines, "
            "5th Symposium (International) on Combustion, 347-356",
            "Livengood, Wu",
            1955,
            "published",
        ),
        "memory": Source("from memory, no source at hand", "", 0, "memory"),
        "metghalchi-keck-1982": Source(
            "Burning velocities of mixtures of air with methanol, isooctane, and indolene at high pressure and "
            "temperature, Combustion and Flame 48, 191-210",
            "Metghalchi, Keck",
            1982,
            "published",
        ),
        "nist-sp-811": Source(
            "Guide for the Use of the International System of Units, appendix B",
            "Thompson, Taylor",
            2008,
            "published",
        ),
        "nrel-2016": Source(
            "New analysis methods estimate a critical property of ethanol fuel blends, OSTI 1242469",
            "National Renewable Energy Laboratory",
            2016,
            "published",
        ),
        "own-computation": Source("computed by this project", "", 0, "own computation"),
        "paschen-1889": Source(
            "On the potential difference required for spark discharge in air, hydrogen and "
            "carbon dioxide at different pressures, Ann. Phys. 273, 69-96",
            "Paschen",
            1889,
            "published",
        ),
        "raimondi-boyd-1958": Source(
            "A solution for the finite journal bearing and its application to analysis and design, ASLE Transactions 1",
            "Raimondi, Boyd",
            1958,
            "published",
        ),
        "rhodes-keck-1985": Source(
            "Laminar burning speed measurements of indolene-air-diluent mixtures at high pressures and temperatures, "
            "SAE 850047",
            "Rhodes, Keck",
            1985,
            "published",
        ),
        "sae-2020-01-1424": Source(
            "SAE paper 2020-01-1424, on oil detergents and low-speed pre-ignition", "", 2020, "published"
        ),
        "sae-4140-table": Source(
            "SAE 4140 bar, oil quenched, strength by tempering temperature: a table of materials",
            "",
            0,
            "common practice",
        ),
        "sae-4340-table": Source(
            "SAE 4340 bar, oil quenched, strength by tempering temperature: a steel supplier's table",
            "",
            0,
            "common practice",
        ),
        "sae-j1349": Source(
            "Engine power test code, spark ignition and compression ignition, net power rating",
            "SAE",
            1990,
            "standard",
        ),
        "sae-j300": Source("Engine oil viscosity classification", "SAE", 2021, "standard"),
        "sae-j429": Source(
            "Mechanical and material requirements for externally threaded fasteners", "SAE", 2014, "standard"
        ),
        "sae-j607": Source("Small spark ignition engine test code", "SAE", 1974, "standard"),
        "shenoy-fatemi-2005": Source(
            "Connecting rod optimization for weight and cost reduction, SAE paper 2005-01-0987",
            "Shenoy, Fatemi",
            2005,
            "published",
        ),
        "shigley-2015": Source(
            "Shigley's Mechanical Engineering Design, 10th edition", "Budynas, Nisbett", 2015, "published"
        ),
        "shigley-2020": Source(
            "Shigley's Mechanical Engineering Design, 11th edition", "Budynas, Nisbett", 2020, "published"
        ),
        "smith-watson-topper-1970": Source(
            "A stress-strain function for the fatigue of metals, Journal of Materials 5, from memory",
            "Smith, Watson, Topper",
            1970,
            "published",
        ),
        "stodola-1927": Source("Steam and Gas Turbines", "Stodola", 1927, "published"),
        "vdi-2230": Source(
            "Systematic calculation of highly stressed bolted joints, part 1", "VDI", 2015, "standard"
        ),
        "wang-2017": Source(
            "Knocking combustion in spark-ignition engines, Prog. Energy Combust. Sci. 61, 78-112",
            "Wang, Liu, Reitz",
            2017,
            "published",
        ),
        "watson-janota-1982": Source(
            "Turbocharging the Internal Combustion Engine", "Watson, Janota", 1982, "published"
        ),
        "white-2011": Source("Fluid Mechanics, 7th edition, section on rigid-body motion", "White", 2011, "published"),
        "wileman-1991": Source(
            "Computation of member stiffness in bolted connections, Journal of Mechanical Design 113",
            "Wileman, Choudhury, Green",
            1991,
            "published",
        ),
        "woschni-1967": Source(
            "A universally applicable equation for the instantaneous heat transfer coefficient in the "
            "internal combustion engine, SAE 670931",
            "Woschni",
            1967,
            "published",
        ),
    }
)
