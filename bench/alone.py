"""Runs the command given and writes how it went into the file named first: a line of JSON.

A process of its own between the bench and the command, for a new process counts as its own the memory that its
parent held when it was started; this one holds next to none.
"""

import json
import os
import subprocess
import sys
import time

began = time.perf_counter()
child = subprocess.Popen(sys.argv[2:])
_, status, used = os.wait4(child.pid, 0)
wall_s = time.perf_counter() - began
child.returncode = os.waitstatus_to_exitcode(status)
with open(sys.argv[1], "w") as told:
    json.dump({"wall_s": wall_s, "max_rss": used.ru_maxrss, "exit_status": child.returncode}, told)
