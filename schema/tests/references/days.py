"""Writes days.csv: the calendar and instants as Python's datetime and calendar modules have them.

Needs Python 3.11 or later and nothing else. The same bytes come out each time. Rows:

    month,YEAR,MONTH,FIRST,LENGTH   days from 1970-01-01 to the first of the month, and how many days it has
    instant,TEXT,SECONDS,NANOS      an RFC 3339 text without zeros at the end of a fraction, and the seconds since 1970 with the nanoseconds after them
"""

import calendar
import random
import re
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

EPOCH = datetime(1970, 1, 1, tzinfo=timezone.utc)
YEARS = range(1900, 2200)
PICKS = 1500


def months():
    for year in YEARS:
        for month in range(1, 13):
            first = date(year, month, 1).toordinal() - date(1970, 1, 1).toordinal()
            yield f"month,{year},{month},{first},{calendar.monthrange(year, month)[1]}"


def instant(dice):
    minutes = dice.choice([0, 60, 120, -300, 345, -210, 840, -720, dice.randrange(-1439, 1440)])
    local = datetime(1900, 1, 1) + timedelta(seconds=dice.randrange(300 * 365 * 86400), microseconds=dice.randrange(10**6))
    local = local.replace(microsecond=dice.choice([0, local.microsecond]))
    moment = local.replace(tzinfo=timezone(timedelta(minutes=minutes)))
    text = moment.isoformat().replace("+00:00", "Z")
    text = re.sub(r"(\.\d*?)0+(?=[Z+-])", r"\1", text)
    since = (moment - EPOCH) // timedelta(microseconds=1)
    return f"instant,{text},{since // 10**6},{since % 10**6 * 1000}"


def main():
    dice = random.Random("days")
    lines = [*months(), *(instant(dice) for _ in range(PICKS))]
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n", encoding="ascii")


main()
