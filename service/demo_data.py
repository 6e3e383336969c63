"""The demo's invented district: names, places and figures made up, numbers from the region's example number."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

PROGRAMME: Final = "Zaruvi Berry Programme"
REGION: Final = "TZ"
ZONE: Final = "Africa/Dar_es_Salaam"
# phonenumbers' example mobile number of the region is +255 621 234 567; the last two digits tell the phones apart.
_NUMBER: Final = "+2556212345{:02d}"

# Tenths of a degree: all four lie close together.
LATITUDE: Final = -34
DISTRICTS: Final = (("Zaruvi", 1650), ("Ketumali", 1900), ("Ndaliro", 2150), ("Shumbeka", 1450))
# What a kilo brings at an invented market of each, how many days before the demo is made: made up like all else.
PRICES: Final = (
    ("Zaruvi", "Zaruvi market", 2_600, 2),
    ("Ketumali", "Ketumali market", 2_400, 4),
    ("Ndaliro", "Ndaliro market", 2_200, 9),
    ("Ndaliro", "Ketumali market", 2_400, 4),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class PracticeNumber:
    """A phone that can be used in the demo."""

    number: str
    label: str

    def __repr__(self) -> str:
        """Never show the number."""
        return f"PracticeNumber({self.label})"


@dataclass(frozen=True, kw_only=True, slots=True)
class DemoFarmer:
    """One invented farmer: `age` is days since planting on the day the demo is made."""

    name: str
    language: str
    district: str
    plants: int
    age: int
    phone: int


FARMERS: Final = (
    DemoFarmer(name="Asha", language="sw", district="Ndaliro", plants=450, age=212, phone=1),
    DemoFarmer(name="Baraka", language="sw", district="Ketumali", plants=320, age=96, phone=2),
    DemoFarmer(name="Neema", language="en", district="Zaruvi", plants=800, age=118, phone=3),
    DemoFarmer(name="Juma", language="sw", district="Shumbeka", plants=150, age=402, phone=4),
    DemoFarmer(name="Rehema", language="en", district="Ketumali", plants=600, age=640, phone=5),
    DemoFarmer(name="Tatu", language="sw", district="Ndaliro", plants=240, age=15, phone=6),
    DemoFarmer(name="Salim", language="en", district="Zaruvi", plants=1200, age=905, phone=7),
    DemoFarmer(name="Zawadi", language="sw", district="Ketumali", plants=380, age=141, phone=8),
    DemoFarmer(name="Hamisi", language="sw", district="Ndaliro", plants=520, age=330, phone=9),
    DemoFarmer(name="Pendo", language="en", district="Shumbeka", plants=275, age=58, phone=10),
    # Two who share one phone.
    DemoFarmer(name="Mwajuma", language="sw", district="Zaruvi", plants=410, age=260, phone=11),
    DemoFarmer(name="Khamis", language="sw", district="Zaruvi", plants=190, age=77, phone=11),
)
NEWCOMERS: Final = (12, 13, 14)
# What farmers texted of money, so many days before the demo begins.
MONEY: Final = (
    ("Asha", 26, "GHARAMA mbolea 45000"),
    ("Asha", 12, "NIMEUZA kilo 5 kwa 2300 kila kilo"),
    ("Asha", 5, "NIMEUZA kilo 4 kwa 2200 kila kilo"),
    ("Juma", 9, "NIMEUZA kilo 2 jumla 5000"),
    ("Rehema", 20, "COST labour 24000"),
    ("Rehema", 8, "SOLD 7 kg 2400 each"),
    ("Hamisi", 15, "GHARAMA usafiri 6000"),
    ("Hamisi", 3, "NIMEUZA kilo 6 jumla 13800"),
    ("Salim", 18, "COST manure 120000"),
    ("Salim", 17, "SOLD 9 kg 2500 each"),
    ("Mwajuma", 16, "GHARAMA matandazo 15000"),
)


def number(phone: int) -> str:
    """Return the number of one of the demo's phones."""
    return _NUMBER.format(phone)


def _label(phone: int) -> str:
    names = [farmer.name for farmer in FARMERS if farmer.phone == phone]
    return " and ".join(names) or f"a newcomer's phone, no. {phone - NEWCOMERS[0] + 1}"


PHONES: Final = tuple(
    PracticeNumber(number=number(phone), label=_label(phone))
    for phone in (*NEWCOMERS, *sorted({farmer.phone for farmer in FARMERS}))
)


def planted_on(farmer: DemoFarmer, today: date) -> date:
    """Return the planting date that gives the farmer's stand its age today."""
    return today - timedelta(days=farmer.age)
