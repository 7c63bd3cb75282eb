"""Prints the events of a calendar as vobject reads them."""
import datetime
import sys

import vobject


def shown(value):
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")
    return value.isoformat()


with open(sys.argv[1], "rb") as feed:
    calendar = vobject.readOne(feed.read().decode("utf-8"))
for event in calendar.vevent_list:
    start = event.dtstart.value
    end = event.dtend.value if hasattr(event, "dtend") else start + event.duration.value
    alarms = len(getattr(event, "valarm_list", []))
    print("|".join([event.uid.value, shown(start), shown(end), event.status.value, str(alarms), event.summary.value]))
