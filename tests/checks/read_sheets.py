"""An outside reader for the spreadsheets: Python's own zipfile and csv.

Prints one JSON line a file of the archive named: its name and its rows, each a map from heading to cell.
"""

import csv
import io
import json
import sys
import zipfile

with zipfile.ZipFile(sys.argv[1]) as archive:
    assert archive.testzip() is None, "an archive that is whole"
    for name in archive.namelist():
        text = io.TextIOWrapper(archive.open(name), encoding="utf-8-sig", newline="")
        # Strict: a quote in the wrong place is an error.
        rows = list(csv.DictReader(text, strict=True, restkey="beyond"))
        print(json.dumps({"name": name, "rows": rows}))
