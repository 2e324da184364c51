"""One messy lab sheet for the whole invented farm, wide, as a laboratory might send it.

The numbers are set by hand so that each soil hangs together: an acid sand with aluminium and
few cations, a sodic clay, a calcareous loam that binds phosphorus. What the sheet makes
hard is meant: a block of notes, paddock and depth inside the sample's name and not always
alike, two growers, limits, and cations, aluminium and conductivity in three kinds of unit.
"""

from dataclasses import dataclass

from vrxapp.units import PERCENT, milligrams_per_cmol

_MICROSIEMENS_PER_DECISIEMENS = 1000
_ALUMINIUM_LIMIT_MG_KG = 2.0
_CHLORIDE_LIMIT_MG_KG = 10
_SULFUR_LIMIT_MG_KG = 3.0
_COLWELL_LIMIT_MG_KG = 5

BLOCK = (
    ("SIEVE & AUGER SOIL TESTING (an invented laboratory)",),
    ("Invented results: no real laboratory, grower, farm, paddock or sample is meant",),
    ("Report", "INV-0417", "", "Sampled", "07/04/2026", "", "Reported", "17/04/2026"),
    ("Note 1: < means below the limit of reporting. Note 2: soil dried at 40 C, under 2 mm.",),
    (),
)
HEADER = (
    *("Lab No", "Grower", "Sample Name", "pH (1:5 CaCl2)", "pH (1:5 water)", "EC (1:5)"),
    *("Organic Carbon (W&B)", "Nitrate N", "Phosphorus (Colwell)", "PBI", "Sulfur (KCl-40)"),
    *("Chloride", "Exch. Calcium", "Exch. Magnesium", "Exch. Potassium", "Exch. Sodium"),
    *("Exch. Aluminium", "ECEC", "Na % of ECEC", "Al % of ECEC", "Clay"),
)
UNITS = (
    *("", "", "", "", "", "uS/cm", "%", "mg/kg", "mg/kg", "", "mg/kg", "mg/kg"),
    *(*("cmol(+)/kg",) * 4, "mg/kg", "cmol(+)/kg", "%", "%", "%"),
)


_GROWERS = {"Pan Block": "Dry Creek West"}
_OTHER_GROWER = "Plain Ridge"

# name on the bag, pH in calcium chloride and in water, conductivity [dS/m], organic carbon [%],
# nitrate N and Colwell P [mg/kg], PBI, sulfur and chloride [mg/kg], calcium, magnesium,
# potassium, sodium and aluminium [cmol(+)/kg], clay [%]
_TABLE = """
Long Bend Creek flat 0-10         |5.6 6.5 0.17 1.6 14 31  95  9.0  62 12.6  9.4 0.85 2.10 0.00 48
Long Bend Creek flat 10-20        |6.4 7.4 0.24 0.8  7 11 110 12.0 115 12.0 11.2 0.60 3.40 0.00 56
LONG BEND - Grey box slope 0-10cm |4.8 5.6 0.07 1.1 18 23 120  6.5  12  3.6  1.1 0.55 0.08 0.22 20
LONG BEND - Grey box slope 10-20cm|4.5 5.3 0.05 0.6  8  8 140  7.1   9  2.7  1.2 0.35 0.10 0.62 25
LB Red rise (0-10)                |5.1 6.0 0.08 1.2 16 14 180  5.8  14  5.4  1.6 0.80 0.07 0.04 30
LB Red rise (10-20)               |5.0 6.0 0.05 0.7  7  4 205  8.4  11  4.9  1.9 0.50 0.10 0.06 37
LB Sandy top (0-10)               |4.6 5.4 0.05 0.7 11 52  22  4.2   8  2.0 0.45 0.28 0.05 0.42  8
LB Sandy top (10-20)              |4.4 5.2 0.03 0.4  5 24  25  3.4   7  1.4 0.35 0.20 0.05 0.68  9
Two Mile Sands/Scrub hill/0-10    |4.4 5.2 0.04 0.6  9 16  28  3.6   8 1.55  0.4 0.18 0.04 0.72  6
Two Mile Sands/Scrub hill/10-20   |4.3 5.1 0.03 0.3  4  7  30  2.6   6  0.9  0.3 0.12 0.04 0.85  7
Two Mile Sands/Long sand/0-10     |4.6 5.4 0.05 0.8 12 21  35  4.1   9 3.05 0.75 0.27 0.05 0.46  8
Two Mile Sands/Long sand/10-20    |4.4 5.2 0.03 0.4  5  9  38  3.1   7 1.75  0.5 0.16 0.05 0.70  9
2 Mile Sands/Bottom flat/0-10     |4.9 5.7 0.06 1.1 17 28  48  5.3  13  3.9  1.0 0.38 0.07 0.15 11
2 Mile Sands/Bottom flat/10-20    |4.6 5.5 0.04 0.5  7 12  52  4.4  11  2.5  0.8 0.25 0.08 0.42 13
0-10 Pan Block North ridge        |7.6 8.3 0.16 0.9 21 24 195  7.7  24 17.5  2.6 1.30 0.25 0.00 22
10-30 Pan Block North ridge       |7.8 8.7 0.20 0.5  9  6 240 10.5  58 18.2  3.6 0.80 0.70 0.00 26
0-10 Pan Block Middle loam        |7.5 8.2 0.15 1.0 24 29 165  8.2  21 16.0  3.0 1.20 0.30 0.00 24
10-30 Pan Block Middle loam       |7.8 8.6 0.21 0.5 11  7 215 11.6  74 16.8  4.4 0.80 0.90 0.00 29
0-10 Pan Block Pan edge           |7.9 8.8 0.48 0.9 26 18 175 28.0 262 12.5  8.4 1.60 2.90 0.00 46
10-30 Pan Block Pan edge          |8.2 9.3 0.82 0.4 12  5 190 61.0 645 11.0 10.4 1.10 5.60 0.00 52
0-10 Pan Block South rise         |7.4 8.1 0.13 0.8 19 33 150  6.9  17 14.8  2.3 1.05 0.18 0.00 19
10-30 Pan Block South rise        |7.7 8.5 0.17 0.4  8  9 185  9.3  40 15.6  3.1 0.70 0.45 0.00 23
"""


