"""webcalc: plan, mount and service an unattended time-lapse shoot."""
