"""The practice's own words, how they sound, and which phrases of a language sound alike."""
