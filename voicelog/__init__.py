"""A voice-driven, hands-free recorder of movement trials."""

import os

__version__ = "0.1.0"

# What was said passes through pydantic: no plug-in of another package may look on, and none has to
# be looked for at each start.
os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"
