"""Pure calculations for an unattended time-lapse shoot; see README.md beside this file."""
