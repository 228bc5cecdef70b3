"""An engine that does not run yet: causes weighed against findings, and the next test with the number to expect."""
