"""So that `python -m voicelog` works where the command is not on the path."""

from voicelog.cli import main

main()
