"""Signs requests as botocore does; a line `METHOD ADDRESS` each, signed already: the same address and time, without the signature."""

import datetime
import sys
from urllib.parse import parse_qs, parse_qsl, urlencode, quote, urlsplit, urlunsplit

import botocore.auth
from botocore.awsrequest import AWSRequest
from botocore.credentials import Credentials

for line in sys.stdin:
    method, address = line.split()
    parts = urlsplit(address)
    told = parse_qs(parts.query)
    at = datetime.datetime.strptime(told["X-Amz-Date"][0], "%Y%m%dT%H%M%SZ")
    botocore.auth.get_current_datetime = lambda: at
    rest = [pair for pair in parse_qsl(parts.query, keep_blank_values=True) if not pair[0].startswith("X-Amz-")]
    plain = urlunsplit(parts._replace(query=urlencode(rest, quote_via=quote)))
    request = AWSRequest(method=method, url=plain)
    expires = int(told["X-Amz-Expires"][0])
    pair = Credentials(sys.argv[1], sys.argv[2])
    botocore.auth.S3SigV4QueryAuth(pair, "s3", sys.argv[3], expires=expires).add_auth(request)
    print(parse_qs(urlsplit(request.url).query)["X-Amz-Signature"][0])
