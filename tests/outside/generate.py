"""Writes reference.toml: figures worked out by other people's packages, which the tests compare with.

    python -m venv ENV                                      # ENV: a directory outside the repository
    ENV/bin/pip install -r tests/outside/requirements.txt
    ENV/bin/python tests/outside/generate.py

With --check nothing is written; the exit code is 1 when the committed file differs.

No figure in the output comes from this project. Molar masses are molmass's, solution densities and heat
capacities are the Laliberte 2009 model as thermo computes it from the table that chemicals carries, and unit
sizes are Pint's. Ratios are quotients of those molar masses.
"""

import sys
from fractions import Fraction
from importlib.metadata import version
from pathlib import Path

import pint
from molmass import Formula
from thermo import electrochem

HERE = Path(__file__).parent
DIRECT = ["molmass", "chemicals", "thermo", "Pint"]

COMPOUNDS = [
    ("sodium hydroxide", "NaOH"),
    ("potassium hydroxide", "KOH"),
    ("water", "H2O"),
    ("glycerol", "C3H8O3"),
    ("carbon dioxide", "CO2"),
    ("citric acid, anhydrous", "C6H8O7"),
    ("citric acid monohydrate", "C6H10O8"),
    ("lactic acid", "C3H6O3"),
    ("acetic acid", "C2H4O2"),
]

# Name, carbon atoms, double bonds, oxygen atoms. Ricinoleic acid carries one hydroxyl group.
FATTY_ACIDS = [(f"C{carbon}:0", carbon, 0, 2) for carbon in (4, 6, 8, 10, 12, 14, 15, 16, 17, 18, 20, 22, 24, 26)] + [
    ("C14:1", 14, 1, 2),
    ("C16:1", 16, 1, 2),
    ("C17:1", 17, 1, 2),
    ("C18:1", 18, 1, 2),
    ("C18:2", 18, 2, 2),
    ("C18:3", 18, 3, 2),
    ("C20:1", 20, 1, 2),
    ("C20:2", 20, 2, 2),
    ("C22:1", 22, 1, 2),
    ("C22:2", 22, 2, 2),
    ("C24:1", 24, 1, 2),
    ("C18:1-OH", 18, 1, 3),
]

# Molecules of alkali that one molecule takes up.
ACIDS = [
    ("citric acid, anhydrous", 3),
    ("citric acid monohydrate", 3),
    ("lactic acid", 1),
    ("acetic acid", 1),
    ("carbon dioxide", 2),
]

SOLUTES = [("NaOH", "1310-73-2"), ("KOH", "1310-58-3")]
PERCENTS = range(0, 51, 5)
DENSITY_CELSIUS = [15, 20, 25, 40, 60]
HEAT_CAPACITY_CELSIUS = 25

UNITS = [
    ("ounce", "ounce", "gram"),
    ("pound", "pound", "gram"),
    ("inch", "inch", "millimeter"),
    ("cubic inch", "inch ** 3", "milliliter"),
    ("US teaspoon", "teaspoon", "milliliter"),
    ("US tablespoon", "tablespoon", "milliliter"),
    ("US fluid ounce", "fluid_ounce", "milliliter"),
    ("US cup", "cup", "milliliter"),
]

MODEL = """\
# ---------------------------------------------------------------------------
# Density and heat capacity of lye: M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725-1760, doi 10.1021/je8008123.
#
# w is the mass fraction of the solute (0.30 for 30 %), t the temperature in degrees Celsius, T = t + 273.15.
#
# Density, kg/m3 (thermo: Laliberte_density):
#   1/rho = (1 - w)/rho_w + w/rho_s
#   rho_s = (c0 w + c1) exp(1e-6 (t + c4)^2) / (w + c2 + c3 t)
#   rho_w = (((((-2.8054253e-10 t + 1.0556302e-7) t - 4.6170461e-5) t - 0.0079870401) t + 16.945176) t + 999.83952)
#           / (1 + 0.01687985 t)
# For NaOH the denominator of rho_s passes through zero near w = 0.1. Only w/rho_s is wanted, so write it as
# w (w + c2 + c3 t) / ((c0 w + c1) exp(1e-6 (t + c4)^2)), which is smooth.
#
# Heat capacity, J/(kg K) (thermo: Laliberte_heat_capacity):
#   cp   = (1 - w) cp_w + w cp_s
#   cp_s = 1000 (a1 exp(a2 t + a3 exp(0.01 t) + a4 w) + a5 w^a6)
#   cp_w: a Chebyshev series in x = (T - 335.65) / 77.5, sum of water-heat-capacity.chebyshev[k] T_k(x),
#         for 258.15 K <= T <= 365.18 K. Above that thermo uses IAPWS-95 at saturation. (The paper, thermo says,
#         interpolates IAPWS-97 points at 0.1 MPa with a second-order formula; the series is thermo's fit of that.)
#
# The functions check no range. The ranges below are those of the fits, as the table in chemicals states them.
# Concentrated NaOH at low temperature is where the density fit is weak: it rises with temperature up to 12 C at
# 45 % and up to 21 C at 50 %, where handbook tables fall throughout.
# ---------------------------------------------------------------------------"""


