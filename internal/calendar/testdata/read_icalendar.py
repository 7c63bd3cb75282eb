"""Prints the events of a calendar as icalendar reads them, with the zones that
the file itself brings."""
import datetime
import sys

import icalendar

with open(sys.argv[1], "rb") as feed:
    calendar = icalendar.Calendar.from_ical(feed.read())
zones = {str(zone["TZID"]): zone.to_tz() for zone in calendar.walk("VTIMEZONE")}


def shown(value, zone):
    if isinstance(value, datetime.datetime):
        if zone:
            value = zones[zone].localize(value.replace(tzinfo=None))
        return value.astimezone(datetime.timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")
    return value.isoformat()


for event in calendar.walk("VEVENT"):
    start = event["DTSTART"].dt
    zone = event["DTSTART"].params.get("TZID")
    end = event["DTEND"].dt if "DTEND" in event else start + event["DURATION"].dt
    alarms = len(event.walk("VALARM"))
    print("|".join([str(event["UID"]), shown(start, zone), shown(end, zone), str(event["STATUS"]), str(alarms), str(event["SUMMARY"])]))
