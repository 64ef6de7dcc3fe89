"""An outside reader for the calendar check: the package icalendar (RFC 5545).

Reads a calendar on standard input and prints one line an event, its parts separated by tabs: identifier, sequence,
first day, day after the last, title, description.
"""

import sys

from icalendar import Calendar

calendar = Calendar.from_ical(sys.stdin.buffer.read())
assert calendar.get("version") == "2.0" and calendar.get("prodid"), "what a calendar must say"
for event in calendar.walk("VEVENT"):
    assert not event.errors, event.errors
    parts = [event["uid"], str(event["sequence"]), str(event["dtstart"].dt), str(event["dtend"].dt)]
    parts += [str(event["summary"]), str(event.get("description", ""))]
    print("\t".join(part.replace("\n", "\\n") for part in parts))