def number(value):
    """Ten significant digits: more than any figure here is good for, few enough to be the same everywhere."""
    text = f"{value:.10g}"
    return text if "." in text or "e" in text else text + ".0"


def exact(value):
    """A fraction as a decimal with every digit. Fails on one that has no finite decimal."""
    digits = 0
    while (value * 10**digits).denominator != 1:
        digits += 1
        assert digits < 40, value
    whole, rest = divmod((value * 10**digits).numerator, 10**digits)
    return f"{whole}.{rest:0{max(digits, 1)}}"


def fatty_acid_formula(carbon, double_bonds, oxygen):
    return f"C{carbon}H{2 * carbon - 2 * double_bonds}O{oxygen}"


def triglyceride_formula(carbon, double_bonds, oxygen):
    """Glycerol C3H8O3 and three molecules of acid, less three of water."""
    hydrogen = 8 + 3 * (2 * carbon - 2 * double_bonds) - 6
    return f"C{3 + 3 * carbon}H{hydrogen}O{3 + 3 * oxygen - 3}"


def pins():
    """Name and version of every package in requirements.txt, each checked against what is installed."""
    pinned = {}
    for line in (HERE / "requirements.txt").read_text().splitlines():
        if line and not line.startswith("#"):
            name, wanted = line.split("==")
            found = version(name)
            assert found == wanted, f"{name} is {found}, requirements.txt pins {wanted}"
            pinned[name] = wanted
    return pinned


def header(pinned):
    yield "# Figures worked out by other people's packages. Made by generate.py; do not edit."
    yield "#"
    yield "# To make it again, from the root of the repository, with Python 3.11 or later:"
    yield "#   python -m venv ENV                                      # ENV: a directory outside the repository"
    yield "#   ENV/bin/pip install -r tests/outside/requirements.txt"
    yield "#   ENV/bin/python tests/outside/generate.py"
    yield "#"
    yield "# Made with " + ", ".join(f"{name} {pinned[name]}" for name in DIRECT) + "."
    yield "# Confidence (words in README.md): read; quotients of molar masses (sv, ratio, acid): computed."


def made_with(pinned):
    yield "[made-with]"
    for name in DIRECT:
        yield f'{name.lower()} = "{pinned[name]}"'


def molar_masses(mass):
    yield "# Average molar masses from standard atomic weights, by molmass."
    yield "molar-mass = ["
    for name, formula in COMPOUNDS:
        yield f'  {{ name = "{name}", formula = "{formula}", g-per-mol = {number(mass[name])} }},'
    yield "]"
    yield ""
    yield "# Fatty acids, and the triglyceride with that acid three times, each from its own formula."
    yield "# sv-mg-koh-per-g is 3 000 x M(KOH) / M(triglyceride)."
    yield "fatty-acid = ["
    for name, carbon, double_bonds, oxygen in FATTY_ACIDS:
        acid = fatty_acid_formula(carbon, double_bonds, oxygen)
        fat = triglyceride_formula(carbon, double_bonds, oxygen)
        fat_mass = Formula(fat).mass
        sv = 3000 * mass["potassium hydroxide"] / fat_mass
        yield (
            f'  {{ name = "{name}", formula = "{acid}", g-per-mol = {number(Formula(acid).mass)}, '
            f'triglyceride = "{fat}", triglyceride-g-per-mol = {number(fat_mass)}, sv-mg-koh-per-g = {number(sv)} }},'
        )
    yield "]"


def ratios(mass):
    naoh, koh = mass["sodium hydroxide"], mass["potassium hydroxide"]
    yield "# Quotients of the molar masses above, g per g. A triglyceride gives one glycerol for three alkali."
    yield "[ratio]"
    yield f"naoh-per-koh = {number(naoh / koh)}"
    yield f"koh-per-naoh = {number(koh / naoh)}"
    yield f"glycerol-per-naoh = {number(mass['glycerol'] / (3 * naoh))}"
    yield f"glycerol-per-koh = {number(mass['glycerol'] / (3 * koh))}"


