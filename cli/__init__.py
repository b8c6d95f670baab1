"""The command line of dampwright."""

import os

# No plug-in of pydantic serves here, and looking for them delays every start.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
