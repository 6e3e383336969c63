"""Days reckoned from today: yesterday, 8 months ago, wiki ijayo, last monday."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from flows.inputs import Precision
from flows.reader.date_calendar import by_parts, said_year
from flows.reader.date_figures import Place
from flows.reader.dates import MIDDLE, Said, moved
from flows.reader.numbers import number_at

_WEEK: Final = 7
_DAYS_OF_MONTH: Final = Decimal("30.44")
_PERIOD_MONTHS: Final = {"day": 0, "week": 0, "month": 1, "year": 12}
_PERIOD_DAYS: Final = {"day": 1, "week": _WEEK, "month": 0, "year": 0}


def counted(place: Place) -> Said | None:
    """Read "8 months ago", "miezi minane iliyopita", "in 2 weeks"; with no direction it is reckoned back."""
    words = place.lexicon.time
    ahead = words.ahead_before.at(place.tokens, place.start)
    inner = place.at(ahead[0]) if ahead else place
    stretch = _number_period(inner) or _period_number(inner)
    if stretch is None:
        return None
    end, count, period = stretch
    way = words.ago.at(place.tokens, end)
    if way is None and _belongs_behind(place.at(end - 1)):
        return None
    sign = 1 if ahead else way[1] if way else -1
    exact = period == "day" and (way is not None or ahead is not None)
    precision = Precision.EXACT if exact else Precision.ABOUT
    return _reckoned(place, way[0] if way else end, sign * count, period, precision)


def _belongs_behind(place: Place) -> bool:
    """Return whether the period here goes with what follows: "400 miezi 8", "200 mwezi wa 5"."""
    return any(read(place) is not None for read in (_period_number, named_day, by_parts, said_year))


def _number_period(place: Place) -> tuple[int, Decimal, str] | None:
    words = place.lexicon.time
    article = words.articles.at(place.tokens, place.start)
    number = _quantity(place)
    start, count = (article[0], Decimal(1)) if article and number is None else number or (place.start, None)
    period = words.periods.at(place.tokens, start) if count is not None else None
    return None if count is None or period is None else (period[0], count, period[1])


def _period_number(place: Place) -> tuple[int, Decimal, str] | None:
    period = place.lexicon.time.periods.at(place.tokens, place.start)
    number = _quantity(place.at(period[0])) if period else None
    return None if period is None or number is None else (number[0], number[1], period[1])


def _quantity(place: Place) -> tuple[int, Decimal] | None:
    """Read a number with its half: "1 1/2", "mmoja na nusu", "one and a half"."""
    number = number_at(place.tokens, place.start, place.lexicon)
    if number is None:
        return None
    joined = place.lexicon.joiners.at(place.tokens, number.end)
    part = place.lexicon.fractions.at(place.tokens, joined[0]) if joined else None
    return (part[0], number.value + part[1]) if part else (number.end, number.value)


def _away(today: date, count: Decimal, period: str) -> date | None:
    """Return the day so many days, weeks, months or years from today, None outside the calendar."""
    months = count * _PERIOD_MONTHS.get(period, 0)
    try:
        if months and months % 1 == 0:
            return moved(today, months=int(months))
        return today + timedelta(days=round(months * _DAYS_OF_MONTH or count * _PERIOD_DAYS[period]))
    except OverflowError:
        return None


def _reckoned(place: Place, end: int, count: Decimal | int, period: str, precision: Precision) -> Said:
    on = _away(place.today, Decimal(count), period)
    return Said(start=place.start, end=end, on=on, precision=precision, wrong=on is None)


def named_day(place: Place) -> Said | None:
    """Read "today", "juzi", "day before yesterday"."""
    hit = place.lexicon.time.days.at(place.tokens, place.start)
    return None if hit is None else _reckoned(place, hit[0], hit[1], "day", Precision.EXACT)


def named_week(place: Place) -> Said | None:
    """Read "last week", "wiki ijayo"."""
    hit = place.lexicon.time.weeks.at(place.tokens, place.start)
    return None if hit is None else _reckoned(place, hit[0], hit[1], "week", Precision.ABOUT)


def named_month(place: Place) -> Said | None:
    """Read "next month", "mwezi uliopita": the middle of it."""
    hit = place.lexicon.time.months_away.at(place.tokens, place.start)
    month = moved(place.today.replace(day=MIDDLE), months=hit[1]) if hit else None
    if hit is None or month is None:
        return None
    return Said(start=place.start, end=hit[0], on=month, precision=Precision.MONTH)


def weekday(place: Place) -> Said | None:
    """Read "monday", "last friday", "jumanne ijayo"; without a direction the latest one, today included."""
    time = place.lexicon.time
    before_last = time.last.at(place.tokens, place.start)
    before_next = time.next.at(place.tokens, place.start)
    start = (before_last or before_next or (place.start, None))[0]
    hit = time.weekdays.at(place.tokens, start)
    if hit is None:
        return None
    last = before_last or time.last.at(place.tokens, hit[0])
    ahead = before_next or time.next.at(place.tokens, hit[0])
    back = (place.today.weekday() - hit[1]) % _WEEK
    shift = _WEEK - back if ahead else -(back or _WEEK) if last else -back
    end = max(found[0] for found in (hit, last, ahead) if found)
    return _reckoned(place, end, shift, "day", Precision.EXACT)
