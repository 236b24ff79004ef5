"""The workbench of a whole-animal butcher."""

import os

# The library that runs the rib face's network reports its use to its maker unless this is set before it is loaded.
# A shop's computer tells nobody anything; a child process inherits it.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"
