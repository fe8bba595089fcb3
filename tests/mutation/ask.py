"""The test command of cosmic-ray: ask the server for a run and end as it ended. ``python ask.py SOCKET``."""

import socket
import sys

with socket.socket(socket.AF_UNIX) as door:
    door.connect(sys.argv[1])
    said = b""
    while part := door.recv(65536):
        said += part
code, _, words = said.decode("utf-8", errors="replace").partition("\n")
sys.stdout.write(words)
sys.exit(0 if code == "0" else 1)
