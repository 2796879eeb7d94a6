"""What is kept: trials, drills, faults, cues and notes, each with its evidence and history."""