def acids(mass):
    yield "# What one gram takes up when all of its acidic hydrogens (for CO2: both, as carbonate) are neutralised."
    yield "acid = ["
    for name, alkali in ACIDS:
        naoh = alkali * mass["sodium hydroxide"] / mass[name]
        koh = alkali * mass["potassium hydroxide"] / mass[name]
        yield (
            f'  {{ name = "{name}", alkali-per-molecule = {alkali}, '
            f"naoh-g-per-g = {number(naoh)}, koh-g-per-g = {number(koh)} }},"
        )
    yield "]"


def units():
    registry = pint.UnitRegistry(non_int_type=Fraction)
    yield "# Exact, by Pint with fractions instead of floating point."
    yield "unit = ["
    for name, unit, into in UNITS:
        size = registry.Quantity(Fraction(1), unit).to(into).magnitude
        yield f'  {{ name = "{name}", into = "{into}", size = {exact(size)} }},'
    yield "]"


def load_table():
    electrochem.Laliberte_density(298.15, [0.1], ["1310-73-2"])  # reads the table on first use
    return electrochem.Laliberte_data


def lye_figures(table):
    yield "# Water alone and lye, by the model that [lye-model] describes. percent is g of solute per 100 g of solution."
    yield "# extrapolated: outside the range of the fit."
    yield "water = ["
    for celsius in range(0, 91, 5):
        kelvin = celsius + 273.15
        yield (
            f"  {{ celsius = {celsius}.0, kg-per-m3 = {number(electrochem.Laliberte_density_w(kelvin))}, "
            f"j-per-kg-k = {number(electrochem.Laliberte_heat_capacity_w(kelvin))} }},"
        )
    yield "]"
    yield ""
    yield "lye-density = ["
    for solute, cas in SOLUTES:
        low, high, highest = table.loc[cas, ["Min T", "Max T", "Max w"]]
        for celsius in DENSITY_CELSIUS:
            for percent in PERCENTS:
                density = electrochem.Laliberte_density(celsius + 273.15, [percent / 100], [cas])
                outside = percent / 100 > highest or not low <= celsius <= high
                yield (
                    f'  {{ solute = "{solute}", celsius = {celsius}.0, percent = {percent}.0, '
                    f"kg-per-m3 = {number(density)}, extrapolated = {str(bool(outside)).lower()} }},"
                )
    yield "]"
    yield ""
    yield "lye-heat-capacity = ["
    for solute, cas in SOLUTES:
        celsius = HEAT_CAPACITY_CELSIUS
        low, high, highest = table.loc[cas, ["Min T.2", "Max T.2", "Max w.2"]]
        for percent in PERCENTS:
            capacity = electrochem.Laliberte_heat_capacity(celsius + 273.15, [percent / 100], [cas])
            outside = percent / 100 > highest or not low <= celsius <= high
            yield (
                f'  {{ solute = "{solute}", celsius = {celsius}.0, percent = {percent}.0, '
                f"j-per-kg-k = {number(capacity)}, extrapolated = {str(bool(outside)).lower()} }},"
            )
    yield "]"


def lye_model(table):
    yield MODEL
    for solute, cas in SOLUTES:
        row = table.loc[cas]
        for quantity, names, suffix in (
            ("density", ("c0", "c1", "c2", "c3", "c4"), ""),
            ("heat-capacity", ("a1", "a2", "a3", "a4", "a5", "a6"), ".2"),
        ):
            yield ""
            yield f"[lye-model.{solute.lower()}.{quantity}]"
            for name in names:
                yield f"{name} = {float(row[name])!r}"
            yield f"celsius = {{ low = {float(row['Min T' + suffix])!r}, high = {float(row['Max T' + suffix])!r} }}"
            yield f"highest-mass-fraction = {float(row['Max w' + suffix])!r}"
            yield f"points = {int(row['No of points in corr' + suffix])}"
    yield ""
    yield "[lye-model.water-heat-capacity]"
    yield "chebyshev = ["
    for coefficient in electrochem.Laliberte_heat_capacity_coeffs:
        yield f"  {coefficient!r},"
    yield "]"


def main():
    pinned = pins()
    mass = {name: Formula(formula).mass for name, formula in COMPOUNDS}
    table = load_table()
    # A key that stands in no table must come before the first table, so the arrays lead.
    parts = [
        header(pinned),
        molar_masses(mass),
        acids(mass),
        units(),
        lye_figures(table),
        ratios(mass),
        lye_model(table),
        made_with(pinned),
    ]
    text = "\n\n".join("\n".join(part) for part in parts) + "\n"
    path = HERE / "reference.toml"
    if "--check" in sys.argv[1:]:
        sys.exit(0 if path.read_text() == text else "reference.toml differs from what the packages give")
    path.write_text(text)


if __name__ == "__main__":
    main()
