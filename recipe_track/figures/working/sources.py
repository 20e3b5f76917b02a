"""Where formulas of the calculation sheet come from: cited in short beside them, in full at its end."""

from collections.abc import Iterable, Iterator, Mapping

# Author, title, edition, year. None of them was at hand: all are cited from memory.
DOCUMENTS: Mapping[str, str] = {
    "Puck 1967": (
        "A. Puck, Zur Beanspruchung und Verformung von GFK-Mehrschichtenverbund-Bauelementen, part 1, "
        "Grundlagen der Spannungs- und Verformungsanalyse, Kunststoffe 57 (1967), pp. 284–293"
    ),
    "Tsai and Pagano 1968": (
        "S. W. Tsai and N. J. Pagano, Invariant Properties of Composite Materials, in: Composite Materials "
        "Workshop, Technomic, Westport 1968, pp. 233–253"
    ),
    "Jones 1999": (
        "R. M. Jones, Mechanics of Composite Materials, 2nd ed., Taylor & Francis, Philadelphia 1999"
    ),
    "Reddy 2004": (
        "J. N. Reddy, Mechanics of Laminated Composite Plates and Shells: Theory and Analysis, 2nd ed., CRC "
        "Press, Boca Raton 2004"
    ),
    "Reissner 1945": (
        "E. Reissner, The Effect of Transverse Shear Deformation on the Bending of Elastic Plates, Journal "
        "of Applied Mechanics 12 (1945), pp. A69–A77"
    ),
    "Zenkert 1995": "D. Zenkert, An Introduction to Sandwich Construction, EMAS, London 1995",
    "Hoff and Mautner 1945": (
        "N. J. Hoff and S. E. Mautner, The Buckling of Sandwich-Type Panels, Journal of the Aeronautical "
        "Sciences 12 (1945), pp. 285–297"
    ),
    "Allen 1969": (
        "H. G. Allen, Analysis and Design of Structural Sandwich Panels, Pergamon, Oxford 1969, ch. 8"
    ),
    "Chia 1980": "C. Y. Chia, Nonlinear Analysis of Plates, McGraw-Hill, New York 1980",
    "Roark 2002": (
        "W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., McGraw-Hill, New "
        "York 2002, table of beams"
    ),
    "Blevins 1979": (
        "R. D. Blevins, Formulas for Natural Frequency and Mode Shape, Van Nostrand Reinhold, New York 1979"
    ),
    "Lamb 1932": "H. Lamb, Hydrodynamics, 6th ed., Cambridge University Press, Cambridge 1932",
    "Timoshenko 1955": "S. Timoshenko, Strength of Materials, 3rd ed., Van Nostrand, Princeton 1955",
}


def cited(chapters: Iterable[str]) -> Iterator[tuple[str, str]]:
    """The documents that these citations name, in the order in which they do, each in full."""
    told = "\n".join(chapters)
    places = {name: told.find(name) for name in DOCUMENTS}
    for name in sorted((name for name, at in places.items() if at >= 0), key=lambda name: places[name]):
        yield name, DOCUMENTS[name]
