"""The web side of webcalc: reads links, asks the calculation package, and puts answers into words."""