@dataclass(frozen=True, slots=True)
class WholeSample:
    """One composite of one layer; the name is written as the sampler wrote it on the bag."""

    grower: str
    name: str
    ph_cacl2: float
    ph_water: float
    ec_ds_m: float
    organic_carbon_percent: float
    nitrate_n_mg_kg: float
    colwell_p_mg_kg: float
    pbi: float
    sulfur_mg_kg: float
    chloride_mg_kg: float
    ca_cmol_kg: float
    mg_cmol_kg: float
    k_cmol_kg: float
    na_cmol_kg: float
    al_cmol_kg: float
    clay_percent: float


def whole_samples() -> tuple[WholeSample, ...]:
    """Every composite of the sheet, in its order."""
    samples = []
    for line in _TABLE.strip().splitlines():
        name, numbers = line.split("|")
        growers = [grower for paddock, grower in _GROWERS.items() if paddock in name]
        grower = growers[0] if growers else _OTHER_GROWER
        samples.append(WholeSample(grower, name.strip(), *map(float, numbers.split())))
    return tuple(samples)


def lab_sheet_rows() -> list[tuple[object, ...]]:
    """Every row of the sheet; numbers are numbers, limits are text, as a workbook has them."""
    samples = [_sample_row(f"S{2601 + row}", sample) for row, sample in enumerate(whole_samples())]
    return [*BLOCK, HEADER, UNITS, *samples]


def _sample_row(number: str, sample: WholeSample) -> tuple[object, ...]:
    cations = (sample.ca_cmol_kg, sample.mg_cmol_kg, sample.k_cmol_kg, sample.na_cmol_kg)
    ecec = sum(cations) + sample.al_cmol_kg
    aluminium_mg_kg = round(sample.al_cmol_kg * milligrams_per_cmol("Al"), 1)
    return (
        *(number, sample.grower, sample.name, sample.ph_cacl2, sample.ph_water),
        round(sample.ec_ds_m * _MICROSIEMENS_PER_DECISIEMENS),
        *(sample.organic_carbon_percent, round(sample.nitrate_n_mg_kg)),
        _or_limit(round(sample.colwell_p_mg_kg), _COLWELL_LIMIT_MG_KG),
        round(sample.pbi),
        _or_limit(sample.sulfur_mg_kg, _SULFUR_LIMIT_MG_KG),
        _or_limit(round(sample.chloride_mg_kg), _CHLORIDE_LIMIT_MG_KG),
        *cations,
        _or_limit(aluminium_mg_kg, _ALUMINIUM_LIMIT_MG_KG),
        round(ecec, 1),
        round(sample.na_cmol_kg / ecec * PERCENT, 1),
        round(sample.al_cmol_kg / ecec * PERCENT, 1),
        round(sample.clay_percent),
    )


def _or_limit(value: float, limit: float) -> float | str:
    """A value, or only that it lies below the limit of reporting."""
    return value if value >= limit else f"<{limit:g}"
