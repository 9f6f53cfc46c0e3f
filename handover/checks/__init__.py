"""The verification: one function a rule, named after the rule, results as data."""
