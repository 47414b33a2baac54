"""Writes zone_days.csv: lengths of days and offsets of time zones, worked out by Python's zoneinfo.

Run with Python 3.11 or later and the package tzdata 2026.6 (release 2026f of the IANA database); the machine's own copy is
not read. The same bytes come out each time. Rows:

    day,ZONE,DATE,MINUTES       a day from its first moment to that of the next, by asking zoneinfo for every quarter hour
    at,ZONE,SECONDS,OFFSET,DATE an instant (seconds since 1970, UTC), the offset in seconds there, and the day there

All days from 1950 to 2037 that are not 1440 minutes long and some that are, then instants: some picked at random, and some
at the beginning of a day, a second before it, and near it.
"""

import random
import zoneinfo
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import tzdata

assert tzdata.__version__ == "2026.6", tzdata.__version__
zoneinfo.reset_tzpath(to=[])

ZONES = """Africa/Blantyre Africa/Casablanca Africa/Lagos America/Adak America/Caracas America/New_York America/Nuuk
America/Santiago America/Sao_Paulo America/St_Johns Antarctica/Casey Antarctica/Troll Asia/Gaza Asia/Kathmandu
Asia/Kolkata Asia/Pyongyang Asia/Tehran Asia/Tokyo Atlantic/Azores Australia/Lord_Howe Australia/Sydney
Europe/Dublin Europe/London Europe/Moscow Europe/Vienna Pacific/Apia Pacific/Chatham Pacific/Kiritimati
Pacific/Kwajalein""".split()
FIRST, LAST = 1950, 2037
QUARTER = timedelta(minutes=15)
EPOCH = datetime(1970, 1, 1, tzinfo=timezone.utc)
PICKS = 40


def begins(zone, day):
    """The first moment whose local date is `day` or later, found by halving: before it all dates are earlier.

    The clock may be put back over midnight, so the search goes forward in quarters of an hour first.
    """
    moment = datetime(day.year, day.month, day.day, tzinfo=timezone.utc) - timedelta(hours=30)
    while moment.astimezone(zone).date() < day:
        moment += QUARTER
    low, high = moment - QUARTER, moment
    while high - low > timedelta(seconds=1):
        middle = low + timedelta(seconds=(high - low) // timedelta(seconds=2))
        low, high = (middle, high) if middle.astimezone(zone).date() < day else (low, middle)
    return high


def minutes(zone, day):
    length = begins(zone, day + timedelta(days=1)) - begins(zone, day)
    return int(length.total_seconds() // 60)


def near_changes(zone):
    """Days on or beside which the offset at 12:00 UTC differs from the day before."""
    day, end = date(FIRST, 1, 1), date(LAST, 12, 31)
    before = None
    while day <= end:
        offset = datetime(day.year, day.month, day.day, 12, tzinfo=timezone.utc).astimezone(zone).utcoffset()
        if before is not None and offset != before:
            yield from (day + timedelta(days=shift) for shift in (-2, -1, 0, 1))
        before = offset
        day += timedelta(days=1)


def rows(name, dice):
    zone = zoneinfo.ZoneInfo(name)
    lengths = {day: minutes(zone, day) for day in near_changes(zone)}
    days = {day: length for day, length in lengths.items() if length != 1440}
    for _ in range(PICKS):
        day = date(FIRST, 1, 1) + timedelta(days=dice.randrange(365 * (LAST - FIRST)))
        days[day] = minutes(zone, day)
    yield from (f"day,{name},{day},{length}" for day, length in sorted(days.items()))
    seconds = [dice.randrange(-631152000, 2145916800) for _ in range(PICKS)]
    for day in dice.sample(sorted(days), k=PICKS // 2):
        edge = int((begins(zone, day) - EPOCH).total_seconds())
        seconds += [edge - 1, edge, edge + dice.randrange(-20000, 20000)]
    for second in seconds:
        moment = (EPOCH + timedelta(seconds=second)).astimezone(zone)
        yield f"at,{name},{second},{int(moment.utcoffset().total_seconds())},{moment.date()}"


def main():
    dice = random.Random("zone days")
    lines = [row for name in ZONES for row in rows(name, dice)]
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n", encoding="ascii")


main()
